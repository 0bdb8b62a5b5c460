// A pull drawn to scale, as the cutter sees it from the roll's front, which is at the bottom.
// Pieces are links; larger and smaller by buttons, plus and minus keys, or the wheel with Ctrl.

import { el, svg } from "./make.js";

const STEPS = [1, 1.5, 2, 3, 4, 6, 8, 12];

function turned(piece, turn) {
  const corners = piece.outline
    ? piece.outline.map(([x, y]) => [Number(x), Number(y)])
    : [[0, 0], [piece.width, 0], [piece.width, piece.length], [0, piece.length]];
  const [sin, cos] = [Math.sin((turn * Math.PI) / 180), Math.cos((turn * Math.PI) / 180)];
  const round = corners.map(([x, y]) => [x * cos - y * sin, x * sin + y * cos]);
  const [left, low] = [Math.min(...round.map((c) => c[0])), Math.min(...round.map((c) => c[1]))];
  return round.map(([x, y]) => [x - left, y - low]);
}

export function drawing(plan, number, marked, to) {
  const pull = plan.pulls[number];
  const { width, length } = pull;
  const font = width / 34;
  const sheet = svg("svg", { viewBox: `${-font} ${-font} ${width + 2 * font} ${length + 2 * font}`, class: "pull",
    role: "group", "aria-label": `Drawing ${number + 1}, ${pull.read[0]} by ${pull.read[1]} ${plan.unit}`, "font-size": font },
  svg("path", { class: "w", d: `M0 0H${width}V${length}H0z` }));
  const order = [...pull.placements].sort((a, b) => a[2] - b[2] || a[1] - b[1]);
  const bold = [];
  for (const [at, x, y, turn] of order) {
    const piece = plan.pieces[at];
    const corners = turned(piece, turn).map(([cx, cy]) => [x + cx, length - y - cy]);
    const d = `M${corners.map((c) => c.map((v) => v.toFixed(1)).join(" ")).join("L")}z`;
    const name = `${piece.piece}, ${plan.sizes[at].join(" by ")}${turn ? `, turned ${turn} degrees` : ""}`;
    const link = svg("a", { href: to("piece", piece.piece), "aria-label": name },
      svg("title", null, name), svg("path", { class: marked.has(at) ? "p marked" : "p", d }), label(piece, corners, font));
    if (marked.has(at)) bold.push(link);
    else sheet.append(link);
  }
  sheet.append(...bold);
  return zoomable(sheet, width, length);
}

// Where in a curved piece its code may stand, in parts of its box, the middle first; and in which letters.
const PARTS = [0.5, 0.375, 0.625, 0.25, 0.75, 0.125, 0.875];
const SMALLER = [1, 0.8, 0.6, 0.45, 0.3, 0.2];

// How far to each side of a point the shape is free in a band of this height around it; 0 where the point is outside.
function free(corners, [x, y], high) {
  const [low, top] = [y - high / 2, y + high / 2];
  let least = Infinity;
  let inside = false;
  corners.forEach((a, at) => {
    const b = corners[(at + 1) % corners.length];
    const across = (level) => a[0] + ((level - a[1]) / (b[1] - a[1])) * (b[0] - a[0]);
    if ((a[1] > y) !== (b[1] > y) && across(y) > x) inside = !inside;
    if (Math.max(a[1], b[1]) <= low || Math.min(a[1], b[1]) >= top) return;
    const ends = [a, b].map(([ex, ey]) => (ey < low ? across(low) : ey > top ? across(top) : ex) - x);
    least = Math.min(least, ends[0] * ends[1] <= 0 ? 0 : Math.min(...ends.map(Math.abs)));
  });
  return inside ? least : 0;
}

// The largest letters that stand inside a curved piece, where, and whether they lie; nothing where none do.
function within(corners, [left, bottom, w, h], letters, font) {
  const swapped = corners.map(([x, y]) => [y, x]);
  const middles = PARTS.flatMap((along) => PARTS.map((across) => [left + w * across, bottom + h * along]));
  const ways = w >= h ? [true, false] : [false, true];
  for (const part of SMALLER) {
    const high = font * part;
    for (const [x, y] of middles) {
      const lies = ways.find((way) =>
        (way ? free(corners, [x, y], high) : free(swapped, [y, x], high)) * 2 >= letters * high);
      if (lies !== undefined) return { x, y, high, lies };
    }
  }
  return null;
}

function label(piece, corners, font) {
  const xs = corners.map((c) => c[0]);
  const ys = corners.map((c) => c[1]);
  const [w, h] = [Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)];
  const [cx, cy] = [(Math.max(...xs) + Math.min(...xs)) / 2, (Math.max(...ys) + Math.min(...ys)) / 2];
  const room = Math.max(w, h) / (piece.piece.length * 0.62);
  const found = piece.outline && within(corners, [Math.min(...xs), Math.min(...ys), w, h], piece.piece.length * 0.62 + 0.2, font);
  const { x, y, high, lies } = found || { x: cx, y: cy, high: Math.min(font, room, Math.min(w, h) * 0.8), lies: w >= h };
  return svg("text", { x, y: y + high * 0.36, "font-size": high.toFixed(1), class: "label",
    transform: lies ? null : `rotate(-90 ${x} ${y})` }, piece.piece);
}

function zoomable(sheet, width, length) {
  let step = 0;
  const frame = el("div", { class: "frame", tabindex: "0", role: "region", "aria-label": "Drawing; plus and minus make it larger and smaller",
    onkeydown: (event) => {
      // With these it is the whole page that is made larger.
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key === "+" || event.key === "=") zoom(1);
      else if (event.key === "-") zoom(-1);
      else return;
      event.preventDefault();
    } }, sheet);
  frame.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    zoom(event.deltaY < 0 ? 1 : -1);
  }, { passive: false });
  const told = el("span", { role: "status" }, "whole");
  const larger = el("button", { type: "button", onclick: () => zoom(1) }, "Larger");
  const smaller = el("button", { type: "button", onclick: () => zoom(-1) }, "Smaller");
  const whole = el("button", { type: "button", onclick: () => zoom(-STEPS.length) }, "Whole pull");
  const fit = () => Math.min(frame.clientWidth || 300, 900, ((window.innerHeight * 0.8) * width) / length + 40);
  zoom(0);
  requestAnimationFrame(() => zoom(0));
  return el("div", null, el("p", { class: "tools" }, larger, smaller, whole, told), frame);

  function zoom(by) {
    const middle = [(frame.scrollLeft + frame.clientWidth / 2) / (frame.scrollWidth || 1),
      (frame.scrollTop + frame.clientHeight / 2) / (frame.scrollHeight || 1)];
    step = Math.max(0, Math.min(STEPS.length - 1, step + by));
    sheet.style.width = `${Math.max(fit(), 200) * STEPS[step]}px`;
    told.textContent = step ? `${STEPS[step]} times` : "whole";
    [larger.disabled, smaller.disabled] = [step === STEPS.length - 1, step === 0];
    frame.scrollLeft = middle[0] * frame.scrollWidth - frame.clientWidth / 2;
    frame.scrollTop = middle[1] * frame.scrollHeight - frame.clientHeight / 2;
  }
}
