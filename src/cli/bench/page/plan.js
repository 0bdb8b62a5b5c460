// The plan: layouts, pulls, pieces, items, each linked to the others.

import { get } from "./ask.js";
import { counted, el, heading, link, onPrint, svg, table } from "./make.js";
import { drawing } from "./pull.js";

let plan = null;
const MANY = 40;

export function forget() { plan = null; }

async function fetched() {
  if (plan) return plan;
  const told = await get("api/plan");
  const holds = new Map();
  told.pulls.forEach((pull, number) => {
    for (const [piece] of pull.placements) {
      const in_pulls = holds.get(piece) || new Map();
      in_pulls.set(number, (in_pulls.get(number) || 0) + 1);
      holds.set(piece, in_pulls);
    }
  });
  const items = new Map();
  told.pieces.forEach((piece, at) => {
    for (const use of piece.uses || []) {
      const list = items.get(use.item) || [];
      list.push({ ...use, at });
      items.set(use.item, list);
    }
  });
  plan = { ...told, holds, uses: items, byCode: new Map(told.pieces.map((p, at) => [p.piece, at])) };
  return plan;
}

const to = (...parts) => `#plan/${parts.map(encodeURIComponent).join("/")}`;
const pullLink = (number, item) => link(item ? to("drawing", number + 1, "for", item) : to("drawing", number + 1), `drawing ${number + 1}`);
const pieceLink = (piece) => link(to("piece", piece.piece), piece.piece);
const itemLink = (item) => link(to("item", item), item);
const layoutLink = (number) => link(to("layout", number + 1), `layout ${number + 1}`);
const joined = (list) => list.map((node, at) => [at ? ", " : "", node]);
const size = (told, at) => told.sizes[at].join(" × ");

export async function show(main, parts) {
  let told;
  try {
    told = await fetched();
  } catch (why) {
    main.append(heading("Plan"), el("p", null, `${why.message}.`), el("p", null, link("#run", "Run"), " makes one."));
    return () => {};
  }
  const [what, name, , item] = parts;
  const title = heading("Plan");
  main.append(title, finder(told));
  const number = Number(name) - 1;
  if (what === "drawing" && told.pulls[number]) pull(main, told, number, item);
  else if (what === "layout" && told.layouts[number]) layout(main, told, number);
  else if (what === "piece" && told.byCode.has(name)) piece(main, told, told.byCode.get(name));
  else if (what === "item" && told.uses.has(name)) one(main, told, name);
  else return all(main, told);
  return () => {};
}

function finder(told) {
  const found = el("ul", { class: "hits" });
  const box = el("input", { id: "find", type: "search", autocomplete: "off", oninput: () => {
    const words = box.value.trim().toLowerCase();
    if (!words) { found.replaceChildren(); return; }
    const rank = (text) => (text.toLowerCase() === words ? 0 : text.toLowerCase().startsWith(words) ? 1 : 2);
    const items = [...told.uses.keys()].filter((item) => `${item} ${told.items[item]?.line || ""} ${told.items[item]?.area || ""}`.toLowerCase().includes(words));
    const pieces = told.pieces.filter((p) => p.piece.toLowerCase().includes(words));
    items.sort((a, b) => rank(a) - rank(b));
    pieces.sort((a, b) => rank(a.piece) - rank(b.piece));
    const none = Object.keys(told.items).filter((item) => !told.uses.has(item) && item.toLowerCase().includes(words));
    const hits = [...pieces.slice(0, 12).map((p) => el("li", null, "piece ", pieceLink(p), `, ${size(told, told.byCode.get(p.piece))} ${told.unit}`)),
      ...items.slice(0, 12).map((i) => el("li", null, "item ", itemLink(i), told.items[i]?.line ? `, line ${told.items[i].line}` : ""))];
    const more = [[pieces.length, "piece", "pieces"], [items.length, "item", "items"]].filter(([n]) => n > 12);
    if (more.length) hits.push(el("li", null, `and ${more.map(([n, one, many]) => counted(n - 12, `more ${one}`, `more ${many}`)).join(" and ")}: type more of the name`));
    hits.push(...none.slice(0, 12).map((item) => el("li", null, `item ${item} takes no piece of this plan`)));
    found.replaceChildren(...(hits.length ? hits : [el("li", null, "nothing of that name")]));
  } });
  return el("div", { class: "tools", role: "search" }, el("label", { for: "find" }, "Find a piece or an item "), box,
    link("#plan", "all layouts"), found);
}

