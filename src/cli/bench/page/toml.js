// Single keys of a rules file, found and changed in its text, so that all else of it stays as it is: comments, line
// ends, and the form in which others wrote their keys.

const BLANK = /[ \t]*/y;
const NAME = /[A-Za-z0-9_-]+|"(?:[^"\\\r\n]|\\.)*"|'[^'\r\n]*'/y;
const TEXT = /"""[\s\S]*?(?<!\\)"""+|'''[\s\S]*?'''+|"(?:[^"\\\r\n]|\\.)*"|'[^'\r\n]*'/y;
const PLAIN = /[^,\]}#\r\n"'[{]+/y;

// All values by the path of their keys (`section.key`): the line (from 0), where the key and its value stand, the value
// as it is written, whether it stands in an inline table, and the path as it is written on its line. `heads` says where
// the line of every `[section]` ends. A line that is no TOML is passed over.
export function read(text) {
  const found = new Map();
  const heads = new Map();
  const breaks = [...text.matchAll(/\n/g)].map((m) => m.index);
  let pos = 0;
  let section = [];

  // What a pattern finds here; the place is then behind it.
  function take(pattern) {
    pattern.lastIndex = pos;
    const [hit] = pattern.exec(text) || [];
    if (hit === undefined) return undefined;
    pos += hit.length;
    return hit;
  }

  // A key's parts, without their quotes.
  function path() {
    const parts = [];
    do {
      take(BLANK);
      const name = take(NAME);
      if (name === undefined) return null;
      parts.push(shown(name));
      take(BLANK);
    } while (text[pos] === "." && (pos += 1));
    return parts;
  }

  // Blanks, line ends and comments.
  function space() {
    while (take(/[ \t\r\n]+|#[^\n]*/y));
  }

  // Whether a value ends here that can be followed; the place is then behind it.
  function value(of) {
    if (text[pos] === "{") return items("}", () => pair(of, true));
    if (text[pos] === "[") return items("]", () => value(null));
    if (take(TEXT)) return true;
    const plain = take(PLAIN);
    if (plain === undefined) return false;
    pos -= plain.length - plain.trimEnd().length;
    return true;
  }

  // What stands in brackets, with commas between.
  function items(close, one) {
    pos += 1;
    for (space(); text[pos] !== close; space()) {
      if (pos >= text.length || !one()) return false;
      space();
      if (text[pos] === ",") pos += 1;
      else if (text[pos] !== close) return false;
    }
    pos += 1;
    return true;
  }

  // A key with its value, of this table; of none where nobody can ask for it.
  function pair(of, inside) {
    const begin = pos;
    const parts = path();
    if (!parts || text[pos] !== "=") return false;
    const written = text.slice(begin, pos).trimEnd();
    pos += 1;
    take(BLANK);
    const whole = of && [...of, ...parts];
    const from = pos;
    if (!value(whole)) return false;
    const at = breaks.filter((end) => end < begin).length;
    if (whole) found.set(whole.join("."), { at, begin, from, to: pos, value: text.slice(from, pos), inside, written });
    return true;
  }

  for (space(); pos < text.length; space()) {
    if (text[pos] === "[") {
      const many = text.startsWith("[[", pos);
      pos += many ? 2 : 1;
      const parts = path();
      // Tables in a list have no names.
      section = many || text[pos] !== "]" ? null : parts;
      take(/[^\n]*/y);
      if (section) heads.set(section.join("."), pos);
    } else if (!pair(section, false)) take(/[^\n]*\n?/y);
    else take(/[^\n]*/y);
  }
  return { found, heads };
}

// A value as people type it: a text without its quotes.
export function shown(value) {
  if (value === undefined) return "";
  try { if (/^"(?!"")/.test(value)) return JSON.parse(value); } catch { /* shown as it is */ }
  return /^'(?!'')/.test(value) && value.endsWith("'") ? value.slice(1, -1) : value;
}

// What a file says of a key: its value as it is written and its line. `apart` where the value is a table whose keys
// stand on lines of their own: it is shown, and changed there.
export function said({ found }, section, key) {
  const path = section ? `${section}.${key}` : key;
  const there = found.get(path);
  if (there) return there;
  const parts = [...found].filter(([name]) => name.startsWith(`${path}.`));
  if (!parts.length) return null;
  const each = parts.map(([name, { value }]) => `${JSON.stringify(name.slice(path.length + 1))} = ${value}`);
  return { value: `{ ${each.join(", ")} }`, at: parts[0][1].at, apart: true };
}

const BARE = /^(true|false|[+-]?\d[\d_]*(\.\d+)?|\{.*\}|\[.*\])$/;

// The text with a key set, or taken out where the value is empty.
export function set(text, section, key, typed) {
  const { found, heads } = read(text);
  const there = found.get(section ? `${section}.${key}` : key);
  // A word with the quotes of the file about it is that word.
  const bare = typed.trim().replace(/^"([^"]+)"$/, "$1");
  const value = BARE.test(bare) ? bare : JSON.stringify(bare === typed.trim() ? typed : bare);
  const put = (from, to, what) => text.slice(0, from) + what + text.slice(to);
  if (typed.trim() === "") return there ? put(...without(text, there), "") : text;
  if (there) return put(there.from, there.to, value);
  const end = text.includes("\r\n") ? "\r\n" : "\n";
  const line = `${key} = ${value}`;
  if (heads.has(section)) {
    const at = heads.get(section) - (text[heads.get(section) - 1] === "\r" ? 1 : 0);
    return put(at, at, end + line);
  }
  // Other keys of the section, which has no head of its own.
  const [, beside] = [...found].find(([name]) => section && name.startsWith(`${section}.`) && !name.slice(section.length + 1).includes(".")) || [];
  if (beside?.inside) return put(beside.to, beside.to, `, ${line}`);
  if (beside) {
    const [from] = lineOf(text, beside.begin);
    return put(from, from, `${beside.written.replace(/(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')$/, "")}${line}${end}`);
  }
  if (!section) {
    const first = text.search(/^[ \t]*\[/m);
    return first < 0 ? `${text}${text && !text.endsWith("\n") ? end : ""}${line}${end}` : put(first, first, `${line}${end}`);
  }
  const before = text.trimEnd();
  return `${before}${before ? end + end : ""}[${section}]${end}${line}${end}`;
}

// From where to where a line reaches, its end included.
function lineOf(text, at) {
  const next = text.indexOf("\n", at);
  return [text.lastIndexOf("\n", at - 1) + 1, next < 0 ? text.length : next + 1];
}

// What is taken out with a key: its lines, or in an inline table one comma.
function without(text, { begin, to, inside }) {
  if (!inside) return [lineOf(text, begin)[0], lineOf(text, to)[1]];
  const [after] = text.slice(to).match(/^\s*,\s*/) || [];
  if (after) return [begin, to + after.length];
  const [before] = text.slice(0, begin).match(/\s*,\s*$/) || [""];
  return [begin - before.length, to];
}
