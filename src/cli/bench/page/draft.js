// The job's files as the page shows them, checked after every change, saved when asked.

import { get, post, put } from "./ask.js";
import { parse, text as csv, number } from "./csv.js";
import { counted, status } from "./make.js";

export const files = new Map();
export const job = { name: "", rules: [], rates: [], findings: [], failed: null, ground: null };
const listeners = new Set();
const touched = new Set();
// So many letters, steps back may hold; more than this are kept of none but very long lists.
const HELD = 200_000_000;
const NEEDED = ["takeoff.csv", "rolls.csv"];
let waiting = 0;
let asked = 0;
// How often saving began, and ended.
const saves = { begun: 0, ended: 0 };

// Calls back after every check; gives what ends that.
export function onChecked(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

// Calls back after every change of a file, before it is checked; gives what ends that.
export function onTouched(listener) {
  touched.add(listener);
  return () => touched.delete(listener);
}

function take(file) {
  const there = file.text !== null || Boolean(file.unread);
  const kept = {
    ...file,
    there,
    disk: file.text,
    sheet: file.name.endsWith(".csv") ? parse(file.text ?? headingsOf(file.columns)) : null,
    text: file.text || "",
    past: [],
    future: [],
    place: null,
    // As another window or program left it, where that cannot be shown over what was typed here.
    other: null,
  };
  kept.now = state(kept);
  files.set(file.name, kept);
}

// A file as it stands here, for steps back and forth.
const state = (file) => ({ there: file.there, text: file.sheet ? csv(file.sheet) : file.text });

// Takes a file a step back, or forth again; whether there was one.
export function step(file, from, to) {
  if (!file[from].length) return false;
  file[to].push(file.now);
  file.now = file[from].pop();
  file.there = file.now.there;
  if (file.sheet) file.sheet = parse(file.now.text);
  else file.text = file.now.text;
  file.place = null;
  tell(file);
  return true;
}

export const headingsOf = (columns) => `${columns.map((c) => c.name).join(",")}\n`;

export async function load() {
  const told = await get("api/job");
  Object.assign(job, { name: told.name, rules: told.rules, rates: told.rates });
  told.files.forEach(take);
  await check();
}

// A file's text as it would be saved; null where there is none and nobody began one. What was saved since stays a file
// when all is taken back: its headings, or nothing.
export function textOf(file) {
  if (file.sheet) {
    return file.there || file.disk !== null || file.sheet.rows.length ? csv(file.sheet) : null;
  }
  return file.there || file.disk !== null || file.text.trim() ? file.text : null;
}

export const dirty = (file) => !file.unread && textOf(file) !== file.disk;
export const anyDirty = () => [...files.values()].some(dirty);

// To be called after every change of a file. Changes of one place after another are one step.
export function changed(file, place = null) {
  if (place === null || place !== file.place) {
    file.past.push(file.now);
    file.past.splice(0, Math.max(0, file.past.length - Math.max(1, Math.floor(HELD / (1 + file.now.text.length)))));
  }
  file.future = [];
  file.place = place;
  file.now = state(file);
  const before = file.past.at(-1);
  // Typed and typed back is no step.
  if (before && before.text === file.now.text && before.there === file.now.there) {
    file.past.pop();
    file.place = null;
  }
  tell(file);
}

function tell(file) {
  if (file.sheet) number(file.sheet);
  tellSaved();
  touched.forEach((listener) => listener());
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
    const { version, workbook } = file.other || file;
    versions[file.name] = version;
    if (workbook) versions[workbook.name] = workbook.version;
  }
  return versions;
}

// Shows files as they are on disk.
function show(list) {
  list.forEach(take);
  if (list.length) window.dispatchEvent(new CustomEvent("reread", { detail: list.map((file) => file.name) }));
  tellSaved();
}

// What was typed here is given up for what another window or program left.
export function giveUp(file) {
  show([file.other]);
  return check();
}

// What stands here is saved over what another window or program left.
export async function saveOver(file) {
  file.version = file.other.version;
  file.other = null;
  await save([file]);
  await check();
}

// Whether a file as it was read is none.
export const isGone = (file) => file.text === null && !file.workbook && !file.unread;

// Reads anew what another window or program changed, but for files with changes of our own.
async function reread(changed) {
  const touches = (file) => file && (changed.includes(file.name) || changed.includes(file.workbook?.name));
  const told = await get("api/job");
  const fresh = told.files.filter((file) => touches(file) || touches(files.get(file.name)));
  const own = (file) => dirty(files.get(file.name)) && textOf(files.get(file.name)) !== file.text;
  const [kept, again] = [fresh.filter(own), fresh.filter((file) => !own(file))];
  kept.forEach((file) => { files.get(file.name).other = file; });
  const names = (list) => list.map((file) => file.name).join(", ");
  show(again);
  const gone = again.filter(isGone);
  const rest = again.filter((file) => !gone.includes(file));
  if (again.length) {
    status([rest.length ? `Changed outside this page, and shown as it is now: ${names(rest)}.` : "",
      gone.length ? `Taken away outside this page, and empty here: ${names(gone)}.` : ""].filter(Boolean).join(" "));
  }
  if (kept.length) status(`Changed outside this page since it was read: ${names(kept)}. What was typed here is kept.`);
  return fresh.length > 0;
}

// Looks whether files were changed by another window or program, and checks what stands here then.
export async function check() {
  // What was typed is taken back, so nothing stands against what others left.
  show([...files.values()].filter((file) => file.other && !dirty(file)).map((file) => file.other));
  asked += 1;
  const mine = asked;
  const before = { ...saves };
  const drafts = {};
  for (const file of files.values()) {
    if (dirty(file)) drafts[file.name] = textOf(file);
  }
  const told = await post("api/check", { files: drafts, seen: seen() });
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
  tellSaved();
}

// Keeps a workbook's list as the CSV file of its table.
export async function keep(file) {
  if (anyDirty()) throw new Error("save what was changed first; nothing was kept");
  await saving(() => post(`api/keep/${file.name}`, {}, file.workbook.version));
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

// Saves what was changed, or of that these files alone.
export async function save(list = [...files.values()]) {
  const refused = [];
  await saving(async () => {
    for (const file of list) {
      if (!dirty(file)) continue;
      const text = textOf(file);
      try {
        const told = await put(`api/file/${file.name}`, text, file.version);
        Object.assign(file, { version: told.version, disk: text, there: true, place: null });
      } catch (why) {
        if (why.status !== 412) throw why;
        refused.push(file.name);
      }
    }
  });
  tellSaved();
  if (!refused.length) return;
  await check().catch(() => {});
  const why = new Error(`Not saved, as another window or program changed it since this page read it: ${refused.join(", ")}.`);
  why.status = 412;
  throw why;
}

export function tellSaved() {
  const open = [...files.values()].filter(dirty).map((file) => file.name);
  // What a job cannot be without is missed where it is not there.
  const unread = [...files.values()].filter((file) => file.unread).map((file) => file.name);
  const missing = NEEDED.filter((name) => files.has(name) && files.get(name).disk === null && !files.get(name).workbook && !open.includes(name) && !unread.includes(name));
  document.getElementById("saved").textContent = [
    open.length ? `not saved: ${open.join(", ")}` : missing.length || unread.length ? "" : "as on disk",
    unread.length ? `cannot be read: ${unread.join(", ")}` : "",
    missing.length ? `not on disk: ${missing.join(", ")}` : ""].filter(Boolean).join("; ");
  document.getElementById("save").disabled = open.length === 0;
  window.dispatchEvent(new Event("told"));
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
