// Asks how far the work is, and loads the page again when it is over.
"use strict";
const box = document.getElementById("working");
const words = document.getElementById("working-words");
const count = document.getElementById("working-count");
const bar = document.getElementById("working-bar");

async function ask() {
  let wait = 500;
  try {
    const answer = await fetch(box.dataset.state, { headers: { Accept: "application/json" } });
    const said = await answer.json();
    if (!answer.ok || said.over) {
      location.reload();
      return;
    }
    if (words.textContent !== said.words) words.textContent = said.words;
    count.textContent = said.total ? `${said.done} / ${said.total}` : "";
    if (said.total) {
      bar.max = said.total;
      bar.value = said.done;
    } else {
      bar.removeAttribute("value");
    }
  } catch {
    wait = 2000; // the server is away; it may come back
  }
  setTimeout(ask, wait);
}
setTimeout(ask, 300);
