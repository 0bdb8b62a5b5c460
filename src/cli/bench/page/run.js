// Run and stop, and how the gap closes.

import { get, post } from "./ask.js";
import * as draft from "./draft.js";
import { el, heading, link, sentence, status, svg, table } from "./make.js";

const state = { told: null, seen: new Map(), number: 0, polling: false, begun: 0 };
const listeners = new Set();
const busy = () => ["running", "stopping"].includes(state.told?.state);

// Ends with the first answer; while something runs it is asked on and on.
export function begin() {
  return new Promise((done) => { poll(done).finally(done); });
}

const tellStands = () => { if (state.told) document.getElementById("stands").textContent = stands(); };
draft.onTouched(tellStands);
draft.onChecked(tellStands);

// Asks how it stands, again and again while it runs; calls back once it knows for the first time.
async function poll(first = () => {}) {
  if (state.polling) return;
  state.polling = true;
  try {
    do {
      const before = state.told && { ...state.told, busy: busy() };
      take(await get("api/run"));
      first();
      const { number, digest, elsewhere } = state.told;
      if (busy()) await new Promise((done) => setTimeout(done, 200));
      else if (before?.busy || (number && state.begun === number)) {
        state.begun = 0;
        status(`The run has ended: ${state.told.what}.`);
        window.dispatchEvent(new Event("planned"));
      } else if (before && [before.number, before.digest, before.elsewhere].join() !== [number, digest, elsewhere].join()) {
        window.dispatchEvent(new Event("planned"));
      }
    } while (busy());
  } catch (why) {
    status(why.message);
    // What became of it nobody can tell.
    if (busy()) take({ ...state.told, state: "lost" });
  } finally {
    state.polling = false;
  }
}

function take(told) {
  if (told.number !== state.number) state.seen.clear();
  state.number = told.number;
  state.told = told;
  for (const nest of told.nests) {
    const name = named(told, nest);
    const seen = state.seen.get(name) || [];
    const last = seen.at(-1);
    const point = { at: told.seconds, value: nest.value === null ? null : Number(nest.value), bound: Number(nest.bound) };
    if (!last || last.value !== point.value || last.bound !== point.bound || !busy()) seen.push(point);
    state.seen.set(name, seen);
  }
  tellStands();
  listeners.forEach((listener) => listener());
}

// What is worked on: a thickness, and where options are compared, of which of them.
const named = (told, nest) => (told.step ? `${told.step.name}: ${nest.name}` : nest.name);

// The list that a file holds, under its name as CSV.
const listOf = (name) => name.replace(/\.(xlsx|ods)$/, ".csv");

// Whether what was made of files in these versions is of them as they stand here, but for those that it is not made of.
function same(versions, without) {
  const now = draft.seen();
  const there = (version) => (version === "missing" ? undefined : version);
  const names = new Set([...Object.keys(now), ...Object.keys(versions)]);
  const made = [...names].filter((name) => draft.files.has(listOf(name)) && !without.includes(listOf(name)));
  return made.every((name) => there(now[name]) === there(versions[name]))
    && ![...draft.files.values()].some((file) => !without.includes(file.name) && draft.dirty(file));
}

// Whether the plan that is shown was made from the files as they are on disk.
function stands() {
  const { plan } = state.told;
  if (busy()) return `${state.told.state}, ${state.told.seconds} s`;
  if (state.told.state === "lost") return "not known: the bench does not answer";
  if (!plan) return "none yet";
  const versions = Object.fromEntries(plan.map((made) => [made.file, made.sha256]));
  if (!same(versions, ["options.csv", "done.csv"])) return "of earlier files: run again";
  return state.told.elsewhere ? `of these files, but not the one in the folder ${state.told.folder}: run again` : "of these files";
}

// How long the search may go on: times the usual work, which ends it the same way on every computer.
const TIMES = [[1, "as usual, some seconds a thickness"], [6, "about 6 times as long"], [40, "about 40 times as long, minutes"]];

