// A file of settings (rules, rates): every key with its value, what may stand there, what it means.

import * as draft from "./draft.js";
import { el, heading, sentence, showUnread } from "./make.js";
import { steps } from "./undo.js";
import { read, said, set, shown } from "./toml.js";

const WORDS = /^(`"[^"`]+"`|`true`|`false`)( or (`"[^"`]+"`|`true`|`false`))*$/;

export function show(main, name, title, intro, reference) {
  const file = draft.files.get(name);
  if (file.unread) return showUnread(main, file, title);
  const rows = [];
  const loose = el("div");
  const whole = el("textarea", { id: "whole", rows: "16", spellcheck: "false", oninput: () => {
    file.text = whole.value;
    draft.changed(file, "whole");
    refill();
  } });
  const undo = steps(name, () => { whole.value = file.text; refill(true); paint(); });
  main.append(heading(title),
    el("p", null, intro),
    el("div", { class: "tools" }, undo.buttons),
    loose,
    el("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": title },
      el("table", { class: "rules" },
        el("thead", null, el("tr", null, ["key", "value", "what it means"].map((h) => el("th", { scope: "col" }, h)))),
        el("tbody", null, reference.map(drawRow)))),
    el("details", null, el("summary", null, "The file as text"),
      el("label", { for: "whole" }, name), whole));
  refill();
  paint();
  const ends = [draft.onChecked(paint), undo.end];
  return () => ends.forEach((end) => end());

  function drawRow(rule) {
    const [, section = "", key] = rule.key.match(/^(?:\[(.+)\] )?(.+)$/);
    const id = `rule-${section}-${key}`;
    const slot = el("div", { class: "found", id: `${id}-found` });
    const attributes = { id, "aria-label": section ? `${key} of ${section}` : key, autocomplete: "off" };
    const plain = shown(rule.default);
    // A value that is typed anew is empty for a moment; its line goes only once it is left so.
    const put = (event) => {
      fit();
      if (event.type === "input" && input.value.trim() === "") return;
      const text = set(file.text, section, key, input.value);
      if (text === file.text) return;
      file.text = text;
      whole.value = file.text;
      draft.changed(file, id);
    };
    const words = WORDS.test(rule.form) ? [...rule.form.matchAll(/`"?([^"`]+)"?`/g)].map((m) => m[1]) : null;
    const aside = el("small", null);
    const unit = el("span", null);
    // A value that bears its own unit has none behind it.
    const fit = () => { unit.textContent = rule.unit && !/[\p{L}'"′″’”]/u.test(input.value) ? ` ${rule.unit}` : ""; };
    const input = words
      ? el("select", { ...attributes, onchange: put },
        el("option", { value: "" }, `default: ${plain || "none"}`), words.map((w) => el("option", { value: w }, w)))
      : el("input", { ...attributes, placeholder: plain, size: "12", oninput: put, onchange: put });
    rows.push({ section, key, input, slot, aside, fit });
    return el("tr", null,
      el("th", { scope: "row" }, el("small", null, section), key),
      el("td", null, input, unit, aside, slot),
      el("td", null, `${rule.meaning.replaceAll("`", "")}. `,
        el("small", null, `${rule.form.replaceAll("`", "")}${rule.range ? `; ${rule.range}` : ""}. Default ${plain || "none"}: ${rule.source}.`)));
  }

  function refill(every = false) {
    const there = read(file.text);
    whole.value = whole === document.activeElement ? whole.value : file.text;
    for (const row of rows) {
      if (row.input === document.activeElement && !every) continue;
      const told = said(there, row.section, row.key);
      const value = shown(told?.value);
      row.input.disabled = Boolean(told?.apart);
      row.aside.textContent = told?.apart ? " a table of its own, to be changed in the file as text below" : "";
      if (row.input.tagName === "SELECT" && value && ![...row.input.options].some((o) => o.value === value)) {
        row.input.append(el("option", { value }, value));
      }
      row.input.value = value;
      row.fit();
    }
  }

  function paint() {
    const there = read(file.text);
    const mine = draft.job.findings.filter((f) => f.file === name);
    const placed = new Set();
    for (const row of rows) {
      const at = said(there, row.section, row.key)?.at;
      const here = mine.filter((f) => at !== undefined && f.line === at + 1);
      here.forEach((f) => placed.add(f));
      row.slot.replaceChildren(...here.map(sentence));
      if (here.length) row.input.setAttribute("aria-describedby", row.slot.id);
      else row.input.removeAttribute("aria-describedby");
      if (here.some((f) => f.severity === "error")) row.input.setAttribute("aria-invalid", "true");
      else row.input.removeAttribute("aria-invalid");
    }
    loose.replaceChildren(...mine.filter((f) => !placed.has(f)).map((f) =>
      el("div", { class: "found" }, f.line ? `line ${f.line} ` : "", sentence(f))));
  }
}
