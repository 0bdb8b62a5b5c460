// Single keys of a rules file, found and changed in its text, so that comments stay.

const SECTION = /^\s*\[([^\]]+)\]/;
const KEY = /^(\s*([A-Za-z0-9_-]+)\s*=\s*)(.*)$/;

// Where a value ends and a comment may begin.
function ends(text) {
  let quote = "";
  for (let at = 0; at < text.length; at += 1) {
    const c = text[at];
    if (quote) {
      if (c === "\\" && quote === '"') at += 1;
      else if (c === quote) quote = "";
    } else if (c === '"' || c === "'") quote = c;
    else if (c === "#") return at;
  }
  return text.length;
}

// All keys: `section.key` to line (from 0), what stands before the value, the value, what follows.
export function keys(text) {
  const found = new Map();
  let section = "";
  text.split("\n").forEach((line, at) => {
    const head = line.match(SECTION);
    if (head) section = head[1].trim();
    const key = head ? null : line.match(KEY);
    if (!key) return;
    const end = ends(key[3]);
    const value = key[3].slice(0, end).trimEnd();
    found.set(`${section}.${key[2]}`, { at, before: key[1], value, after: key[3].slice(value.length) });
  });
  return found;
}

// A value as people type it: a text without its quotes.
export function shown(value) {
  if (value === undefined) return "";
  try { if (value.startsWith('"')) return JSON.parse(value); } catch { /* shown as it is */ }
  return value.startsWith("'") && value.endsWith("'") ? value.slice(1, -1) : value;
}

const BARE = /^(true|false|[+-]?\d[\d_]*(\.\d+)?|\{.*\}|\[.*\])$/;

// The text with a key set, or taken out where the value is empty.
export function set(text, section, key, typed) {
  const lines = text.split("\n");
  const there = keys(text).get(`${section}.${key}`);
  const value = BARE.test(typed.trim()) ? typed.trim() : JSON.stringify(typed);
  if (typed.trim() === "") {
    if (there) lines.splice(there.at, 1);
  } else if (there) {
    lines[there.at] = there.before + value + there.after;
  } else {
    const first = lines.findIndex((l) => SECTION.test(l));
    const head = section === "" ? -1 : lines.findIndex((l) => (l.match(SECTION) || [])[1]?.trim() === section);
    if (head >= 0) lines.splice(head + 1, 0, `${key} = ${value}`);
    else if (section === "" && first >= 0) lines.splice(first, 0, `${key} = ${value}`);
    else {
      while (lines.length && lines.at(-1).trim() === "") lines.pop();
      lines.push(...(lines.length ? [""] : []), ...(section ? [`[${section}]`] : []), `${key} = ${value}`, "");
    }
  }
  return lines.join("\n");
}
