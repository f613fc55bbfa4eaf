// Marks on the photo that are dragged, or moved with the arrow keys; places are the photo's pixels.
const SVG = "http://www.w3.org/2000/svg";
const form = document.querySelector("form.marking");
const svg = document.querySelector(".photo svg");
const words = document.getElementById("mark-words");
const { width, height } = svg.viewBox.baseVal;
const size = Math.max(width, height);
const start = {
  corners: [[0.3, 0.3], [0.7, 0.3], [0.7, 0.7], [0.3, 0.7]],
  points: [[0.3, 0.5], [0.7, 0.5]],
  outline: [[0.05, 0.05], [0.95, 0.05], [0.95, 0.95], [0.05, 0.95]],
};
const fields = Object.keys(start).filter((name) => document.getElementById(name));
const marks = Object.fromEntries(fields.map((name) => [name, read(name)]));

function read(name) {
  const numbers = document.getElementById(name).value.split(/[\s,]+/).filter(Boolean).map(Number);
  const wanted = name === "outline" ? Math.max(3, Math.floor(numbers.length / 2)) : start[name].length;
  if (numbers.length !== 2 * wanted || numbers.some(Number.isNaN)) {
    return start[name].map(([x, y]) => [x * width, y * height]);
  }
  return Array.from({ length: wanted }, (_, k) => [numbers[2 * k], numbers[2 * k + 1]]);
}

function which() {
  if (form.dataset.marks) return form.dataset.marks;
  const way = form.elements.way.value;
  return { rectangle: "corners", id1: "corners", points: "points" }[way] ?? null;
}

function write() {
  for (const name of fields) {
    const between = name === "points" ? "," : " ";
    const text = marks[name].map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(between);
    document.getElementById(name).value = which() === name ? text : "";
  }
}

function shape(kind, attributes) {
  const made = document.createElementNS(SVG, kind);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function draw(focus = null) {
  const name = which();
  for (const part of document.querySelectorAll("[data-for]")) {
    part.hidden = part.dataset.for !== form.elements.way.value;
  }
  svg.replaceChildren();
  svg.removeAttribute("aria-hidden");
  write();
  if (!name) {
    words.textContent = "It is looked for by itself; no marks are needed.";
    return;
  }
  const all = marks[name];
  all.forEach((from, k) => {
    const to = all[(k + 1) % all.length];
    if (name === "points" && k === all.length - 1) return;
    const ends = { x1: from[0], y1: from[1], x2: to[0], y2: to[1] };
    svg.append(shape("line", { class: "mark-line", ...ends }));
    if (name !== "outline") return;
    const wide = shape("line", { class: "mark-between", ...ends, "stroke-width": size / 60 });
    wide.addEventListener("click", (event) => add(k, placeOf(event)));
    svg.append(wide);
  });
  all.forEach(([x, y], k) => {
    const mark = shape("circle", {
      class: "mark", cx: x, cy: y, r: size / 45, tabindex: 0, role: "button",
      "aria-label": `Mark ${k + 1} of ${all.length}, at ${Math.round(x)}, ${Math.round(y)}`,
    });
    const number = shape("text", {
      class: "mark-number", x: x + size / 40, y: y - size / 40, "font-size": size / 32, "stroke-width": size / 160,
    });
    number.textContent = k + 1;
    svg.append(mark, shape("circle", { cx: x, cy: y, r: size / 500, fill: "#000", "pointer-events": "none" }), number);
    grip(mark, name, k);
  });
  if (focus !== null) {
    const mark = svg.querySelectorAll(".mark")[focus];
    mark.focus();
    words.textContent = mark.getAttribute("aria-label");
  }
}

function placeOf(event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [at.x, at.y];
}

function move(name, k, [x, y]) {
  marks[name][k] = [Math.min(Math.max(x, 0), width - 1), Math.min(Math.max(y, 0), height - 1)];
}

function add(k, place) {
  marks.outline.splice(k + 1, 0, place);
  draw(k + 1);
}

function grip(mark, name, k) {
  mark.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    const onMove = (moved) => {
      move(name, k, placeOf(moved));
      draw();
    };
    addEventListener("pointermove", onMove);
    addEventListener("pointerup", () => {
      removeEventListener("pointermove", onMove);
      draw(k);
    }, { once: true });
  });
  mark.addEventListener("keydown", (event) => {
    const [x, y] = marks[name][k];
    const step = event.shiftKey ? 1 : size / 200;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (by) move(name, k, [x + by[0], y + by[1]]);
    else if (name === "outline" && event.key === "+") {
      const next = marks.outline[(k + 1) % marks.outline.length];
      add(k, [(x + next[0]) / 2, (y + next[1]) / 2]);
      k += 1;
    } else if (name === "outline" && ["Delete", "Backspace"].includes(event.key) && marks.outline.length > 3) {
      marks.outline.splice(k, 1);
      k = 0;
    } else return;
    event.preventDefault();
    draw(k);
  });
}

form.addEventListener("change", () => draw());
draw();
