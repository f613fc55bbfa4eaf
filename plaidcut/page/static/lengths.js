// Lengths in the fields of a form, for drawings beside them; what counts is what the page reads.
const IN_MM = { in: 25.4, '"': 25.4, inch: 25.4, inches: 25.4, mm: 1, cm: 10, ft: 304.8, yd: 914.4, m: 1000 };

export function mmOf(text) {
  const found = text.trim().toLowerCase().match(/^(?:(\d+)[\s-]+)?(?:(\d+)\s*\/\s*(\d+)|(\d*[.,]?\d+))\s*(\D*)$/);
  const unit = found && IN_MM[found[5].trim()];
  if (!unit) return null;
  const part = found[2] ? Number(found[2]) / Number(found[3]) : Number(found[4].replace(",", "."));
  return (Number(found[1] ?? 0) + part) * unit;
}

// As a ruler shows it: sixteenths of an inch, or whole millimetres.
export function lengthOf(mm, units) {
  if (units === "mm") return `${Math.round(mm)} mm`;
  const sixteenths = Math.round((mm / 25.4) * 16);
  const whole = Math.floor(sixteenths / 16);
  let [over, under] = [sixteenths % 16, 16];
  while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
  if (!over) return `${whole} in`;
  return whole ? `${whole} ${over}/${under} in` : `${over}/${under} in`;
}

export function cornersOf(text) {
  const lines = text.split("\n").filter((line) => line.trim());
  const corners = lines.map((line) => line.split(line.includes(";") ? ";" : ",").map(mmOf));
  return corners.every((each) => each.length === 2 && each.every((mm) => mm !== null)) ? corners : null;
}

export function textOf(corners, units) {
  return corners.map((each) => each.map((mm) => lengthOf(mm, units)).join("; ")).join("\n");
}
