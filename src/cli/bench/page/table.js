// A CSV file as a table: every cell can be typed into, what was found stands beside its cell.

import { send } from "./ask.js";
import { addColumn, block, change, written } from "./csv.js";
import * as draft from "./draft.js";
import { showBook } from "./book.js";
import { PAGE, broken, counted, el, heading, numbers, onPrint, pager, sentence, showUnread, status, table } from "./make.js";
import { steps } from "./undo.js";

const LARGEST = 64 * 1024 * 1024;

export function show(main, name, title, intro, line) {
  const file = draft.files.get(name);
  if (file.unread) return showUnread(main, file, title);
  main.append(heading(title), el("p", null, intro));
  if (file.workbook) return showBook(main, file, title, line);
  const view = { from: 0, filter: "", painted: [] };
  const above = el("div");
  const body = el("div");
  const find = el("input", { type: "search", id: "filter", oninput: () => {
    view.filter = find.value.toLowerCase();
    view.from = 0;
    draw();
  } });
  const other = el("input", { type: "file", id: "other", accept: ".csv,.xlsx,.ods", onchange: loadOther });
  const undo = steps(name, draw);
  const adder = el("span", { class: "pair" });
  main.append(
    el("div", { class: "tools" },
      el("span", { class: "pair" }, el("label", { for: "filter" }, "Show lines with "), find),
      el("button", { type: "button", onclick: add }, "Add a line"), undo.buttons, adder,
      el("span", { class: "pair" }, el("label", { for: "other" }, "Load a file (.csv, .xlsx, .ods) "), other)),
    above, body,
    file.columns.length ? el("details", null, el("summary", null, "What stands in each column"),
      table(`Columns of ${name}`, ["column", "what may stand there", "for instance", "what it means"], file.columns.map((c) =>
        [c.needed ? [c.name, " ", el("small", null, "needed")] : c.name, c.form, c.example, c.meaning]))) : null);
  if (line) jump(Number(line));
  draw();
  paint();
  const ends = [draft.onChecked(paint), undo.end, onPrint(drawPrinted, draw)];
  return () => ends.forEach((end) => end());

  function matching() {
    // Blank lines of the file are no entries; a line that was just added is one.
    const rows = file.sheet.rows.filter((row) => row.raw === null || row.cells.length > 1 || row.cells[0] !== "");
    return view.filter ? rows.filter((row) => row.cells.some((c) => c.toLowerCase().includes(view.filter))) : rows;
  }

  function jump(wanted) {
    turnTo(matching().find((row) => row.line === wanted));
    setTimeout(() => document.getElementById(`cell-${wanted}-0`)?.focus());
  }

  // The page of lines on which a line stands.
  function turnTo(row) {
    const at = matching().indexOf(row);
    if (at >= 0) view.from = Math.floor(at / PAGE) * PAGE;
  }

  // Shows a line's cell, on whatever page it is, and goes there; without a line to where lines are added.
  function goTo(row, column = 0) {
    turnTo(row);
    draw();
    (document.getElementById(`cell-${row?.line}-${column}`) || find).focus();
  }

  function columnAdder() {
    const known = file.columns.filter((c) => !has(c.name));
    if (!known.length) return [];
    const pick = el("select", { id: "column", onchange: () => {
      addColumn(file.sheet, pick.value);
      draft.changed(file);
      draw();
      document.getElementById("column")?.focus();
    } }, el("option", { value: "" }, "choose"), known.map((c) => el("option", { value: c.name }, c.name)));
    return [el("label", { for: "column" }, "Add the column "), pick];
  }

  function has(column) {
    const plain = (text) => text.toLowerCase().replace(/\(mm\)$/, "").replace(/[ _-]/g, "");
    return file.sheet.headings.cells.some((h) => plain(h) === plain(column));
  }

  function meaning(text) {
    return file.columns.find((c) => c.name === text.trim().toLowerCase());
  }

  function add() {
    const row = blank();
    file.sheet.rows.push(row);
    draft.changed(file);
    view.filter = find.value = "";
    goTo(row);
  }

  function blank() {
    return { cells: file.sheet.headings.cells.map(() => ""), raw: null, line: 0 };
  }

  // How many columns there are: those with a heading, and cells beyond them.
  function columns() {
    return file.sheet.rows.reduce((most, row) => Math.max(most, filled(row.cells)), file.sheet.headings.cells.length);
  }

  function headed(column) {
    return file.sheet.headings.cells[column] ?? `column ${column + 1}, without heading`;
  }

  // A block of cells from a spreadsheet goes into the cells from this one on, and into new lines behind the last.
  function paste(event, row, column) {
    const text = event.clipboardData?.getData("text/plain") ?? "";
    const many = /\t|[\r\n]+[^\r\n]/.test(text);
    if (!many || (event.target.tagName === "TEXTAREA" && !text.includes("\t"))) return;
    event.preventDefault();
    const rows = block(text);
    const plain = (word) => word.trim().toLowerCase();
    const names = file.sheet.headings.cells.slice(column);
    // Who takes the whole of a list takes its headings with it.
    if (rows[0].length > 1 && rows[0].every((cell, at) => plain(cell) === plain(names[at] ?? ""))) rows.shift();
    // A selection may be wider than what stands in it.
    const left = columns() - column;
    const needed = (cells) => Math.max(Math.min(cells.length, left), filled(cells));
    const wide = rows.reduce((most, cells) => Math.max(most, needed(cells)), 0);
    if (wide > left) {
      status(`Nothing was pasted: the block is ${counted(wide, "column", "columns")} wide, and from here on there `
        + `${left === 1 ? "is" : "are"} ${left}. Paste it farther to the left, or add columns first.`);
      return;
    }
    const lines = matching();
    const from = lines.indexOf(row);
    let added = 0;
    rows.forEach((cells, at) => {
      let into = lines[from + at];
      if (!into) {
        into = blank();
        file.sheet.rows.push(into);
        added += 1;
      }
      cells.slice(0, wide).forEach((cell, k) => change(into, column + k, cell.replace(/\r\n?/g, "\n")));
    });
    draft.changed(file);
    if (added) view.filter = find.value = "";
    goTo(row, column);
    status(`Pasted ${counted(rows.length, "line", "lines")} of ${counted(wide, "column", "columns")}, `
      + `${added ? counted(added, "of them a new line", "of them new lines") : "over lines that were there"}; Undo takes it back.`);
  }

  async function loadOther() {
    const [chosen] = other.files;
    if (!chosen) return;
    if (chosen.size > LARGEST) {
      status(`${chosen.name} is larger than 64 MB and was not loaded.`);
      return;
    }
    const ending = chosen.name.split(".").pop().toLowerCase();
    let from = chosen.name;
    try {
      if (ending === "csv") {
        // Whether its bytes are text is for the bench to say: in the browser unreadable letters are lost without a word.
        await send(`api/read/${encodeURIComponent(name)}`, chosen);
        draft.replace(file, await chosen.text());
      } else {
        const list = await send(`api/read/${encodeURIComponent(name.replace(/csv$/, ending))}`, chosen);
        draft.replace(file, written(list.rows.map(([, cells]) => cells)));
        from += `, sheet ${list.sheet},`;
      }
    } catch (why) {
      const found = (why.findings || []).filter((f) => f.severity === "error")
        .map((f) => `${f.line ? `${f.sheet ? "row" : "line"} ${f.line}: ` : ""}${f.what}; ${f.remedy}`).join("; ");
      status(`${chosen.name} was not loaded: ${found || why.message}.`);
      return;
    } finally {
      other.value = "";
    }
    view.from = 0;
    draw();
    status(`${from} is loaded in place of ${name}; it is not saved yet.`);
  }

  function draw() {
    const rows = matching();
    if (view.from >= rows.length) view.from = Math.floor(Math.max(0, rows.length - 1) / PAGE) * PAGE;
    const shown = rows.slice(view.from, view.from + PAGE);
    view.painted = [];
    adder.replaceChildren(...columnAdder());
    const wide = Array.from({ length: columns() }, (_, at) =>
      shown.reduce((most, row) => Math.max(most, (row.cells[at] ?? "").length), 3));
    const head = wide.map((_, at) => {
      const text = file.sheet.headings.cells[at] ?? "no heading";
      const known = meaning(text);
      return el("th", { scope: "col", title: known ? `${known.form}: ${known.meaning}` : null },
        broken(text), known?.needed ? el("small", null, " needed") : null);
    });
    body.replaceChildren(
      el("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": `${title}, lines` },
        el("table", { class: "sheet" },
          el("thead", null, el("tr", null, el("th", { scope: "col" }, "row"), head)),
          el("tbody", null, shown.map((row) => drawRow(row, wide))))),
      pager(body, view.from, rows.length, (step) => { view.from += step; draw(); }));
    paint();
  }

  // On paper all lines stand, as text, and what was found stands below them.
  function drawPrinted() {
    const { cells: headings } = file.sheet.headings;
    const found = job(name).filter((f) => f.line > 1);
    // Columns in which nothing stands take no room on paper.
    const all = Array.from({ length: columns() }, (_, column) => column);
    const used = all.filter((column) => matching().some((row) => (row.cells[column] ?? "").trim() !== ""));
    const long = (text) => (/\S{24}/.test(text) ? { class: "long" } : null);
    const where = (f) => `line ${f.line}${f.field ? `, ${f.field}` : f.column ? `, ${headings[f.column - 1] || ""}` : ""}`;
    body.replaceChildren(
      el("table", { class: "sheet" },
        el("thead", null, el("tr", null, el("th", null, "row"), used.map((column) => el("th", null, broken(headings[column] ?? "no heading"))))),
        el("tbody", null, matching().map((row) => el("tr", null, el("th", null, String(row.line)),
          used.map((column) => el("td", long(row.cells[column] ?? ""), row.cells[column] ?? "")))))),
      found.length ? el("h3", null, "What was found") : "",
      ...found.map((f) => el("div", { class: "found" }, where(f), sentence(f))));
  }

  function drawRow(row, wide) {
    const slots = [];
    const cells = wide.map((_, column) => {
      const id = `cell-${row.line}-${column}`;
      const slot = el("div", { class: "found", id: `${id}-found` });
      const value = row.cells[column] ?? "";
      // A cell of several lines would lose their ends in a field of one.
      const [kept] = value.match(/\r\n?/) || ["\n"];
      const input = el(/[\r\n]/.test(value) ? "textarea" : "input", {
        id, "aria-label": `${headed(column)}, line ${row.line}`,
        autocomplete: "off", spellcheck: "false",
        oninput: () => {
          change(row, column, input.value.replaceAll("\n", kept));
          draft.changed(file, `${row.line} ${column}`);
        },
        onpaste: (event) => paste(event, row, column),
        onkeydown: (event) => step(event, column),
      });
      input.value = value;
      input.style.minWidth = `${Math.min(wide[column], 30) + 2}ch`;
      slots.push({ input, slot });
      return el("td", null, input, slot);
    });
    const own = el("div", { class: "found" });
    view.painted.push({ row, slots, own });
    return el("tr", null,
      el("th", { scope: "row" }, String(row.line), " ",
        el("button", { type: "button", class: "small", "aria-label": `Copy line ${row.line}`, onclick: () => copy(row) }, "copy"),
        el("button", { type: "button", class: "small", "aria-label": `Delete line ${row.line}`, onclick: () => remove(row) }, "delete"),
        own),
      cells);
  }

  function copy(row) {
    const at = file.sheet.rows.indexOf(row);
    const copied = { cells: [...row.cells], raw: null, line: 0 };
    file.sheet.rows.splice(at + 1, 0, copied);
    draft.changed(file);
    goTo(copied);
  }

  function remove(row) {
    const before = matching();
    const at = before.indexOf(row);
    file.sheet.rows.splice(file.sheet.rows.indexOf(row), 1);
    draft.changed(file);
    goTo(before[at + 1] || before[at - 1]);
    status(`Line ${row.line} is taken out; it is not saved yet.`);
  }

  // Up and down move between lines in one column.
  function step(event, column) {
    const by = { ArrowUp: -1, ArrowDown: 1, Enter: 1 }[event.key];
    if (!by || event.altKey || event.ctrlKey || event.metaKey || event.target.tagName === "TEXTAREA") return;
    const at = view.painted.findIndex((p) => p.slots[column].input === event.target);
    const next = view.painted[at + by];
    const lines = matching();
    const beyond = lines[view.from + at + by];
    if (next || beyond) event.preventDefault();
    if (next) next.slots[column].input.focus();
    else if (beyond) goTo(beyond, column);
    else if (event.key === "Enter" && !view.filter && filled(lines.at(-1).cells)) {
      // Behind the last line a new one begins.
      event.preventDefault();
      add();
    }
  }

  function paint() {
    const mine = job(name);
    const loose = mine.filter((f) => !f.line || f.line === 1);
    above.replaceChildren(summary(mine, loose));
    for (const { row, slots, own } of view.painted) {
      const here = mine.filter((f) => f.line === row.line);
      const placed = (f) => {
        const at = f.column ? f.column - 1 : file.sheet.headings.cells.findIndex((h) => h.trim().toLowerCase() === f.field);
        return at < slots.length ? at : -1;
      };
      // The cell may be far to the right of what shows: the line says where to look, and goes there.
      const columns = [...new Set(here.map(placed).filter((at) => at >= 0))].sort((a, b) => a - b);
      const had = own.contains(document.activeElement) ? document.activeElement.getAttribute("aria-label") : null;
      own.replaceChildren(...here.filter((f) => placed(f) < 0).map(sentence),
        ...columns.map((at) => el("p", null, el("button", { type: "button", class: "small",
          "aria-label": `see ${headed(at)} in line ${row.line}`,
          onclick: () => slots[at].input.focus() }, `see ${headed(at)}`))));
      if (had) [...own.querySelectorAll("button")].find((button) => button.getAttribute("aria-label") === had)?.focus();
      slots.forEach(({ input, slot }, column) => {
        const found = here.filter((f) => placed(f) === column);
        slot.replaceChildren(...found.map(sentence));
        if (found.length) input.setAttribute("aria-describedby", slot.id);
        else input.removeAttribute("aria-describedby");
        if (found.some((f) => f.severity === "error")) input.setAttribute("aria-invalid", "true");
        else input.removeAttribute("aria-invalid");
      });
    }
  }

  function summary(mine, loose) {
    const errors = [...new Set(mine.filter((f) => f.severity === "error" && f.line > 1).map((f) => f.line))];
    return el("div", null,
      loose.map((f) => el("p", { class: "found" }, sentence(f))),
      numbers("Lines with errors: ", errors, (line) => { view.filter = find.value = ""; jump(line); draw(); }));
  }
}

// How many cells there are up to the last one in which something stands.
const filled = (cells) => 1 + cells.findLastIndex((cell) => cell.trim() !== "");
const job = (name) => draft.job.findings.filter((f) => f.file === name || f.file.endsWith(`/${name}`));
