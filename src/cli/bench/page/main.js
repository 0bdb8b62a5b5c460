// The bench: which part is shown, saving, the reports.

import { get } from "./ask.js";
import * as draft from "./draft.js";
import { el, heading, link, saved, status } from "./make.js";
import * as plan from "./plan.js";
import * as rules from "./rules.js";
import * as run from "./run.js";
import * as table from "./table.js";

const main = document.getElementById("main");
let leave = () => {};
let shown = 0;

const PARTS = {
  takeoff: (parts) => table.show(main, "takeoff.csv", "Takeoff", "What is to be insulated, one item a line. What was "
    + "found stands beside its cell. Lengths are millimetres or carry a unit (2.4 m, 23 15/16 in).", lineOf(parts)),
  rolls: (parts) => table.show(main, "rolls.csv", "Rolls", "What can be bought. Price and available may be empty: unknown, and without limit.", lineOf(parts)),
  shelf: (parts) => table.show(main, "offcuts.csv", "Shelf", "What lies on the shelf, already paid for. The plan cuts from it as freely as from new rolls and counts it for nothing: that may save a roll, or only leave longer ends.", lineOf(parts)),
  rules: () => rules.show(main, "rules.toml", "Rules", "The specification's and the shop's rules. A key that is left empty "
    + "has its default. None of them replaces the project's insulation specification, local codes or licensed practice.", draft.job.rules),
  rates: () => rules.show(main, "rates.toml", "Rates", "What labour and freight cost. A rate that is left empty has a "
    + "placeholder, which is made up and no fact about any market; whatever rests on one says so.", draft.job.rates),
  run: () => run.show(main),
  plan: (parts) => plan.show(main, parts),
  done: (parts) => {
    const ends = [table.show(main, "done.csv", "Done", "What the shop did by the tickets of a plan: what was cut, spoilt or "
      + "damaged. Save and go on keeps what is cut, plans the rest from what is left, and leaves the earlier plan where it "
      + "lies; Run plans the whole job anew.", lineOf(parts)), run.showGoOn(main)];
    return () => ends.forEach((end) => end());
  },
  compare: (parts) => {
    const ends = [table.show(main, "options.csv", "Compare", "Options, one setting a line; lines of one name belong "
      + "together. A key is a rule such as table.pull_limit, or rolls (only these products, separated by bars), price.NAME, "
      + "build.10+10, shelf (none).", lineOf(parts)), run.showOptions(main)];
    return () => ends.forEach((end) => end());
  },
  reports: () => reports(),
};

// The file that a part shows.
const FILES = { takeoff: "takeoff.csv", rolls: "rolls.csv", shelf: "offcuts.csv", rules: "rules.toml", rates: "rates.toml", done: "done.csv", compare: "options.csv" };

// The line that is asked for: by its number, or of the takeoff by its item.
function lineOf([what, item]) {
  if (what === "line") return Number(item) || null;
  if (what !== "item") return null;
  const { sheet, workbook } = draft.files.get("takeoff.csv");
  const [headings, ...rows] = workbook ? (workbook.rows || []).map(([line, cells]) => ({ line, cells })) : [sheet.headings, ...sheet.rows];
  const column = headings?.cells.findIndex((h) => h.trim().toLowerCase() === "item");
  return rows.find((row) => (row.cells[column] || "").trim() === item)?.line || null;
}

const ABOUT = {
  "summary.txt": "the summary: order, proof, where the area goes",
  "order.csv": "rolls to buy and offcuts to take from the shelf",
  "pieces.csv": "every piece: code, item, layer, part, size, quantity",
  "cuts.csv": "every cut of every roll in cutting order",
  "offcuts.csv": "all that is left: offcuts, rests, whole rolls",
  "joints.csv": "courses, joints and seams of every run and layer",
  "schedule.csv": "which piece goes where in which order",
  "sequence.csv": "the order of cutting: when each pull is cut, which kits open and close",
  "tickets.html": "for the shop, on paper or a tablet: what to cut, in order",
  "labels.html": "labels for the pieces, to print",
  "tickets.pdf": "the same as pages, in true size",
  "labels.pdf": "sheets of labels in true size",
  "labels.csv": "the labels, for a label printer",
  "kits.csv": "what belongs to each kit",
  "report.html": "all of it in one page, drawn to scale, to read and to print",
  "plan.xlsx": "all lists in one workbook",
  "price.csv": "the price, line by line",
  "items.csv": "what every area, line, kind, size and item takes and costs",
  "waste.csv": "where the blanket goes, in area and money",
  "plan.json": "the whole plan, for other programs",
};

