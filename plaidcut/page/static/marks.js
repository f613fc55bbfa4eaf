// Marks on the photo that are dragged, or moved with the arrow keys; places are the photo's pixels.
const SVG = "http://www.w3.org/2000/svg";
const form = document.querySelector("form.beside");
const svg = document.querySelector(".photo svg");
const words = document.getElementById("mark-words");
const { width, height } = svg.viewBox.baseVal;
const size = Math.max(width, height);
const marks = { corners: [], points: [] };
const start = {
  corners: [[0.3, 0.3], [0.7, 0.3], [0.7, 0.7], [0.3, 0.7]],
  points: [[0.3, 0.5], [0.7, 0.5]],
};

function read(name) {
  const numbers = document.getElementById(name).value.split(/[\s,]+/).filter(Boolean).map(Number);
  const wanted = start[name].length;
  if (numbers.length !== 2 * wanted || numbers.some(Number.isNaN)) {
    return start[name].map(([x, y]) => [x * width, y * height]);
  }
  return start[name].map((_, k) => [numbers[2 * k], numbers[2 * k + 1]]);
}

function which() {
  const way = form.elements.way.value;
  return { rectangle: "corners", id1: "corners", points: "points" }[way] ?? null;
}

function write() {
  for (const name of ["corners", "points"]) {
    const used = which() === name;
    const between = name === "corners" ? " " : ",";
    const text = marks[name].map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(between);
    document.getElementById(name).value = used ? text : "";
  }
}

function draw() {
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
  const line = document.createElementNS(SVG, name === "corners" ? "polygon" : "polyline");
  line.setAttribute("class", "mark-line");
  line.setAttribute("points", marks[name].join(" "));
  svg.append(line);
  marks[name].forEach(([x, y], k) => {
    const mark = document.createElementNS(SVG, "circle");
    for (const [key, value] of Object.entries({
      class: "mark", cx: x, cy: y, r: size / 45, tabindex: 0, role: "button",
      "aria-label": `Mark ${k + 1} of ${marks[name].length}, at ${Math.round(x)}, ${Math.round(y)}`,
    })) mark.setAttribute(key, value);
    const dot = document.createElementNS(SVG, "circle");
    for (const [key, value] of Object.entries({ cx: x, cy: y, r: size / 500, fill: "#000", "pointer-events": "none" })) {
      dot.setAttribute(key, value);
    }
    const number = document.createElementNS(SVG, "text");
    for (const [key, value] of Object.entries({
      class: "mark-number", x: x + size / 40, y: y - size / 40, "font-size": size / 32, "stroke-width": size / 160,
    })) number.setAttribute(key, value);
    number.textContent = k + 1;
    svg.append(mark, dot, number);
    grip(mark, name, k);
  });
}

function move(name, k, x, y) {
  marks[name][k] = [Math.min(Math.max(x, 0), width - 1), Math.min(Math.max(y, 0), height - 1)];
}

function grip(mark, name, k) {
  mark.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    const onMove = (moved) => {
      const at = new DOMPoint(moved.clientX, moved.clientY).matrixTransform(svg.getScreenCTM().inverse());
      move(name, k, at.x, at.y);
      draw();
    };
    const onUp = () => {
      removeEventListener("pointermove", onMove);
      svg.querySelectorAll(".mark")[k].focus();
    };
    addEventListener("pointermove", onMove);
    addEventListener("pointerup", onUp, { once: true });
  });
  mark.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 1 : size / 200;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (!by) return;
    event.preventDefault();
    move(name, k, marks[name][k][0] + by[0], marks[name][k][1] + by[1]);
    draw();
    const moved = svg.querySelectorAll(".mark")[k];
    moved.focus();
    words.textContent = moved.getAttribute("aria-label");
  });
}

for (const name of ["corners", "points"]) marks[name] = read(name);
form.addEventListener("change", draw);
draw();
