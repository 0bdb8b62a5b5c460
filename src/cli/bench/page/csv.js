// CSV as in RFC 4180: rows with the line they start on; a cell that nobody touches stays as it is
// in the file, to the byte, and so does a row's end.

export function parse(text) {
  const mark = text.startsWith("\ufeff") ? "\ufeff" : "";
  const rows = [];
  let at = mark.length;
  while (at < text.length) {
    const from = at;
    const cells = [];
    const raws = [];
    let open = true;
    while (open) {
      const begun = at;
      let cell = "";
      if (text[at] === '"') {
        at += 1;
        while (at < text.length) {
          if (text[at] !== '"') cell += text[at];
          else if (text[at + 1] === '"') { cell += '"'; at += 1; } else break;
          at += 1;
        }
        at += 1;
      }
      while (at < text.length && text[at] !== "," && text[at] !== "\n" && text[at] !== "\r") {
        cell += text[at];
        at += 1;
      }
      cells.push(cell);
      raws.push(text.slice(begun, at));
      open = text[at] === ",";
      if (open) at += 1;
    }
    const raw = text.slice(from, at);
    const end = text.startsWith("\r\n", at) ? "\r\n" : text[at] ?? "";
    at += end.length;
    rows.push({ cells, raw, end, was: { cells: [...cells], raws, raw } });
  }
  const end = rows[0]?.end || "\n";
  // Blank lines above the headings, and one that only tells a spreadsheet the separator, are no rows.
  const lead = [];
  if (/^[" ]*sep=[^" ]?[" ]*$/.test(rows[0]?.raw)) lead.push(rows.shift());
  while (rows.length && rows[0].cells.every((cell) => cell.trim() === "")) lead.push(rows.shift());
  return number({ mark, end, lead, headings: rows.shift() || { cells: [], raw: "", end: "" }, rows });
}

const quoted = (cell) => (/[",\r\n]|^\s|\s$/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);
const cellOf = (row, at) => (row.was && row.cells[at] === row.was.cells[at] ? row.was.raws[at] : quoted(row.cells[at]));
const line = (row) => (row.raw === null ? row.cells.map((_, at) => cellOf(row, at)).join(",") : row.raw);
const height = (row) => 1 + (line(row).match(/\r\n|\n|\r/g) || []).length;

// Says on which line every row stands.
export function number(sheet) {
  let at = 1;
  for (const row of [...sheet.lead, sheet.headings, ...sheet.rows]) {
    row.line = at;
    at += height(row);
  }
  return sheet;
}

// A row that was the last may have had no end. A file without any line has no headings either.
export function text(sheet) {
  const rows = [...sheet.lead, ...(line(sheet.headings) ? [sheet.headings] : []), ...sheet.rows];
  const ends = rows.map((row, at) => row.end || (at < rows.length - 1 || row.end === undefined ? sheet.end : ""));
  return sheet.mark + rows.map((row, at) => line(row) + ends[at]).join("");
}

// Rows of cells as text.
export const written = (rows) => rows.map((cells) => `${cells.map(quoted).join(",")}\n`).join("");

// A row that comes to be as it was is written as it was.
function touched(row) {
  const before = row.was?.cells;
  const same = before && row.cells.every((cell, at) => cell === (before[at] ?? "")) && row.cells.length >= before.length;
  if (same) row.cells = [...before];
  row.raw = same ? row.was.raw : null;
}

export function change(row, column, value) {
  while (row.cells.length <= column) row.cells.push("");
  row.cells[column] = value;
  touched(row);
}

// A column behind those with headings. Cells beyond them move on.
export function addColumn(sheet, name) {
  const at = sheet.headings.cells.length;
  sheet.headings.cells.push(name);
  sheet.headings.raw = null;
  for (const row of sheet.rows) {
    const beyond = row.cells.slice(at).some((cell) => cell.trim() !== "");
    if (!beyond && row.cells.length !== at) continue;
    for (const cells of [row.cells, row.was?.cells, row.was?.raws]) cells?.splice(at, 0, "");
    row.raw = null;
    if (row.was) row.was.raw = null;
  }
}

// A block of cells as spreadsheets put it on the clipboard: tabs between cells, quotes round those that hold a tab, a
// quote at their beginning or a line end.
export function block(text) {
  const rows = [[]];
  let at = 0;
  while (at < text.length) {
    let cell = "";
    const quotedCell = text[at] === '"' && /^"(?:[^"]|"")*"(?=\t|\r?\n|\r|$)/.exec(text.slice(at));
    if (quotedCell) {
      cell = quotedCell[0].slice(1, -1).replaceAll('""', '"');
      at += quotedCell[0].length;
    }
    while (at < text.length && !"\t\r\n".includes(text[at])) {
      cell += text[at];
      at += 1;
    }
    rows.at(-1).push(cell);
    if (text[at] === "\t") {
      at += 1;
      if (at >= text.length) rows.at(-1).push("");
    } else if (at < text.length) {
      at += text.startsWith("\r\n", at) ? 2 : 1;
      if (at < text.length) rows.push([]);
    }
  }
  return rows;
}