// What a report can have beside its usual sections.
const ALSO = [["order", "fewest rolls beside the cheapest"], ["options", "the options of Compare"],
  ["allowance", "waste allowance"], ["risk", "how sure the order is"],
  ["seams", "what other seams of elbow gores would save"]];

// What starts a run of some kind, how long it may search, and what stops it. What is chosen stays so on all parts of the
// page. Options are to be searched alike, which a clock would not let them be.
const chosen = { times: "1", seconds: "" };
function tools(name, begun, asked, { clock = true } = {}) {
  const kept = (tag, id, attributes, ...children) => {
    const box = el(tag, { id, oninput: () => { chosen[id] = box.value; }, ...attributes }, ...children);
    box.value = chosen[id];
    return box;
  };
  const times = kept("select", "times", null, TIMES.map(([value, words]) => el("option", { value }, words)));
  const seconds = kept("input", "seconds", { type: "text", inputmode: "decimal", size: "6" });
  const limit = () => (clock ? { seconds: seconds.value } : {});
  const run = el("button", { type: "submit" }, name);
  const stop = el("button", { type: "button", onclick: () => post("api/stop").then(take, (why) => status(why.message)) }, "Stop");
  const form = el("form", { class: "tools", onsubmit: async (event) => {
    event.preventDefault();
    await saveAndPost({ times: Number(times.value), ...limit(), ...asked() }, begun);
  } }, el("label", { for: "times" }, "Let it search "), times,
  clock ? [el("label", { for: "seconds" }, "and stop each thickness after "), seconds, " s (empty: no clock)"] : null, run, stop);
  const draw = (may = true) => {
    const had = document.activeElement;
    run.disabled = busy() || !may;
    stop.disabled = state.told?.state !== "running";
    // A button that can no longer be pressed hands on to the other one.
    if (had === run && run.disabled) stop.focus();
    if (had === stop && stop.disabled) run.focus();
  };
  return { form, draw };
}

export function show(main) {
  const asked = () => ({ also: boxes.filter((box) => box.checked).map((box) => box.value) });
  const start = tools("Save and run", "The run has begun.", asked);
  const boxes = ALSO.map(([value]) => el("input", { type: "checkbox", id: `also-${value}`, value }));
  const also = el("fieldset", null, el("legend", null, "Also in the report (each takes longer)"),
    ALSO.map(([value, words], at) => el("label", { for: `also-${value}` }, boxes[at], ` ${words}`)));
  const body = el("div", { id: "progress" });
  const begun = el("div", { class: "found" });
  main.append(heading("Run"),
    el("p", null, "A run reads the saved files, lays the pieces on rolls, bounds what could be saved, and has the plan "
      + "audited; only a plan that passes is shown and written. A longer search may save a roll, or prove that none can be "
      + "saved. Stop keeps the best plan so far."),
    begun, start.form, also, body);
  draw();
  listeners.add(draw);
  const unlisten = draft.onChecked(draw);
  return () => { listeners.delete(draw); unlisten(); };

  function draw() {
    const told = state.told;
    start.draw();
    const { ground } = draft.job;
    begun.replaceChildren(ground ? el("p", null, `In Done there is a report of what was done by plan ${ground.plan}, in the folder ${ground.from}. `
      + `A run from here plans the whole job anew${ground.from === "out" ? ", in that plan's place: its tickets are then of no plan" : ""}. `
      + "To keep what is cut, save and go on from there.") : "");
    body.replaceChildren(...[told ? progress(told) : null, draft.job.failed
      ? el("p", null, "The files as they stand here cannot be planned: ", draft.job.failed, ". ",
        link("#takeoff", "See what was found"), ".") : null].filter(Boolean));
  }
}

