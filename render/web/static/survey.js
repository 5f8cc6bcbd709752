// Keeps an answer on the server while it is typed, so that a reload or a dead battery loses nothing.
"use strict";
const form = document.getElementById("answer");
const said = document.getElementById("kept");
let timer = 0;

async function keep() {
  clearTimeout(timer);
  const fields = new URLSearchParams(new FormData(form));
  fields.set("go", "keep");
  try {
    const answer = await fetch(form.action, { method: "POST", body: fields, keepalive: true });
    said.textContent = answer.ok ? said.dataset.kept : said.dataset.lost;
  } catch {
    said.textContent = said.dataset.lost;
    timer = setTimeout(keep, 3000); // the network is away; it may come back
  }
}

form.addEventListener("input", () => {
  clearTimeout(timer);
  timer = setTimeout(keep, 400);
});
form.addEventListener("change", keep);
form.addEventListener("submit", () => clearTimeout(timer));
