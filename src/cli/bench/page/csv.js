// CSV as in RFC 4180: rows with the line they start on; a row that nobody touches stays as it is
// in the file, to the byte.

export function parse(text) {
  const mark = text.startsWith("\ufeff") ? "\ufeff" : "";
  const end = text.includes("\r\n") ? "\r\n" : "\n";
  const rows = [];
  let at = mark.length;
  while (at < text.length) {
    const from = at;
    const cells = [];
    let open = true;
    while (open) {
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
      open = text[at] === ",";
      if (open) at += 1;
    }
    const raw = text.slice(from, at);
    if (text[at] === "\r") at += 1;
    if (text[at] === "\n") at += 1;
    rows.push({ cells, raw });
  }
  return number({ mark, end, headings: rows.shift() || { cells: [], raw: "" }, rows });
}

const quoted = (cell) => (/[",\r\n]|^\s|\s$/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);
const line = (row) => (row.raw === null ? row.cells.map(quoted).join(",") : row.raw);
const height = (row) => 1 + (line(row).match(/\n/g) || []).length;

// Says on which line every row stands.
export function number(sheet) {
  let at = 1 + height(sheet.headings);
  for (const row of sheet.rows) {
    row.line = at;
    at += height(row);
  }
  return sheet;
}

export function text(sheet) {
  const rows = [sheet.headings, ...sheet.rows];
  return sheet.mark + rows.map((row) => line(row) + sheet.end).join("");
}

// Rows of cells as text.
export const written = (rows) => rows.map((cells) => `${cells.map(quoted).join(",")}\n`).join("");

export function change(row, column, value) {
  while (row.cells.length <= column) row.cells.push("");
  row.cells[column] = value;
  row.raw = null;
}