function all(main, told) {
  main.append(el("h3", null, "Order"),
    el("ul", null, told.nests.map((nest) => el("li", null, el("b", null, nest.thickness), ": ", nest.order.join("; ") || "nothing is to be bought",
      ".", el("br"), `${nest.proof}.`))),
    told.price.length ? el("p", null, told.price.map((words) => (words.endsWith(".") ? words : `${words}.`)).join(" ")) : "",
    el("h3", null, "Layouts"),
    el("p", null, "Every roll from its front on the left, drawn to scale. White: pulls; dashed: "
      + `offcuts to keep; hatched: lost. ${told.rounded}`));
  const list = el("div");
  let from = 0;
  const more = el("button", { type: "button", onclick: next }, "More layouts");
  main.append(list, more);
  next();
  // On paper all of them stand.
  return onPrint(() => { while (!more.hidden) next(); }, () => {});
  function next() {
    const longest = Math.max(...told.layouts.map(reach));
    told.layouts.slice(from, from + MANY).forEach((roll, at) => list.append(strip(told, from + at, longest)));
    from += MANY;
    more.hidden = from >= told.layouts.length;
  }
}

const reach = (roll) => roll.length ?? roll.pulls.reduce((far, [, y]) => Math.max(far, y), 1);

function rollInWords(told, at) {
  const roll = told.layouts[at];
  const from = roll.from === null ? "" : `, ${roll.from}`;
  const [wide, long] = roll.read[0];
  return `${roll.count} ${roll.roll}, ${told.nests[roll.nest].thickness}, `
    + `${wide} ${told.unit} wide${long ? `, ${long} ${told.unit} long` : ""}${from}`;
}

function strip(told, at, longest) {
  const roll = told.layouts[at];
  const counts = new Map();
  roll.pulls.forEach(([pull]) => counts.set(pull, (counts.get(pull) || 0) + 1));
  return el("figure", { class: "layout" },
    el("figcaption", null, el("b", null, layoutLink(at)), `: ${rollInWords(told, at)}`),
    rollDrawing(told, at, longest),
    el("p", { class: "links" }, joined([...counts].map(([pull, n]) => [pullLink(pull), n > 1 ? ` (${n} times)` : ""]))));
}

function rollDrawing(told, at, longest) {
  const roll = told.layouts[at];
  const long = reach(roll);
  const font = roll.width * 0.5;
  const box = (x, y, w, h, name) => svg("path", { class: name, d: `M${x} ${y}h${w}v${h}h${-w}z` });
  const drawn = svg("svg", { viewBox: `0 0 ${long} ${roll.width}`, class: "roll", role: "img", preserveAspectRatio: "none",
    width: `${(100 * long) / longest}%`, height: "30", "font-size": font },
    svg("title", null, `Layout ${at + 1}: ${rollInWords(told, at)}, from its front`),
    box(0, 0, long, roll.width, "w"));
  roll.pulls.forEach(([number, y]) => {
    const pull = told.pulls[number];
    drawn.append(box(y, 0, pull.length, roll.width, "p"));
  });
  roll.offcuts.filter((o) => o.keep).forEach((o) =>
    drawn.append(box(o.y, roll.width - o.x - o.width, o.length, o.width, "k")));
  return el("div", { class: "strip" }, drawn);
}

