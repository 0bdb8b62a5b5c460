// A list that is a workbook: shown as it is read, what was found beside its cells, to be kept as CSV.

import * as draft from "./draft.js";
import { PAGE, el, numbers, onPrint, pager, sentence, status } from "./make.js";

export function showBook(main, file, title, line) {
  const book = file.workbook;
  const above = el("div");
  const body = el("div");
  let from = 0;
  let many = PAGE;
  main.append(
    el("p", null, `This list is the workbook ${book.name}`, book.sheet ? `, sheet ${book.sheet}` : "",
      ". It is shown as it is read. Change it in a spreadsheet and load this page again; or keep it as "
      + `${file.name} and change it here: the workbook then stays in the folder as ${book.name}.kept, untouched.`),
    el("div", { class: "tools" },
      el("button", { type: "button", disabled: !book.rows, onclick: keep }, `Keep as ${file.name}`)),
    above, body);
  draw();
  if (line) setTimeout(() => jump(Number(line)));
  let kept = 0;
  const whole = () => { [kept, from, many] = [from, 0, Infinity]; draw(); };
  const pages = () => { [from, many] = [kept, PAGE]; draw(); };
  const ends = [draft.onChecked(draw), onPrint(whole, pages)];
  return () => ends.forEach((end) => end());

  async function keep() {
    try {
      await draft.keep(file);
      window.dispatchEvent(new HashChangeEvent("hashchange"));
      status(`The list is now ${file.name}; the workbook is ${book.name}.kept.`);
    } catch (why) {
      status(why.message);
    }
  }

  function draw() {
    const mine = draft.job.findings.filter((f) => f.file === book.name || f.file.endsWith(`/${book.name}`));
    const [headings, ...rows] = book.rows || [];
    const known = new Set((book.rows || []).map(([line]) => line));
    const loose = mine.filter((f) => !known.has(f.line) || f.line === headings[0]);
    const wrong = mine.filter((f) => f.severity === "error" && !loose.includes(f));
    above.replaceChildren(...loose.map((f) =>
      el("div", { class: "found" }, f.line ? `row ${f.line} ` : "", sentence(f))));
    above.append(numbers("Rows with errors: ", [...new Set(wrong.map((f) => f.line))], jump) || "");
    if (!headings) {
      body.replaceChildren();
      return;
    }
    const shown = rows.slice(from, from + many);
    body.replaceChildren(
      el("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": `${title}, rows` },
        el("table", null,
          el("thead", null, el("tr", null, el("th", { scope: "col" }, "row"),
            headings[1].map((text) => el("th", { scope: "col" }, text)))),
          el("tbody", null, shown.map(([line, cells]) => drawRow(line, cells, headings[1], mine))))),
      pager(body, from, rows.length, (step) => { from += step; draw(); }));
  }

  function drawRow(line, cells, headings, mine) {
    const here = mine.filter((f) => f.line === line);
    const at = (f) => (f.column ? f.column - 1 : headings.findIndex((h) => h.trim().toLowerCase() === f.field));
    const own = here.filter((f) => at(f) < 0 || at(f) >= headings.length);
    return el("tr", null,
      el("th", { scope: "row", id: `row-${line}`, tabindex: "-1" }, String(line), own.length ? el("div", { class: "found" }, own.map(sentence)) : null),
      headings.map((_, column) => {
        const found = here.filter((f) => at(f) === column);
        return el("td", null, cells[column] ?? "", found.length ? el("div", { class: "found" }, found.map(sentence)) : null);
      }));
  }

  function jump(line) {
    const at = book.rows.slice(1).findIndex(([row]) => row === line);
    from = Math.max(0, Math.floor(at / PAGE) * PAGE);
    draw();
    document.getElementById(`row-${line}`)?.focus();
  }
}
