// Keeps an answer on the server while it is typed, so that a reload or a dead battery loses nothing.
"use strict";
const form = document.getElementById("answer");
const said = document.getElementById("kept");
let timer = 0;
let busy = false; // one at a time, so that an older answer never follows a newer one
let changed = false;

function later(wait) {
  clearTimeout(timer);
  timer = setTimeout(keep, wait);
}

async function keep() {
  if (busy) return;
  busy = true;
  changed = false;
  const fields = new URLSearchParams(new FormData(form));
  fields.set("go", "keep");
  let kept = false;
  try {
    const answer = await fetch(form.action, { method: "POST", body: fields, keepalive: true });
    kept = answer.ok;
  } catch {
    later(3000); // the network is away; it may come back
  }
  busy = false;
  if (changed) later(0);
  else said.textContent = kept ? said.dataset.kept : said.dataset.lost;
}

form.addEventListener("input", () => {
  changed = true;
  said.textContent = "";
  later(400);
});
form.addEventListener("submit", () => clearTimeout(timer));