// Saves the files, asks for a run, and follows it.
async function saveAndPost(asked, begun) {
  try {
    await draft.save();
    take(await post("api/run", { ...asked, seen: draft.seen() }));
    state.begun = state.told.number;
    status(begun);
    await poll();
  } catch (why) {
    if (why.status === 412) await draft.check().catch(() => {});
    status(why.message);
    // Another window's run is followed here as well.
    if (why.status === 409) await poll();
  }
}

// The plan that goes on from what was done.
export function showGoOn(main) {
  const file = draft.files.get("done.csv");
  const next = el("button", { type: "button", onclick: empty }, "Empty it for the next report");
  const start = tools("Save and go on", "The run has begun.", () => ({ go_on: true }));
  start.form.append(next);
  const ground = el("p", { id: "ground" });
  const body = el("div", { id: "gone" });
  main.append(ground, start.form, body);
  draw();
  listeners.add(draw);
  const unlisten = draft.onChecked(draw);
  return () => { listeners.delete(draw); unlisten(); };

  function empty() {
    draft.replace(file, draft.headingsOf(file.columns));
    window.dispatchEvent(new HashChangeEvent("hashchange"));
    status("The lines are taken out; that is not saved yet.");
  }

  function draw() {
    const of = draft.job.ground;
    start.draw(Boolean(of));
    next.disabled = Boolean(file.workbook || file.unread) || !file.sheet.rows.length;
    const beyond = of?.there && of.beyond.length ? ` What lies in ${of.beyond.join(", ")} goes on from the plan that is there now: `
      + "its tickets are then of no plan, and should be taken away." : "";
    const older = of?.older ? " That plan was written after this report was saved last: where the takeoff, rolls or rules changed "
      + "in between, its lines are of the plan that was there before, and pulls would count as cut that nobody cut. The mark at the head "
      + "of the tickets tells: written into the column plan, it is held against the plan's." : "";
    ground.textContent = of
      ? `These are tickets of plan ${of.plan}, mark ${of.mark}, in the folder ${of.from}; the plan that goes on from it ${of.there ? "is made anew in" : "goes into"} ${of.to}.${beyond}${older}`
      : "Write down what was done, by ticket and pull: there is no report yet, or not the plan that its first ticket is of.";
    body.replaceChildren(...[state.told ? progress(state.told) : null].filter(Boolean));
  }
}

// Options side by side.
export function showOptions(main) {
  const start = tools("Save and compare", "The comparison has begun.", () => ({ options: true }), { clock: false });
  const body = el("div", { id: "compared" });
  main.append(start.form, body);
  draw();
  listeners.add(draw);
  const ends = [draft.onTouched(draw), draft.onChecked(draw)];
  return () => { listeners.delete(draw); ends.forEach((end) => end()); };

  function draw() {
    const told = state.told;
    start.draw();
    const found = told?.compares && told.state === "failed" ? told.findings || [] : [];
    body.replaceChildren(...[
      busy() && !told.compares ? el("p", null, "A run is going on; a comparison can begin once it has ended.") : null,
      busy() && told.compares ? el("div", { id: "comes" }, el("p", null, el("b", null, told.state), `, ${told.seconds} s`,
        told.step ? `: ${told.step.at} of ${told.step.of}, ${told.step.name}` : ": reading the job"), nests(told)) : null,
      ...found.map((f) => el("div", { class: "found" }, f.line ? `row ${f.line} ` : "", sentence(f))),
      told?.options?.currency ? el("p", null, `Money in ${told.options.currency}.`) : null,
      told?.options && !same(told.options.versions, ["done.csv"]) ? el("div", { class: "found" }, el("p", null, "This is of earlier files: compare again.")) : null,
      told?.options ? table("Options compared", told.options.headings, told.options.rows) : null,
    ].filter(Boolean));
  }
}

