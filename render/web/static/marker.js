// The marker draws while the form is filled in. Without this file the Draw button does the same.
"use strict";
(() => {
  const form = document.getElementById("marker-form");
  const result = document.getElementById("result");
  const kept = `pipelegend.marker.${form.elements.kind.value}`;
  const scale = "pipelegend.px-per-mm";
  const store = {
    get: (key) => { try { return localStorage.getItem(key); } catch { return null; } },
    set: (key, value) => { try { localStorage.setItem(key, value); } catch { /* private window */ } },
    drop: (key) => { try { localStorage.removeItem(key); } catch { /* private window */ } },
  };

  // The last values come back where a link names none.
  const asked = new URLSearchParams(location.search);
  const last = store.get(kept);
  if (asked.has("new")) {
    store.drop(kept);
    history.replaceState(null, "", `${form.action.split("?")[0]}?kind=${form.elements.kind.value}`);
  } else if (last && ![...asked.keys()].some((key) => key !== "kind" && key !== "lang")) {
    location.replace(`${location.pathname}?${last}`);
    return;
  }

  const query = () => {
    const given = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (value !== "") given.append(name, value);
    return given.toString();
  };

  let asking = null;
  let waiting = 0;
  async function draw() {
    const text = query();
    store.set(kept, text);
    history.replaceState(null, "", `?${text}`);
    asking?.abort();
    asking = new AbortController();
    result.classList.add("busy");
    try {
      const answer = await fetch(`${form.dataset.preview}?${text}`, { signal: asking.signal });
      if (!answer.ok) throw new Error(String(answer.status));
      const open = new Set([...result.querySelectorAll("details[open]")].map((each) => each.id));
      const held = document.activeElement?.id;
      result.innerHTML = await answer.text();
      for (const each of result.querySelectorAll("details")) each.open = open.has(each.id);
      if (held && result.querySelector(`#${held}`)) document.getElementById(held).focus();
      settle();
      const said = result.querySelector("[role=img], .verdict");
      document.getElementById("said").textContent = said?.ariaLabel ?? said?.textContent ?? "";
      result.classList.remove("busy");
    } catch (error) {
      if (error.name !== "AbortError") form.submit(); // the server says what is wrong
    }
  }

  // On a phone the marker stays in sight below the form until the real one is reached.
  let reached = false;
  new IntersectionObserver(([entry]) => { reached = entry.isIntersecting; mini(); }).observe(result);
  function mini() {
    result.querySelector(".mini")?.classList.toggle("shown", !reached);
  }

  // True size: how many CSS pixels this screen has to a millimeter, by a bank card.
  function settle() {
    mini();
    const size = Number(store.get(scale)) || 96 / 25.4;
    document.documentElement.style.setProperty("--px-per-mm", size);
    const slider = document.getElementById("card");
    if (slider) slider.value = size;
    for (const each of result.querySelectorAll(".true-size")) {
      each.style.width = `${each.dataset.mm * size}px`;
    }
  }

  form.addEventListener("input", (event) => {
    if (event.target.dataset.into) return;
    clearTimeout(waiting);
    if (event.target.dataset.reload !== undefined) { location.search = query(); return; }
    const typed = event.target.matches("input:not([type=radio]):not([type=checkbox])");
    waiting = setTimeout(draw, typed ? 200 : 0);
  });
  form.addEventListener("change", (event) => {
    const into = event.target.dataset.into;
    if (!into) return;
    document.getElementById(into).value = event.target.value;
    draw();
  });
  form.addEventListener("submit", (event) => { event.preventDefault(); draw(); });
  result.addEventListener("input", (event) => {
    if (event.target.id !== "card") return;
    store.set(scale, event.target.value);
    settle();
  });
  settle();
})();