function layout(main, told, at) {
  const roll = told.layouts[at];
  main.append(el("h3", null, `Layout ${at + 1}`), el("p", null, `${rollInWords(told, at)}.`),
    rollDrawing(told, at, reach(roll)),
    table(`Layout ${at + 1}`, [`starts at, ${told.unit}`, "what", `length, ${told.unit}`], [
      ...roll.pulls.map(([pull], n) => [roll.read[1][n], pullLink(pull), told.pulls[pull].read[0]]),
      ...roll.read[2].filter((_, n) => roll.offcuts[n].keep).map(([from, wide, long]) => [from, `keep ${wide} wide`, long])]),
    neighbours("layout", at, told.layouts.length));
}

function neighbours(what, at, all) {
  return el("p", { class: "tools" },
    at > 0 ? link(to(what, at), `${what} before`) : `first ${what}`, " ",
    at + 1 < all ? link(to(what, at + 2), `${what} after`) : `last ${what}`);
}

function pull(main, told, number, item) {
  const one = told.pulls[number];
  const marked = new Set(item ? (told.uses.get(item) || []).map((use) => use.at) : []);
  const counts = new Map();
  one.placements.forEach(([piece]) => counts.set(piece, (counts.get(piece) || 0) + 1));
  main.append(el("h3", null, `Drawing ${number + 1}`),
    el("p", null, `${told.nests[one.nest].thickness}, ${one.read[0]} ${told.unit} long, ${one.read[1]} ${told.unit} wide, `
      + `${one.count === 1 ? "once" : `${one.count} times`}; ${one.read[2]} of cuts. On `,
    joined(one.layouts.slice(0, 12).map(layoutLink)), one.layouts.length > 12 ? ` and ${one.layouts.length - 12} more` : "", ".",
      one.pulls.length ? ` In the order of cutting: ${one.count > 1 ? "pulls" : "pull"} ${one.pulls.slice(0, 12).join(", ")}`
        + `${one.pulls.length > 12 ? ` and ${one.pulls.length - 12} more` : ""}.` : ""),
    item ? el("p", null, "Bold outlines: pieces that ", itemLink(item), " takes; like pieces are interchangeable. ",
      link(to("drawing", number + 1), "Mark none"), ".") : "",
    drawing(told, number, marked, to),
    neighbours("drawing", number, told.pulls.length),
    table(`Pieces of drawing ${number + 1}`, ["piece", `size, ${told.unit}`, "how many", "for"], [...counts].map(([at, n]) => {
      const p = told.pieces[at];
      const items = [...new Set((p.uses || []).map((use) => use.item))];
      return [pieceLink(p), size(told, at), String(n), [joined(items.slice(0, 6).map(itemLink)), items.length > 6 ? " and more" : ""]];
    })));
}

function held(told, at, item) {
  return joined([...(told.holds.get(at) || [])].map(([number, n]) => [pullLink(number, item), n > 1 ? ` (${n} in it)` : ""]));
}

function piece(main, told, at) {
  const p = told.pieces[at];
  main.append(el("h3", null, `Piece ${p.piece}`),
    el("p", null, `${told.nests[p.nest].thickness}, ${size(told, at)} ${told.unit}${p.outline ? ", curved" : ""}, ${p.quantity} wanted. In `,
      held(told, at, null), "."),
    table(`Where ${p.piece} goes`, ["item", "layer", "part", "how many"],
      (p.uses || []).map((use) => [itemLink(use.item), String(use.layer), use.part, String(use.quantity)])));
}

function one(main, told, item) {
  const about = told.items[item];
  const where = [about?.line ? `line ${about.line}` : "", about?.area, about ? `release ${about.release}` : ""].filter(Boolean);
  main.append(el("h3", null, `Item ${item}`),
    el("p", null, where.join(", "), where.length ? ". " : "", link(`#takeoff/item/${encodeURIComponent(item)}`, "Its line in the takeoff"), "."),
    table(`Pieces of ${item}`, ["piece", "layer", "part", "how many", "in drawings"],
      told.uses.get(item).map((use) => [pieceLink(told.pieces[use.at]), String(use.layer), use.part, String(use.quantity),
        held(told, use.at, item)])));
}
