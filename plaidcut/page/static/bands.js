// Choosing bands: click one on the photo or in its row, drag over neighbours, or type them.
const chosen = document.getElementById("chosen");
const rows = [...document.querySelectorAll(".band-row")];
const buttons = [...document.querySelectorAll(".band")];
const patches = [...document.querySelectorAll(".patch")];
let first = null;
let dragging = false;

for (const button of buttons) button.style.flexGrow = button.dataset.mm;

function orderOf(band) {
  const row = rows.find((each) => each.querySelector(`[data-band="${band}"]`));
  return row ? [...row.querySelectorAll(".band")].map((each) => each.dataset.band) : [];
}

function between(from, to) {
  const order = orderOf(from);
  const [a, b] = [order.indexOf(from), order.indexOf(to)];
  if (b < 0) return [to];
  return order.slice(Math.min(a, b), Math.max(a, b) + 1);
}

function show(bands) {
  for (const each of buttons) each.setAttribute("aria-pressed", bands.includes(each.dataset.band));
  for (const each of patches) each.classList.toggle("chosen", bands.includes(each.dataset.band));
}

function choose(from, to, { final = true } = {}) {
  const bands = between(from, to);
  show(bands);
  chosen.value = bands.length > 1 ? `${bands[0]}-${bands.at(-1)}` : bands[0];
  if (final) chosen.dispatchEvent(new Event("change", { bubbles: true }));
}

function bandAt(event) {
  return document.elementFromPoint(event.clientX, event.clientY)?.closest("[data-band]")?.dataset.band;
}

for (const each of [...buttons, ...patches]) {
  each.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    if (!(event.shiftKey && first)) first = each.dataset.band;
    dragging = true;
    if (each.hasPointerCapture?.(event.pointerId)) each.releasePointerCapture(event.pointerId);
    choose(first, each.dataset.band, { final: false });
  });
  each.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    if (!(event.shiftKey && first)) first = each.dataset.band;
    choose(first, each.dataset.band);
  });
}
addEventListener("pointermove", (event) => {
  const band = dragging && bandAt(event);
  if (band) choose(first, band, { final: false });
});
addEventListener("pointerup", (event) => {
  if (!dragging) return;
  dragging = false;
  choose(first, bandAt(event) ?? first);
});
addEventListener("pointercancel", () => { dragging = false; });

// Stripes of both directions lie over each other on the photo: one direction at a time is chosen.
for (const way of document.querySelectorAll('input[name="on-photo"]')) {
  way.addEventListener("change", (event) => {
    event.stopPropagation();
    onPhoto();
  });
}

function onPhoto() {
  const way = document.querySelector('input[name="on-photo"]:checked')?.value;
  for (const group of document.querySelectorAll(".patches")) {
    group.classList.toggle("hidden", group.dataset.system !== way);
  }
}

function typed() {
  const ends = chosen.value.toUpperCase().split(/\s*[-–]\s*/);
  show(ends[0] ? between(ends[0], ends.at(-1)) : []);
}
chosen.addEventListener("input", typed);
typed();
onPhoto();
