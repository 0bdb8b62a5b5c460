// The job's files as the page shows them, checked after every change, saved when asked.

import { get, post, put } from "./ask.js";
import { parse, text as csv, number } from "./csv.js";
import { counted, status } from "./make.js";

export const files = new Map();
export const job = { name: "", rules: [], rates: [], findings: [], failed: null, ground: null };
const listeners = new Set();
let waiting = 0;
let asked = 0;
// How often saving began, and ended.
const saves = { begun: 0, ended: 0 };

// Calls back after every check; gives what ends that.
export function onChecked(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function take(file) {
  const there = file.text !== null;
  const kept = {
    ...file,
    there,
    disk: file.text,
    sheet: file.name.endsWith(".csv") ? parse(there ? file.text : headingsOf(file.columns)) : null,
    text: file.text || "",
  };
  files.set(file.name, kept);
}

export const headingsOf = (columns) => `${columns.map((c) => c.name).join(",")}\n`;

export async function load() {
  const told = await get("/api/job");
  Object.assign(job, { name: told.name, rules: told.rules, rates: told.rates });
  told.files.forEach(take);
  await check();
}

// A file's text as it would be saved; null where there is none and nobody began one.
export function textOf(file) {
  if (file.sheet) {
    if (!file.there && file.sheet.rows.length === 0) return null;
    return file.touched ? csv(file.sheet) : file.disk;
  }
  return file.there || file.text.trim() ? file.text : null;
}

export const dirty = (file) => textOf(file) !== file.disk;
export const anyDirty = () => [...files.values()].some(dirty);

// To be called after every change of a file.
export function changed(file) {
  file.touched = true;
  if (file.sheet) number(file.sheet);
  tellSaved();
  clearTimeout(waiting);
  waiting = setTimeout(() => check().catch((why) => status(why.message)), 250);
}

// Puts another text in a file's place.
export function replace(file, text) {
  if (file.sheet) {
    file.sheet = parse(text);
    file.there = true;
  } else file.text = text;
  changed(file);
}

// The versions of all files as they were read.
export function seen() {
  const versions = {};
  for (const file of files.values()) {
    versions[file.name] = file.version;
    if (file.workbook) versions[file.workbook.name] = file.workbook.version;
  }
  return versions;
}

// Reads anew what another window or program changed, but for files with changes of our own.
async function reread(changed) {
  const touches = (file) => file && (changed.includes(file.name) || changed.includes(file.workbook?.name));
  const told = await get("/api/job");
  const fresh = told.files.filter((file) => touches(file) || touches(files.get(file.name)));
  const names = { again: [], kept: [] };
  for (const file of fresh) {
    const own = dirty(files.get(file.name));
    if (!own) take(file);
    names[own ? "kept" : "again"].push(file.name);
  }
  if (names.again.length) {
    window.dispatchEvent(new CustomEvent("reread", { detail: names.again }));
    status(`Changed outside this page, and shown as it is now: ${names.again.join(", ")}.`);
  }
  if (names.kept.length) {
    status(`Changed outside this page since it was read: ${names.kept.join(", ")}. What was typed here is kept, but `
      + "cannot be saved over it: copy it and load the page again.");
  }
  return names.again.length > 0;
}

// Looks whether files were changed by another window or program, and checks what stands here then.
export async function check() {
  asked += 1;
  const mine = asked;
  const before = { ...saves };
  const drafts = {};
  for (const file of files.values()) {
    const text = textOf(file);
    if (text !== null && text !== file.disk) drafts[file.name] = text;
  }
  const told = await post("/api/check", { files: drafts, seen: seen() });
  if (mine !== asked) return;
  // What we save ourselves meanwhile is no change by others.
  const quiet = before.begun === saves.begun && before.begun === before.ended;
  if (quiet && told.changed?.length && await reread(told.changed)) {
    await check();
    return;
  }
  if (mine !== asked) return;
  job.findings = told.findings || [];
  job.failed = told.failed || null;
  job.ground = told.ground || null;
  tellCounts(told);
  listeners.forEach((listener) => listener());
}

// Keeps a workbook's list as the CSV file of its table.
export async function keep(file) {
  if (anyDirty()) throw new Error("save what was changed first; nothing was kept");
  await saving(() => post(`/api/keep/${file.name}`, {}, file.workbook.version));
  await load();
}

async function saving(work) {
  saves.begun += 1;
  try {
    await work();
  } finally {
    saves.ended += 1;
  }
}

export async function save() {
  await saving(async () => {
    for (const file of files.values()) {
      if (!dirty(file)) continue;
      const text = textOf(file);
      const told = await put(`/api/file/${file.name}`, text, file.version);
      Object.assign(file, { version: told.version, disk: text, there: true });
      if (file.sheet) file.touched = true;
    }
  });
  tellSaved();
}

export function tellSaved() {
  const open = [...files.values()].filter(dirty).map((file) => file.name);
  document.getElementById("saved").textContent = open.length ? `not saved: ${open.join(", ")}` : "as on disk";
  document.getElementById("save").disabled = open.length === 0;
}

function tellCounts(told) {
  const of = (severity) => job.findings.filter((f) => f.severity === severity).length;
  const words = [
    [of("error"), "error", "errors"], [of("warning"), "warning", "warnings"], [of("note"), "note", "notes"],
  ].filter(([n]) => n).map(([n, one, many]) => counted(n, one, many));
  document.getElementById("worst").textContent = words.join(", ") || "none";
  document.getElementById("counts").textContent = told.pieces === undefined
    ? "cannot be read yet"
    : `${counted(told.items, "line", "lines")}, ${counted(told.pieces, "piece", "pieces")}`;
}