function progress(told) {
  if (told.state === "none") return el("p", null, "Nothing has been run since the bench began.");
  const words = { running: "running", stopping: "winding up", done: "ended", failed: "ended without a plan",
    lost: "not followed to its end: the bench does not answer" };
  return el("div", null,
    el("p", null, el("b", null, words[told.state]), `, ${told.seconds} s. `, told.what ? `${told.what}.` : busy() && told.doing ? `Now: ${told.doing}.` : ""),
    told.state === "done" && told.compares ? el("p", null, link("#compare", "See what came of it"), ".") : null,
    told.state === "done" && !told.compares ? el("p", null, link("#plan", "Look at the plan"), " or ", link("#reports", "take the reports"), ".") : null,
    [...told.findings || []].sort((a, b) => rank(a) - rank(b)).map((f) => el("div", { class: "found" }, place(f), sentence(f))),
    nests(told));
}

const rank = (finding) => ["error", "warning", "note"].indexOf(finding.severity);
const PARTS = { "takeoff.csv": "takeoff", "rolls.csv": "rolls", "offcuts.csv": "shelf", "rules.toml": "rules", "rates.toml": "rates", "done.csv": "done", "options.csv": "compare" };

// Where it was found; a link to its line where the page shows the file.
function place({ file, line, field }) {
  if (!file) return "";
  const name = file.split("/").pop();
  const words = `${name}${line ? `, line ${line}` : ""}${field ? `, ${field}` : ""}`;
  const part = PARTS[listOf(name)];
  return part ? link(line ? `#${part}/line/${line}` : `#${part}`, words) : words;
}

// How each nest stands, and its gap over time.
function nests(told) {
  return el("div", { class: "nests" }, told.nests.map((nest) => el("figure", null,
    el("figcaption", null, el("b", null, nest.name), ": ", inWords(nest, told.counts)),
    chart(state.seen.get(named(told, nest)) || [], told.seconds))));
}

function inWords(nest, counts) {
  const bound = Number(nest.bound) > 0 ? `no plan needs less than ${nest.bound}` : "no bound yet";
  if (nest.value === null) return `looking for a first plan; ${bound}`;
  const count = counts === "rolls" && Number(nest.value) === 1 ? "roll" : counts;
  if (nest.proven) return `${nest.value} ${count}, proven: nothing less is possible`;
  return `${nest.value} ${count}; ${bound}${nest.gap ? `; the gap is ${nest.gap} %` : ""}`;
}

// Best plan and bound over time, as two stepped lines that close on each other.
function chart(points, until) {
  const known = points.filter((p) => p.value !== null);
  // What was found at once has no course to draw.
  const moved = new Set(points.map((p) => `${p.value} ${p.bound}`)).size > 1;
  if (!known.length || (!moved && !busy())) return null;
  const high = Math.max(...known.map((p) => p.value));
  const low = Math.min(...points.filter((p) => p.bound > 0).map((p) => p.bound), ...known.map((p) => p.value));
  const span = Math.max(high - low, high * 0.01, 1e-9);
  const x = (at) => 8 + (at / Math.max(until, 0.2)) * 250;
  const y = (value) => 12 + ((high - value) / span) * 76;
  const steps = (of) => {
    const list = points.filter((p) => of(p) !== null && of(p) >= low);
    if (!list.length) return "";
    return `M${x(list[0].at)} ${y(of(list[0]))}${list.slice(1).map((p) => `H${x(p.at)}V${y(of(p))}`).join("")}H${x(until)}`;
  };
  const last = points.at(-1);
  const label = (text, value, above) => svg("text", { x: 264, y: y(value) + (above ? -2 : 11) }, text);
  return svg("svg", { viewBox: "0 0 340 104", class: "gap", role: "img" },
    svg("title", null, `Best plan and bound over ${until} seconds: ${last.value} and ${last.bound}`),
    svg("path", { d: steps((p) => p.value) }),
    svg("path", { class: "bound", d: steps((p) => (p.bound > 0 ? p.bound : null)) }),
    svg("path", { class: "axis", d: "M8 98H258" }),
    last.value === null ? null : label("best plan", last.value, true),
    last.bound > 0 ? label("bound", last.bound, false) : null);
}
