// Pieces drawn on a grid beside their fields: corners and holes are clicked, dragged, or moved
// with the arrow keys. The fields hold everything; the drawing only reads and fills them.
import { cornersOf, lengthOf, mmOf, textOf } from "./lengths.js";

const SVG = "http://www.w3.org/2000/svg";
const form = document.getElementById("pieces");
const units = form.dataset.units;
const STEP = units === "in" ? 6.35 : 5;
const FINE = units === "in" ? 25.4 / 16 : 1;
const LEAST = units === "in" ? 24 * 25.4 : 600;
const SQUARES = (units === "in" ? [1, 2, 6, 12, 24] : [20, 50, 100, 200, 500]).map((each) => (units === "in" ? each * 25.4 : each));

function made(name, attributes, text) {
  const found = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) found.setAttribute(key, value);
  if (text !== undefined) found.textContent = text;
  return found;
}

function draws(place) {
  const id = place.dataset.draw;
  const piece = document.getElementById(id);
  const field = (name) => document.getElementById(`${id}-${name}`);
  const rings = [...piece.querySelectorAll("textarea")].map((area) => ({
    area, name: area.dataset.hole === undefined ? "Outline" : area.closest("fieldset").querySelector("legend").textContent,
    corners: cornersOf(area.value) ?? [],
  }));
  let active = rings.find((ring) => !ring.corners.length) ?? rings[0] ?? null;
  let last = 0;
  const svg = made("svg", { class: "grid", role: "group", "aria-label": "The piece, to scale" });
  const words = document.createElement("p");
  words.className = "soft";
  words.setAttribute("role", "status");
  const tools = document.createElement("p");
  tools.className = "buttons";
  place.append(svg, words, tools);

  function typed() {
    const size = (name) => mmOf(field(name)?.value ?? "") ?? mmOf(piece.dataset[`rough${name[0].toUpperCase()}${name.slice(1)}`] ?? "");
    if (piece.dataset.shape === "polygon") return rings[0].corners;
    const [high, top, bottom] = [size("height"), size("top") ?? size("width"), size("bottom") ?? size("width")];
    if (!high || !top || !bottom) return [];
    const [a, b] = [Math.max(0, (bottom - top) / 2), Math.max(0, (top - bottom) / 2)];
    return [[a, 0], [a + top, 0], [b + bottom, high], [b, high]];
  }

  function sized() {
    return [...piece.querySelectorAll('.hole input[id$="-wide"]')].map((wide) => {
      const of = (name) => document.getElementById(wide.id.replace(/wide$/, name));
      const [w, x, y] = [mmOf(wide.value), mmOf(of("left").value), mmOf(of("top").value)];
      return { w, h: mmOf(of("high").value), x, y, fields: [of("left"), of("top")] };
    }).filter((hole) => hole.w && hole.x !== null && hole.y !== null);
  }

  function write(ring) {
    ring.area.value = textOf(ring.corners, units);
  }

  function draw() {
    const outline = typed();
    const all = [...outline, ...rings.flatMap((ring) => ring.corners)];
    const least = piece.dataset.shape === "polygon" ? LEAST : 1;
    const wide = Math.max(least, ...all.map(([x]) => x));
    const high = Math.max(least, ...all.map(([, y]) => y));
    place.hidden = !active && !outline.length;
    const square = SQUARES.find((each) => Math.max(wide, high) / each <= 26) ?? SQUARES.at(-1);
    const pad = Math.max(wide, high) * 0.07;
    const unit = Math.max(wide, high) / 100;
    svg.setAttribute("viewBox", `${-pad} ${-pad} ${wide + 2 * pad} ${high + 2 * pad}`);
    svg.replaceChildren();
    for (let x = 0; x <= wide + pad; x += square) svg.append(made("path", { class: "grid-line", d: `M${x} 0V${high + pad}` }));
    for (let y = 0; y <= high + pad; y += square) svg.append(made("path", { class: "grid-line", d: `M0 ${y}H${wide + pad}` }));
    if (outline.length > 1) svg.append(made("polygon", { class: "piece-outline", points: outline.join(" ") }));
    for (const ring of rings) {
      if (ring.area.dataset.hole !== undefined) svg.append(made("polygon", { class: "piece-hole", points: ring.corners.join(" ") }));
    }
    for (const { w, h, x, y } of sized()) {
      svg.append(h
        ? made("rect", { class: "piece-hole", x: x - w / 2, y: y - h / 2, width: w, height: h })
        : made("circle", { class: "piece-hole", cx: x, cy: y, r: w / 2 }));
    }
    const told = active ? active.corners : outline;
    told.forEach(([x, y], k) => {
      const [nextX, nextY] = told[(k + 1) % told.length];
      const long = Math.hypot(nextX - x, nextY - y);
      if (told.length < 2 || long < unit * 12) return;
      svg.append(made("text", { class: "side", x: (x + nextX) / 2, y: (y + nextY) / 2, "font-size": unit * 4.2, "stroke-width": unit }, lengthOf(long, units)));
    });
    if (active) active.corners.forEach((corner, k) => handle(corner, k, unit));
    words.textContent = `One square is ${lengthOf(square, units)}.${active && active.corners.length < 3 ? ` ${active.name}: click the grid to set its corners, in order.` : ""}`;
  }

  function handle([x, y], k, unit) {
    const label = `${active.name}, corner ${k + 1} of ${active.corners.length}, ${lengthOf(x, units)} from the left, ${lengthOf(y, units)} from the top`;
    const mark = made("circle", { class: "corner", cx: x, cy: y, r: unit * 2.4, tabindex: 0, role: "button", "aria-label": label });
    svg.append(mark);
    mark.addEventListener("focus", () => { last = k; });
    mark.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      event.stopPropagation();
      const onMove = (moved) => { set(k, at(moved)); };
      addEventListener("pointermove", onMove);
      addEventListener("pointerup", () => { removeEventListener("pointermove", onMove); focus(k); }, { once: true });
    });
    mark.addEventListener("keydown", (event) => {
      const step = event.shiftKey ? FINE : STEP;
      const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
      if (event.key === "Delete" || event.key === "Backspace") {
        event.preventDefault();
        take();
      }
      if (!by) return;
      event.preventDefault();
      set(k, [active.corners[k][0] + by[0], active.corners[k][1] + by[1]]);
      focus(k);
      words.textContent = svg.querySelectorAll(".corner")[k].getAttribute("aria-label");
    });
  }

  function at(event) {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return [point.x, point.y].map((each) => Math.round(each / STEP) * STEP);
  }

  function set(k, corner) {
    active.corners[k] = corner.map((each) => Math.max(0, each));
    write(active);
    draw();
  }

  function focus(k) {
    svg.querySelectorAll(".corner")[k]?.focus();
  }

  function add(corner, after) {
    active.corners.splice(after + 1, 0, corner.map((each) => Math.max(0, each)));
    write(active);
    draw();
    focus(after + 1);
  }

  function take() {
    active.corners.splice(Math.min(last, active.corners.length - 1), 1);
    write(active);
    draw();
    focus(Math.max(0, Math.min(last, active.corners.length - 1)));
  }

  // The side that a point lies on, to set a corner into it; otherwise it comes last.
  function sideAt([x, y]) {
    const near = Math.max(svg.viewBox.baseVal.width, svg.viewBox.baseVal.height) / 40;
    const { corners } = active;
    const found = corners.length < 3 ? -1 : corners.findIndex(([ax, ay], k) => {
      const [bx, by] = corners[(k + 1) % corners.length];
      const long = Math.hypot(bx - ax, by - ay) || 1;
      const along = Math.max(0, Math.min(1, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / long ** 2));
      return Math.hypot(ax + along * (bx - ax) - x, ay + along * (by - ay) - y) < near;
    });
    return found < 0 ? corners.length - 1 : found;
  }

  let began = null;
  svg.addEventListener("pointerdown", (event) => { began = [event.clientX, event.clientY]; });
  svg.addEventListener("pointerup", (event) => {
    if (!active || !began || Math.hypot(event.clientX - began[0], event.clientY - began[1]) > 6) return;
    began = null;
    const corner = at(event);
    add(corner, sideAt(corner));
  });

  function button(text, act) {
    const found = document.createElement("button");
    found.type = "button";
    found.textContent = text;
    found.addEventListener("click", act);
    tools.append(found);
    return found;
  }

  if (rings.length) {
    const choices = rings.length < 2 ? [] : rings.map((ring) => button(ring.name, () => {
      active = ring;
      choices.forEach((each, k) => each.setAttribute("aria-pressed", rings[k] === active));
      draw();
    }));
    choices.forEach((each, k) => each.setAttribute("aria-pressed", rings[k] === active));
    button("Add a corner", () => {
      const { corners } = active;
      if (corners.length < 3) {
        const side = LEAST / (active.area.dataset.hole === undefined ? 2 : 8);
        const from = active.area.dataset.hole === undefined ? 0 : side;
        add([[from, from], [from + side, from], [from + side, from + side]][corners.length], corners.length - 1);
        return;
      }
      const k = Math.min(last, corners.length - 1);
      const [[ax, ay], [bx, by]] = [corners[k], corners[(k + 1) % corners.length]];
      add([(ax + bx) / 2, (ay + by) / 2], k);
    });
    button("Take the corner away", take);
  }
  piece.addEventListener("input", (event) => {
    const ring = rings.find((each) => each.area === event.target);
    if (ring) ring.corners = cornersOf(ring.area.value) ?? ring.corners;
    draw();
  });
  draw();
}

for (const place of document.querySelectorAll("[data-draw]")) draws(place);
