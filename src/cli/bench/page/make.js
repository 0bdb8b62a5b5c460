// Elements made by hand. Text goes in as text only, so nothing from a job is ever read as markup.

const SVG = "http://www.w3.org/2000/svg";

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return element;
}

export const el = (tag, attributes, ...children) => fill(document.createElement(tag), attributes, children);
export const svg = (tag, attributes, ...children) => fill(document.createElementNS(SVG, tag), attributes, children);
export const link = (href, ...children) => el("a", { href }, ...children);
// A name that may be broken behind its low lines, and nowhere else.
export const broken = (name) => name.split(/(?<=_)/).flatMap((part, at) => at ? [el("wbr"), part] : [part]);
export const heading = (text) => el("h2", { tabindex: "-1" }, text);

export function table(caption, headings, rows) {
  return el("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": caption },
    el("table", null,
      el("thead", null, el("tr", null, headings.map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", null, rows.map((row) => el("tr", null, row.map((cell, at) => el(at ? "td" : "th",
        at ? null : { scope: "row" }, cell)))))));
}

// In a file's place, where the bench cannot read it.
export function showUnread(main, file, title) {
  main.append(heading(title), el("p", { class: "found" }, `${file.name} is there and cannot be read: ${file.unread}. `
    + "Mend that outside this page and come back to it; until then nothing of the job can be checked or run."));
  return () => {};
}

// Gives a text to be saved as a file.
export function saved(name, text) {
  const href = URL.createObjectURL(new Blob([text ?? ""], { type: "text/plain;charset=utf-8" }));
  const a = el("a", { href, download: name });
  document.body.append(a);
  a.click();
  a.remove();
  setTimeout(() => URL.revokeObjectURL(href), 10_000);
}

// So many lines show at a time.
export const PAGE = 40;

// Which lines show, and buttons to those before and after. Once `go` has drawn these into `body`, the button that led
// there is gone to, or the other one at the end.
export function pager(body, from, all, go) {
  const last = Math.min(from + PAGE, all);
  const turn = (step) => {
    go(step);
    const [before, after] = body.querySelectorAll("p.tools button");
    const [own, other] = step > 0 ? [after, before] : [before, after];
    (own.disabled ? other : own).focus();
  };
  return el("p", { class: "tools" },
    el("button", { type: "button", disabled: from === 0, onclick: () => turn(-PAGE) }, "Lines before"),
    el("button", { type: "button", disabled: last >= all, onclick: () => turn(PAGE) }, "Lines after"),
    all ? ` ${from + 1} to ${last} of ${all}` : " no lines");
}

// Calls back before the page is printed and after; gives what ends that.
export function onPrint(before, after) {
  window.addEventListener("beforeprint", before);
  window.addEventListener("afterprint", after);
  return () => {
    window.removeEventListener("beforeprint", before);
    window.removeEventListener("afterprint", after);
  };
}

// What was found, in words.
export const sentence = (finding) =>
  el("p", null, el("b", null, `${finding.severity} ${finding.code}`), `: ${finding.what}; ${finding.remedy}`);

// Numbers of lines to go to, after some words: the first of them, and how many more there are; nothing where none is.
const MOST = 30;
export const numbers = (words, lines, go) => (lines.length ? el("p", null, words, lines.slice(0, MOST).map((line, at) =>
  [at ? ", " : "", el("button", { type: "button", class: "small", onclick: () => go(line) }, String(line))]),
lines.length > MOST ? ` and ${lines.length - MOST} more` : null) : null);

export const status = (text) => { document.getElementById("status").textContent = text; };
export const counted = (n, one, many) => `${n} ${n === 1 ? one : many}`;
