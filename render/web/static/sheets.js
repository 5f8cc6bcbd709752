// Shows one sheet at a time: layers on and off, zoom and pan by the viewBox.
"use strict";
const viewer = document.getElementById("viewer");
const canvas = document.getElementById("canvas");
const title = document.getElementById("viewer-title");
// The layer names in a sheet's file; whatever is none of these is print.
const LAYERS = { PartialCutting: "kiss", Cutting: "through", Drilling: "holes", Legend: "notes", Dimensions: "notes" };
let svg = null;
let whole = null;

function view(x, y, width, height) {
  svg.setAttribute("viewBox", `${x} ${y} ${width} ${height}`);
}

function seen() {
  const { x, y, width, height } = svg.viewBox.baseVal;
  return { x, y, width, height };
}

function zoom(factor, atX = 0.5, atY = 0.5) {
  const now = seen();
  const width = Math.min(Math.max(now.width * factor, whole.width / 200), whole.width * 2);
  const height = (now.height * width) / now.width;
  view(now.x + (now.width - width) * atX, now.y + (now.height - height) * atY, width, height);
}

function pan(dx, dy) {
  const now = seen();
  view(now.x + now.width * dx, now.y + now.height * dy, now.width, now.height);
}

function all() {
  svg.setAttribute("viewBox", svg.dataset.whole);
}

function showLayers() {
  const off = new Set([...document.querySelectorAll("[data-layer][type=checkbox]:not(:checked)")].map((box) => box.dataset.layer));
  for (const group of svg.querySelectorAll(":scope > g")) {
    const key = LAYERS[group.dataset.layer] || LAYERS[group.dataset.group] || "print";
    group.setAttribute("display", off.has(key) ? "none" : "inline");
  }
}

async function open(link) {
  viewer.hidden = false;
  title.textContent = viewer.dataset.loading;
  const answer = await fetch(link.href);
  if (!answer.ok) return;
  const file = new DOMParser().parseFromString(await answer.text(), "image/svg+xml");
  svg = document.adoptNode(file.documentElement);
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  canvas.replaceChildren(svg);
  whole = seen();
  svg.dataset.whole = svg.getAttribute("viewBox");
  const paper = document.createElementNS(svg.namespaceURI, "rect");
  for (const side of ["x", "y", "width", "height"]) paper.setAttribute(side, whole[side]);
  paper.setAttribute("fill", "#ffffff");
  svg.insertBefore(paper, svg.querySelector(":scope > g"));
  title.textContent = link.textContent.trim();
  showLayers();
  for (const each of document.querySelectorAll(".sheetlink")) each.removeAttribute("aria-current");
  link.setAttribute("aria-current", "true");
  viewer.scrollIntoView({ block: "nearest" });
  canvas.focus({ preventScroll: true });
}

for (const link of document.querySelectorAll(".sheetlink")) {
  link.addEventListener("click", (event) => {
    event.preventDefault();
    open(link);
  });
}
for (const box of document.querySelectorAll("[data-layer][type=checkbox]")) box.addEventListener("change", () => svg && showLayers());
for (const button of document.querySelectorAll("[data-zoom]")) {
  button.addEventListener("click", () => {
    if (!svg) return;
    if (button.dataset.zoom === "all") all();
    else zoom(button.dataset.zoom === "in" ? 0.7 : 1 / 0.7);
  });
}
const KEYS = {
  "+": () => zoom(0.7), "=": () => zoom(0.7), "-": () => zoom(1 / 0.7), 0: all,
  ArrowLeft: () => pan(-0.15, 0), ArrowRight: () => pan(0.15, 0), ArrowUp: () => pan(0, -0.15), ArrowDown: () => pan(0, 0.15),
};
canvas.addEventListener("keydown", (event) => {
  if (!svg || event.ctrlKey || event.metaKey || !(event.key in KEYS)) return;
  event.preventDefault();
  KEYS[event.key]();
});
canvas.addEventListener("wheel", (event) => {
  if (!svg) return;
  event.preventDefault();
  const box = canvas.getBoundingClientRect();
  zoom(event.deltaY > 0 ? 1.2 : 1 / 1.2, (event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
}, { passive: false });
let held = null;
canvas.addEventListener("pointerdown", (event) => {
  held = { x: event.clientX, y: event.clientY };
  canvas.setPointerCapture(event.pointerId);
});
canvas.addEventListener("pointermove", (event) => {
  if (!held || !svg) return;
  const box = canvas.getBoundingClientRect();
  pan((held.x - event.clientX) / box.width, (held.y - event.clientY) / box.height);
  held = { x: event.clientX, y: event.clientY };
});
for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, () => { held = null; });