async function reports() {
  main.append(heading("Reports"));
  const { reports: names, folder, elsewhere } = await get("api/run");
  if (!names) {
    main.append(el("p", null, "There is no plan for the job as it is. ", link("#run", "Run"), " makes one."));
    return () => {};
  }
  main.append(el("p", null, elsewhere
    ? `They are of the plan that is shown here. In the folder ${folder} inside the job's folder lies another one by now, `
      + "or none: run again before anything is cut or booked by these."
    : `They lie in the folder ${folder} inside the job's folder as well; tickets, labels and kit lists only where this page `
      + "made the plan."),
    el("ul", { class: "reports" }, names.map((name) => el("li", null,
      el("a", { href: `report/${encodeURIComponent(name)}`, target: "_blank", rel: "noopener" }, name), " ",
      el("a", { href: `report/${encodeURIComponent(name)}?save`, download: name, "aria-label": `Save ${name}` }, "save"),
      ABOUT[name] ? `: ${ABOUT[name]}` : ""))));
  return () => {};
}

// What stands between what was typed and the files: others changed them, or the bench does not answer.
const troubles = el("div", { id: "troubles" });
let answers = true;
let drawn = "";

function tellTroubles() {
  const files = [...draft.files.values()];
  const lost = answers ? [] : files.filter(draft.dirty);
  const against = answers ? files.filter((file) => file.other) : [];
  const now = JSON.stringify([answers, ...[lost, against].map((list) => list.map((file) => file.name))]);
  if (now === drawn) return;
  drawn = now;
  const button = (words, file, work) => el("button", { type: "button", "aria-label": `${words}: ${file.name}`, onclick: () =>
    work(file).then(() => status(""), (why) => status(why.message)) }, words);
  const copy = (file) => el("button", { type: "button", "aria-label": `Download what stands here: ${file.name}`,
    onclick: () => saved(file.name, draft.textOf(file)) }, "Download what stands here");
  troubles.replaceChildren(
    ...against.map((file) => el("p", { class: "tools" }, el("b", null, file.name),
      draft.isGone(file.other)
        ? " was taken away by another window or program, and what was typed here is not saved. "
        : " was changed by another window or program, and what was typed here is another text. ",
      button("Save over it", file, draft.saveOver), button("Give up what was typed here", file, draft.giveUp), copy(file))),
    answers ? "" : el("p", null, "This start of the bench does not answer: it may have been ended. Start it again, and "
      + "open the address that it prints."),
    ...lost.map((file) => el("p", { class: "tools" }, el("b", null, file.name), " is not saved. Keep what stands here, and "
      + "load it into the page at the new address. ", copy(file))));
}

// A part of the address as it was meant; one that was typed wrong stands for itself.
function decoded(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

async function route(focus) {
  const [part, ...rest] = location.hash.replace(/^#/, "").split("/").map(decoded);
  const name = Object.hasOwn(PARTS, part) ? part : "takeoff";
  shown += 1;
  const mine = shown;
  leave();
  leave = () => {};
  main.replaceChildren();
  status("");
  for (const a of document.querySelectorAll("nav a")) {
    if (a.hash === `#${name}`) a.setAttribute("aria-current", "page");
    else a.removeAttribute("aria-current");
  }
  let left = () => {};
  try {
    left = await PARTS[name](rest);
  } catch (why) {
    if (mine === shown) status(why.message);
  }
  if (mine !== shown) left();
  else leave = left;
  document.title = `${main.querySelector("h2")?.textContent || "Bench"}, ${draft.job.name}`;
  if (focus && !main.contains(document.activeElement)) {
    window.scrollTo(0, 0);
    main.querySelector("h3, h2")?.setAttribute("tabindex", "-1");
    main.querySelector("h3, h2")?.focus({ preventScroll: true });
  }
}

async function begin() {
  document.getElementById("status").after(troubles);
  await draft.load();
  document.getElementById("job").textContent = draft.job.name;
  await run.begin();
  await route(false);
  draft.tellSaved();
}

// The content of the part that is shown.
document.querySelector(".skip").addEventListener("click", (event) => {
  event.preventDefault();
  main.focus();
});
let saving = false;
document.getElementById("save").addEventListener("click", async () => {
  // Pressed again on a slow answer, it would save onto its own change.
  if (saving) return;
  saving = true;
  try {
    await draft.save();
    await run.begin();
    status("Saved.");
  } catch (why) {
    status(why.message);
  } finally {
    saving = false;
  }
});
// What another window or program did meanwhile is seen as soon as somebody comes back to this one.
window.addEventListener("focus", () => {
  Promise.all([draft.check(), run.begin()]).then(draft.tellSaved).catch((why) => status(why.message));
});
window.addEventListener("told", tellTroubles);
window.addEventListener("answers", ({ detail }) => { answers = detail; tellTroubles(); });
window.addEventListener("reread", ({ detail }) => {
  const part = location.hash.replace(/^#/, "").split("/")[0] || "takeoff";
  if (detail.includes(FILES[part])) route(false);
});
window.addEventListener("hashchange", () => route(true));
window.addEventListener("planned", () => {
  plan.forget();
  // Which plan a report of what was done goes on from is known from the plans that there are.
  draft.check().catch((why) => status(why.message));
  if (/^#(plan|reports)/.test(location.hash)) route(false);
});
window.addEventListener("beforeunload", (event) => { if (draft.anyDirty()) event.preventDefault(); });
begin().catch((why) => status(`The bench could not be loaded: ${why.message}`));
