// Drives headless Chromium through the bench and the report, as a user would.
//
//   node drive.mjs
//
// Environment: ROLLWRIGHT the program; DEMO a job folder (copied, never changed); MODULES a folder with
// node_modules that hold playwright-core and axe-core; CHROMIUM the browser; SHOTS a folder for
// screenshots (optional); PAGES a folder whose files stand in for the page's own (optional, to
// try changes without building); ONLY `workbook`, `slips`, `typing` or `narrow` for that part alone (optional). The accessibility rules are axe-core's for WCAG 2.2 A and AA.

import { spawn, spawnSync } from "node:child_process";
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";

const { ROLLWRIGHT, DEMO, MODULES, CHROMIUM, SHOTS, PAGES, ONLY } = process.env;
const require = createRequire(join(MODULES, "package.json"));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const WIDTHS = [360, 768, 1280];
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

const work = mkdtempSync(join(tmpdir(), "rollwright-browser-"));
const job = join(work, "vellmoor");
cpSync(DEMO, job, { recursive: true });
rmSync(join(job, "out"), { recursive: true, force: true });
writeFileSync(join(job, "options.csv"), "option,key,value\nno shelf,shelf,none\nshort table,table.pull_limit,2 m\n");
const faults = [];
let checks = 0;
let bench;
let browser;

function check(holds, what) {
  checks += 1;
  if (!holds) faults.push(what);
  console.log(`${holds ? "ok   " : "WRONG"} ${what}`);
}

async function begin(folder = job) {
  bench = spawn(ROLLWRIGHT, ["bench", folder], { stdio: ["ignore", "pipe", "inherit"] });
  let told = "";
  for await (const chunk of bench.stdout) {
    told += chunk;
    if (told.includes("\n")) break;
  }
  return told.trim();
}

// A page whose console is listened to.
async function opened(context, name) {
  const page = await context.newPage();
  page.on("console", (message) => {
    // That a file was changed meanwhile is refused so, and told on the page.
    const refused = message.text().includes("412 (Precondition Failed)");
    if (message.type() === "error" && !refused) faults.push(`${name}: console: ${message.text()} ${message.location().url}`);
  });
  page.on("pageerror", (why) => faults.push(`${name}: ${why.stack}`));
  page.setDefaultTimeout(60_000);
  if (PAGES) {
    await page.route(/\/[a-z]+\.(js|css)$/, (route) => {
      const path = join(PAGES, new URL(route.request().url()).pathname);
      const contentType = path.endsWith("css") ? "text/css" : "text/javascript";
      return existsSync(path) ? route.fulfill({ path, contentType }) : route.continue();
    });
  }
  return page;
}

async function accessible(page, what) {
  if (!(await page.evaluate(() => Boolean(window.axe)))) await page.evaluate(axe);
  const { violations } = await page.evaluate((values) =>
    window.axe.run(document, { runOnly: { type: "tag", values } }), RULES);
  const told = violations.map((v) => `${v.id} (${v.nodes.length}): ${v.nodes[0].html.slice(0, 160)} ${v.nodes[0].failureSummary || ""}`);
  check(violations.length === 0, `${what}: no accessibility violation${told.length ? `, but ${told.join("; ")}` : ""}`);
}

async function shots(page, name) {
  for (const width of WIDTHS) {
    await page.setViewportSize({ width, height: width === 360 ? 740 : 900 });
    await page.waitForTimeout(60);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    check(over <= 0, `${name} fits ${width} pixels${over > 0 ? `, but is ${over} wider` : ""}`);
    if (SHOTS) {
      mkdirSync(SHOTS, { recursive: true });
      await page.screenshot({ path: join(SHOTS, `${name}-${width}.png`) });
    }
  }
  await page.setViewportSize({ width: 1400, height: 900 });
}

async function theBench(context) {
  const address = await begin();
  check(/^http:\/\/127\.0\.0\.1:\d+\/\?key=[0-9a-f]{48}$/.test(address), `the bench prints its address: ${address}`);
  const page = await opened(context, "bench");
  const stranger = await fetch(new URL("/", address));
  check(stranger.status === 403, "without the key of the address nobody gets the page");
  await page.goto(address);
  check(new URL(page.url()).search === "", "the key does not stay in the address");
  check((await context.cookies(new URL("/", address).href)).length === 0, "the cookie goes to no page of another server here");
  await page.getByText("6161 pieces").waitFor();
  check(await page.locator("#job").textContent() === "vellmoor", "the job is named");
  await page.evaluate(() => dispatchEvent(new Event("focus")));
  await page.waitForTimeout(500);
  check(!(await page.locator("#status").textContent()), "nothing is told of a run where none began");

  // The takeoff, by keyboard as well.
  await shots(page, "takeoff");
  await accessible(page, "takeoff");
  // Printed, a list is on the sheet in its whole width (277 mm of A4 lying) with all its lines, and nothing is there to
  // be pressed.
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width: 1047, height: 720 });
  await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
  const printed = await page.locator(".sheet tbody tr").count();
  const lines = readFileSync(join(job, "takeoff.csv"), "utf8").trim().split("\n").length - 1;
  check(printed === lines && printed > 40, `all ${lines} lines are printed: ${printed}`);
  const wide = await page.evaluate(() => document.querySelector(".sheet").getBoundingClientRect().right);
  check(wide <= 1047 && !(await page.locator("#save").isVisible()), `a printed takeoff is as wide as the sheet: ${wide}`);
  await page.evaluate(() => dispatchEvent(new Event("afterprint")));
  await page.emulateMedia({ media: "screen" });
  await page.setViewportSize({ width: 1400, height: 900 });
  const size = page.getByLabel("size, line 2", { exact: true });
  const before = await size.inputValue();
  await size.fill("NPS 12000");
  await page.locator(".sheet [aria-invalid]").waitFor();
  check(await size.getAttribute("aria-invalid") === "true", "a wrong cell is marked");
  const beside = await size.locator("xpath=following-sibling::div").textContent();
  check(/error [A-Z]\d+: .*NPS 12000/.test(beside), `what is wrong stands beside the cell: ${beside.slice(0, 90)}`);
  await accessible(page, "takeoff with an error");
  if (SHOTS) await page.screenshot({ path: join(SHOTS, "takeoff-error.png") });
  await size.fill(before);
  await page.waitForFunction(() => !document.querySelector(".sheet [aria-invalid]"));
  check(await page.locator("#save").isDisabled(), "a cell changed back leaves nothing to save");
  await size.press("ArrowDown");
  check(await page.evaluate(() => document.activeElement.getAttribute("aria-label")) === "size, line 3", "arrows move between lines");

  // Every change is taken back, one at a time, and made again; what was found of a plan's files is told as they change.
  await page.getByLabel("note, line 3", { exact: true }).pressSequentially("twice");
  await size.fill("NPS 10");
  const button = (name) => page.getByRole("button", { name, exact: true });
  // What is found moves lines up and down while a check comes back, so not by a place on the screen.
  await button("Copy line 4").press("Enter");
  await button("Delete line 6").press("Enter");
  await page.getByText("Line 6 is taken out").waitFor();
  for (let at = 0; at < 4; at += 1) await button("Undo").click();
  check(await button("Undo").isDisabled() && await page.locator("#save").isDisabled(), "all changes are taken back");
  for (let at = 0; at < 2; at += 1) await button("Redo").click();
  check(await size.inputValue() === "NPS 10" && !(await page.locator("#save").isDisabled()), "and made again");
  for (let at = 0; at < 2; at += 1) await button("Undo").click();
  await page.getByText("6161 pieces").waitFor();

  // Add a line, load a file, leave nothing behind.
  await page.getByRole("button", { name: "Add a line" }).click();
  await page.keyboard.type("X-1");
  await page.locator(".sheet .found b", { hasText: "error" }).first().waitFor();
  const added = await page.evaluate(() => document.activeElement.getAttribute("aria-label"));
  await page.getByRole("button", { name: `Delete ${added.split(", ")[1]}` }).click();
  await page.waitForFunction(() => document.getElementById("save").disabled);
  check(true, "an added line that is deleted leaves nothing to save");

  // A list that is loaded from a workbook, and one that is none; nothing is kept of either.
  const other = page.locator("#other");
  await other.setInputFiles({ name: "march.xls", mimeType: "application/vnd.ms-excel", buffer: Buffer.from("x") });
  await page.getByText("march.xls was not loaded").waitFor();
  await other.setInputFiles({ name: "march.ods", mimeType: "application/vnd.oasis.opendocument.spreadsheet",
    buffer: flat([["item", "kind", "size", "length", "quantity", "build"], ["M-1", "pipe", "NPS 6", "12,5 m; <b>", "2", "10"]]) });
  await page.getByText("march.ods, sheet takeoff, is loaded in place of takeoff.csv").waitFor();
  check(await page.getByLabel("length, line 2", { exact: true }).inputValue() === "12,5 m; <b>", "a workbook is loaded as a list");
  faults.splice(0, faults.length, ...faults.filter((f) => !/status of 4(04|22)/.test(f)));
  page.once("dialog", (dialog) => dialog.accept());
  await page.reload();
  await page.getByText("6161 pieces").waitFor();

  // A cell is changed for good, saved with the others' bytes untouched.
  const note = page.getByLabel("note, line 3", { exact: true });
  await page.getByRole("searchbox", { name: "Show lines with" }).fill("ST-110-E1");
  await note.fill("<script>alert(1)</script>");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("Saved.").waitFor();
  const [was, is] = [DEMO, job].map((folder) => readFileSync(join(folder, "takeoff.csv"), "utf8").split("\n"));
  const differ = was.map((l, at) => [l, is[at]]).filter(([a, b]) => a !== b);
  check(differ.length === 1 && differ[0][1].includes("<script>alert(1)</script>") && was.length === is.length,
    "saving changes the one line that was changed");

  for (const [part, title] of [["rolls", "Rolls"], ["shelf", "Shelf"], ["rules", "Rules"], ["rates", "Rates"]]) {
    await page.locator(`nav a[href="#${part}"]`).click();
    await page.getByRole("heading", { name: title, level: 2 }).waitFor();
    await shots(page, part);
    await accessible(page, part);
  }

  // A rate is set, in a file that was not there.
  await page.getByLabel("tie of labour").fill("0.35");
  await page.getByLabel("currency", { exact: true }).fill("E1");
  await page.locator(".rules .found p").first().waitFor();
  check(/^error C\d+: /.test(await page.locator(".rules .found p").first().textContent()), "a wrong currency is told beside its value");
  await page.getByLabel("currency", { exact: true }).fill("EUR");
  await page.waitForFunction(() => !document.querySelector(".rules [aria-invalid]"));
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("Saved.").waitFor();
  const rates = readFileSync(join(job, "rates.toml"), "utf8");
  check(/^currency = "EUR"\n/m.test(rates) && rates.includes("[labour]\ntie = 0.35\n"), `rates are saved: ${rates}`);
  await page.getByLabel("currency", { exact: true }).fill("");
  await page.locator('nav a[href="#rules"]').click();

  // A plan that takes long is stopped: the demo's 10 mm is not soon proven.
  await page.getByLabel("stagger of joints").fill("-3");
  await page.locator(".rules .found p").first().waitFor();
  const rule = await page.locator(".rules .found p").first().textContent();
  check(/^error R\d+: .*-3/.test(rule), `a wrong rule is told beside its value: ${rule}`);
  await page.getByLabel("stagger of joints").fill("75");
  await page.getByLabel("objective of order").selectOption("rolls");
  await page.locator('nav a[href="#run"]').click();
  await page.getByLabel("Let it search").selectOption("40");
  await page.getByLabel("Stop each thickness after").fill("300");
  await page.getByRole("button", { name: "Save and run" }).click();
  await page.getByText("running", { exact: false }).first().waitFor();
  check(readFileSync(join(job, "rules.toml"), "utf8").includes('objective = "rolls"'), "running saves the rules");
  const second = await page.evaluate(async () => {
    const token = document.querySelector('meta[name="token"]').content;
    const answer = await fetch("api/run", { method: "POST", body: "{}",
      headers: { "x-rollwright-token": token, "content-type": "application/json" } });
    return answer.status;
  }).catch(() => 0);
  faults.splice(0, faults.length, ...faults.filter((f) => !/status of 409/.test(f)));
  check(second === 409, `a second run is refused (${second})`);
  await page.waitForFunction(() => document.querySelectorAll(".gap").length > 0, null, { timeout: 120_000 });
  await page.waitForTimeout(1500);
  await shots(page, "run");
  await page.getByRole("button", { name: "Stop", exact: true }).click();
  await page.getByText("passed the audit", { exact: false }).first().waitFor({ timeout: 120_000 });
  const how = await page.locator("#progress").textContent();
  check(/stopped early|proven/.test(how), `a stopped run keeps its plan: ${how.slice(0, 120)}`);
  await accessible(page, "run");

  // To the end, without that rule.
  await page.locator('nav a[href="#rules"]').click();
  await page.getByLabel("objective of order").selectOption("");
  await page.locator('nav a[href="#run"]').click();
  await page.getByLabel("Let it search").selectOption("1");
  await page.getByLabel("Stop each thickness after").fill("");
  await page.getByRole("button", { name: "Save and run" }).click();
  await page.waitForFunction(() => document.getElementById("stands").textContent.startsWith("running"));
  await page.waitForFunction(() => !document.getElementById("stands").textContent.startsWith("running"), null, { timeout: 300_000 });
  const end = await page.locator("#progress").textContent();
  // With interlocked gores the demo's 10 mm stays a roll above its bound, and must not be called proven.
  const stand = /^ended, [\d.]+ s\. a plan that can be cut, not proven to be the least; it passed the audit/;
  check(stand.test(end), `a run to its end says how the demo stands: ${end.slice(0, 100)}`);
  check((await page.locator("#stands").textContent()) === "of these files", "the plan is of these files");
  await page.locator('nav a[href="#takeoff"]').click();
  await page.getByLabel("note, line 2", { exact: true }).fill("typed");
  await page.waitForFunction(() => document.getElementById("stands").textContent.startsWith("of earlier files"));
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await page.waitForFunction(() => document.getElementById("stands").textContent === "of these files");
  check(true, "that is told as files are typed into");
  await anotherPlan(page);
  await page.locator('nav a[href="#run"]').click();

  // The plan: layouts, a pull, larger, a piece, an item, its pulls, and back.
  await page.getByRole("link", { name: "Look at the plan" }).click();
  await page.getByRole("heading", { name: "Layouts" }).waitFor();
  await shots(page, "plan");
  await accessible(page, "plan");
  await page.getByRole("link", { name: "drawing 1", exact: true }).first().click();
  const frame = page.locator(".frame svg");
  await frame.waitFor();
  const small = (await frame.boundingBox()).width;
  await page.getByRole("button", { name: "Larger" }).click();
  check((await frame.boundingBox()).width > 1.3 * small, "a pull is shown larger");
  await page.locator(".frame").press("-");
  check(Math.abs((await frame.boundingBox()).width - small) < 2, "the minus key makes it smaller again");
  await shots(page, "pull");
  await accessible(page, "pull");
  await page.getByRole("searchbox", { name: "Find a piece or an item" }).fill("ST-110-E1");
  await page.locator(".hits a", { hasText: "ST-110-E1" }).first().click();
  await page.getByRole("heading", { name: "Item ST-110-E1" }).waitFor();
  await shots(page, "item");
  await accessible(page, "item");
  await page.locator("td a", { hasText: /^drawing/ }).first().click();
  await page.getByText("Bold outlines").waitFor();
  check(await page.locator(".marked").count() > 0, "an item's pieces are marked in its pull");
  if (SHOTS) await page.screenshot({ path: join(SHOTS, "marked.png") });
  await page.goBack();
  await page.getByRole("heading", { name: "Item ST-110-E1" }).waitFor();
  await page.locator("th a").first().click();
  await page.getByRole("heading", { name: /^Piece / }).waitFor();
  await page.locator("th a").first().click();
  await page.getByRole("heading", { name: /^Item / }).waitFor();
  await page.getByRole("link", { name: "Its line in the takeoff" }).click();
  await page.waitForFunction(() => /^item, line/.test(document.activeElement?.getAttribute("aria-label") || ""));
  check(true, "an item leads to its line and back");

  // Options side by side.
  await page.locator('nav a[href="#compare"]').click();
  await page.getByLabel("value, line 3", { exact: true }).fill("1.9 m");
  const [asked] = await Promise.all([page.waitForRequest((r) => r.url().endsWith("/api/run") && r.method() === "POST"),
    page.getByRole("button", { name: "Save and compare" }).click()]);
  const { options, times } = asked.postDataJSON();
  check(options && times === 1 && await page.getByLabel("Let it search").isVisible(), "options are searched as long as is chosen");
  await page.locator("#comes").getByText(/\d of 3, /).waitFor({ timeout: 1000 + 4000 });
  await page.locator("#comes figure").first().waitFor({ timeout: 60_000 });
  const stands = await page.locator("#comes figcaption").first().textContent();
  check(/ mm: (looking for a first plan|\d{1,3} rolls)/.test(stands), `a comparison says how its nests stand: ${stands}`);
  await shots(page, "comparing");
  await page.locator("#compared tbody tr").first().waitFor({ timeout: 300_000 });
  const rows = await page.locator("#compared tbody tr").allTextContents();
  check(rows.length >= 3 && rows.some((row) => row.includes("no shelf")) && rows.some((row) => row.includes("short table")),
    `options are compared: ${rows.join(" | ").slice(0, 200)}`);
  const earlier = page.getByText("This is of earlier files: compare again.");
  check(await earlier.count() === 0, "a comparison is of the files as they are");
  await page.getByLabel("value, line 3", { exact: true }).fill("1.8 m");
  await earlier.waitFor();
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await earlier.waitFor({ state: "detached" });
  await shots(page, "compare");
  await accessible(page, "compare");

  // Every report, saved by the browser, is the file on disk.
  await page.locator('nav a[href="#reports"]').click();
  await page.getByRole("heading", { name: "Reports" }).waitFor();
  await shots(page, "reports");
  await accessible(page, "reports");
  const names = await page.locator(".reports li a:first-child").allTextContents();
  check(names.length >= 9 && names.includes("plan.json"), `reports: ${names.join(", ")}`);
  for (const [at, name] of names.entries()) {
    // Chromium asks its user after ten downloads of one page.
    if (at % 8 === 7) {
      await page.reload();
      await page.getByRole("heading", { name: "Reports" }).waitFor();
    }
    const [download] = await Promise.all([page.waitForEvent("download"),
      page.getByRole("link", { name: `Save ${name}`, exact: true }).click()]);
    const same = readFileSync(await download.path()).equals(readFileSync(join(job, "out", name)));
    check(same && download.suggestedFilename() === name, `${name} is saved as it is in out`);
  }
  for (const name of names.filter((n) => n.endsWith(".html"))) {
    const [tab] = await Promise.all([context.waitForEvent("page"), page.getByRole("link", { name, exact: true }).click()]);
    tab.on("console", (message) => { if (message.type() === "error") faults.push(`${name}: console: ${message.text()}`); });
    await tab.waitForURL(`**/report/${name}`);
    await tab.waitForLoadState();
    await tab.reload();
    check((await tab.title()).includes("vellmoor"), `${name} opens from the bench: ${await tab.title()}`);
    await tab.close();
  }
  await afterABadDay(page);
  await twoWindows(context, page, address);
  check(readdirSync(job).every((name) => !name.startsWith(".")), "no temporary file stays in the job folder");

  bench.kill("SIGINT");
  const code = await new Promise((done) => bench.on("exit", done));
  check(code === 0, `Ctrl-C ends the bench (${code})`);
  await page.close();
}

// What was done is written down, and the rest planned from there.
async function afterABadDay(page) {
  await page.locator('nav a[href="#done"]').click();
  await page.getByRole("heading", { name: "Done", level: 2 }).waitFor();
  check(await page.getByRole("button", { name: "Save and go on" }).isDisabled(), "without a report nothing goes on");
  const cell = (column) => page.getByLabel(`${column}, line 2`, { exact: true });
  await page.getByRole("button", { name: "Add a line" }).click();
  await cell("ticket").fill("T9999");
  await cell("what").fill("cut");
  await cell("pull").fill("all");
  await page.locator(".sheet [aria-invalid]").waitFor();
  const beside = await cell("ticket").locator("xpath=following-sibling::div").textContent();
  check(/error G004: .*T9999/.test(beside), `a ticket that the plan has not is told: ${beside.slice(0, 90)}`);
  await cell("ticket").fill("T1");
  await page.getByText(/tickets of plan 1, mark [A-Z0-9]{4}, in the folder out; the plan that goes on from it goes into out2/).waitFor();
  await page.waitForFunction(() => !document.querySelector(".sheet [aria-invalid]"));
  await shots(page, "done");
  await accessible(page, "done");
  await page.getByLabel("Let it search").selectOption("6");
  await page.getByLabel("and stop each thickness after").fill("4");
  await page.getByRole("button", { name: "Save and go on" }).click();
  await page.waitForFunction(() => document.getElementById("stands").textContent.startsWith("running"));
  await page.waitForFunction(() => !document.getElementById("stands").textContent.startsWith("running"), null, { timeout: 300_000 });
  const end = await page.locator("#gone").textContent();
  check(/it passed the audit\. \d+ files are in the folder out2/.test(end), `the rest is planned: ${end.slice(0, 120)}`);
  check((await page.locator("#stands").textContent()) === "of these files", "the plan that went on is of these files");
  const plan = JSON.parse(readFileSync(join(job, "out2", "plan.json"), "utf8"));
  check(plan.program.limits.work === 30_000_000 && plan.program.limits.seconds === 4, `as long as was chosen: ${JSON.stringify(plan.program)}`);
  check(plan.already.revision === 2 && plan.already.pieces.length > 0, "it is the second plan of the job, with pieces in hand");
  await page.getByText("is made anew in out2").waitFor();
  await page.locator('nav a[href="#reports"]').click();
  await page.getByRole("heading", { name: "Reports" }).waitFor();
  await page.locator("main").getByText("in the folder out2").first().waitFor();
  await page.locator('nav a[href="#done"]').click();
  await page.getByRole("button", { name: "Empty it for the next report" }).click();
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("Saved.").waitFor();
  check(readFileSync(join(job, "done.csv"), "utf8") === "ticket,what,pull,from,to,length,piece,quantity,note,plan\n", "the report is emptied for the next day");
  await page.getByText(/tickets of plan 2, mark [A-Z0-9]{4}, in the folder out2/).waitFor();
}

// A plan that the command line makes in the bench's folder is shown, and one that cannot be is told.
async function anotherPlan(page) {
  const plan = join(job, "out", "plan.json");
  const back = () => page.evaluate(() => dispatchEvent(new Event("focus")));
  const seed = () => JSON.parse(readFileSync(plan, "utf8")).program.seed;
  const made = spawnSync(ROLLWRIGHT, ["plan", job, "--quiet", "--seed", "7", "--seconds", "2"]);
  check(made.status === 0 && seed() === 7, `another plan is made: ${made.stderr}`);
  await back();
  const elsewhere = () => page.evaluate(async () => (await (await fetch("api/run")).json()).elsewhere);
  for (let at = 0; at < 300 && await elsewhere(); at += 1) await page.waitForTimeout(200);
  const shown = await page.evaluate(async () => (await (await fetch("report/plan.json")).json()).program.seed);
  check(shown === 7, `the plan that lies there is shown: of seed ${shown}`);
  renameSync(plan, `${plan}.aside`);
  await back();
  await page.getByText("but not the one in the folder out").waitFor();
  await page.locator('nav a[href="#reports"]').click();
  await page.getByText("lies another one by now, or none").waitFor();
  renameSync(`${plan}.aside`, plan);
  await back();
  await page.waitForFunction(() => document.getElementById("stands").textContent === "of these files");
  check(true, "what lies elsewhere is told");
  await page.locator('nav a[href="#run"]').click();
  await page.getByRole("button", { name: "Save and run" }).click();
  await page.waitForFunction(() => document.getElementById("stands").textContent.startsWith("running"));
  await page.waitForFunction(() => document.getElementById("stands").textContent === "of these files", null, { timeout: 300_000 });
}

// Two windows of one bench: what one saves the other shows, and nothing is run that a window does not show.
async function twoWindows(context, page, address) {
  const other = await opened(context, "second window");
  const back = (window) => window.evaluate(() => dispatchEvent(new Event("focus")));
  const price = (window) => window.getByLabel("price, line 2", { exact: true });
  const told = (window) => window.locator("#status").textContent();
  await other.goto(new URL("#rolls", page.url()).href);
  await page.locator('nav a[href="#rolls"]').click();
  const first = await price(page).inputValue();
  const save = async (value) => {
    await price(other).fill(value);
    await other.locator("#save").click();
    await other.locator("#save[disabled]").waitFor();
  };
  await save("611.00");
  await page.locator('nav a[href="#run"]').click();
  await page.getByRole("button", { name: "Save and run" }).click();
  await page.getByText("nothing was run: rolls.csv").waitFor();
  await page.locator('nav a[href="#rolls"]').click();
  check(await price(page).inputValue() === "611.00", "files that another window saved are shown before they are run");
  await save("612.00");
  await back(page);
  await page.waitForFunction(() => document.querySelector('[aria-label="price, line 2"]')?.value === "612.00");
  check((await told(page)).includes("Changed outside this page"), `that is told: ${await told(page)}`);
  await price(page).fill("700.00");
  await save("613.00");
  await back(page);
  await page.getByText("What was typed here is kept").waitFor();
  check(await price(page).inputValue() === "700.00", "what was typed is not lost");
  await page.locator("#save").click();
  await page.getByText("Not saved, as another window or program changed it").waitFor();
  check(readFileSync(join(job, "rolls.csv"), "utf8").includes("613.00"), "nor saved over what the other window saved");
  await accessible(page, "a file that two windows changed");
  const [kept] = await Promise.all([page.waitForEvent("download"),
    page.getByRole("button", { name: "Download what stands here: rolls.csv" }).click()]);
  check(readFileSync(await kept.path(), "utf8").includes("700.00"), "what was typed can be kept as a file");
  await price(page).fill("612.00");
  await page.waitForFunction(() => document.querySelector('[aria-label="price, line 2"]')?.value === "613.00");
  check(await page.locator("#troubles button").count() === 0, "typed back, it stands against nothing");
  // Either text can be had: that of the other window, or one's own.
  await price(page).fill("701.00");
  await save("614.00");
  await back(page);
  await page.getByRole("button", { name: "Give up what was typed here: rolls.csv" }).click();
  await page.waitForFunction(() => document.querySelector('[aria-label="price, line 2"]')?.value === "614.00");
  await price(page).fill("702.00");
  await save("615.00");
  await back(page);
  await page.getByRole("button", { name: "Save over it: rolls.csv" }).click();
  await page.locator("#save[disabled]").waitFor();
  check(readFileSync(join(job, "rolls.csv"), "utf8").includes("702.00"), "what was typed is saved over it only when asked to");
  await back(other);
  await other.waitForFunction(() => document.querySelector('[aria-label="price, line 2"]')?.value === "702.00");
  await save(first);
  await back(page);
  await page.waitForFunction((value) => document.querySelector('[aria-label="price, line 2"]')?.value === value, first);
  // A run that another window began is followed, and where it ends at once that is told.
  for (const window of [page, other]) await window.locator('nav a[href="#run"]').click();
  await page.getByLabel("Stop each thickness after").fill("3");
  const stands = (window) => window.locator("#stands").textContent();
  await page.getByRole("button", { name: "Save and run" }).click();
  await page.waitForFunction(() => document.getElementById("stands").textContent.startsWith("running"));
  await other.getByRole("button", { name: "Save and run" }).click();
  await other.waitForFunction(() => document.getElementById("stands").textContent.startsWith("running"));
  faults.splice(0, faults.length, ...faults.filter((f) => !/status of 409/.test(f)));
  for (const window of [page, other]) {
    await window.waitForFunction(() => !document.getElementById("stands").textContent.startsWith("running"), null, { timeout: 300_000 });
    check((await stands(window)) === "of these files", `both windows see its end: ${await stands(window)}`);
  }
  await other.close();
}

// A takeoff that is a workbook: shown with what was found, kept as CSV, edited there.
async function theWorkbook(context) {
  const book = join(work, "book");
  mkdirSync(book);
  const lines = ["item,kind,size,length,quantity,build", "P-1,pipe,NPS 6,12 m,2,10", "P-2,pipe,NPS 6000,3 m,1,10"];
  writeFileSync(join(book, "takeoff.ods"), flat(lines.map((line) => line.split(","))));
  writeFileSync(join(book, "rolls.csv"), "roll,thickness,width,length,price\nB10,10,1500,50 m,300\n");
  const address = await begin(book);
  const page = await opened(context, "workbook");
  await page.goto(address);
  await page.getByText("workbook takeoff.ods").waitFor();
  const cell = page.locator("td", { hasText: "NPS 6000" }).first();
  await cell.locator(".found").waitFor();
  check(/error [A-Z]\d+: .*NPS 6000/.test(await cell.textContent()), "what is wrong stands beside the workbook's cell");
  await shots(page, "workbook");
  await accessible(page, "workbook");
  await page.getByRole("button", { name: "Keep as takeoff.csv" }).click();
  const size = page.getByLabel("size, line 3", { exact: true });
  await size.waitFor();
  check(existsSync(join(book, "takeoff.ods.kept")) && !existsSync(join(book, "takeoff.ods")), "the workbook stays under another name");
  await size.fill("NPS 6");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("Saved.").waitFor();
  check(readFileSync(join(book, "takeoff.csv"), "utf8") === `${lines.join("\n").replace("6000", "6")}\n`, "the list is edited as CSV");
  bench.kill("SIGINT");
  await new Promise((done) => bench.on("exit", done));
  await page.close();
}

// What is typed into files of other people's making: all else of them stays as it is, to the byte.
async function theTyping(context) {
  const folder = join(work, "typed");
  mkdirSync(folder);
  const file = (name) => join(folder, name);
  const read = (name) => readFileSync(file(name), "utf8");
  const save = async () => {
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByText("Saved.").waitFor();
  };
  const back = () => page.evaluate(() => dispatchEvent(new Event("focus")));
  const focused = () => page.evaluate(() => document.activeElement.getAttribute("aria-label") || document.activeElement.textContent);
  const button = (name) => page.getByRole("button", { name, exact: true });
  const go = async (part, title) => {
    await page.locator(`nav a[href="#${part}"]`).click();
    await page.getByRole("heading", { name: title, level: 2 }).waitFor();
  };
  // A line for spreadsheets, a blank one, cells beyond the headings, an odd line end, no end at the last line.
  const takeoff = "sep=,\n\nitem,kind,size,length,quantity,build,note\nP-1,pipe,NPS 6,12 m,2,10,\"line 1\r\nline 2\"\n"
    + "P-2,pipe,\"NPS 6\",3 m,1,10,,EXTRA,MORE\r\n\nP-3,pipe,NPS 6,4 m,1,10,";
  writeFileSync(file("takeoff.csv"), takeoff);
  writeFileSync(file("rolls.csv"), "roll,thickness,width,length,price\nB10,10,1500,50 m,300\n");
  const rules = "# ours\r\norder.spare_rolls = 1\r\n\r\n[joints]\r\nstagger = 80   # specification 4.2\r\nlap = 40\r\n\r\n"
    + "[wrap.factor]\r\n5 = 0.4\r\n10 = 0.5\r\n";
  writeFileSync(file("rules.toml"), rules);
  let address = await begin(folder);
  const page = await opened(context, "typing");
  await page.goto(address);
  await page.getByText("there are 9 cells under 7 headings").waitFor();
  check(await page.getByLabel("quantity, line 4", { exact: true }).inputValue() === "2", "headings are found below other lines");
  check(await page.getByLabel("column 9, without heading, line 6", { exact: true }).inputValue() === "MORE", "cells without a heading are shown");
  check(await page.locator("#save").isDisabled(), "nothing is to be saved of a file that is only odd");
  const size = page.getByLabel("size, line 6", { exact: true });
  await size.fill("NPS 8");
  await size.fill("NPS 6");
  check(await page.locator("#save").isDisabled(), "a cell changed back leaves nothing to save, quotes and all");
  await page.getByLabel("note, line 4", { exact: true }).fill("line 1\nline 3");
  await page.getByLabel("length, line 8", { exact: true }).fill("5 m");
  await save();
  check(read("takeoff.csv") === takeoff.replace("line 2\"", "line 3\"").replace("4 m", "5 m"), "line ends stay as they are, line by line");
  await page.getByLabel("Add the column").selectOption("area");
  check(await page.getByLabel("column 10, without heading, line 6", { exact: true }).inputValue() === "MORE", "a new column moves none of them into it");
  await button("Undo").click();
  await page.waitForFunction(() => document.getElementById("save").disabled);

  // A block from a spreadsheet: its headings are ours, its last two lines are new.
  const paste = (label, text) => page.getByLabel(label, { exact: true }).evaluate((input, held) => {
    const clipboardData = new DataTransfer();
    clipboardData.setData("text/plain", held);
    input.dispatchEvent(new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
  }, text);
  await paste("item, line 8", "item\tkind\tsize\tlength\tquantity\nQ-1\tpipe\tNPS 2\t1 m\t1\nQ-2\tpipe\t\"NPS\t2\"\t2 m\t1\r\nQ-3\tpipe\tNPS 2\t3 m\t1\n");
  await page.getByText("Pasted 3 lines of 5 columns, 2 of them new lines").waitFor();
  check(await focused() === "item, line 8" && await page.getByLabel("length, line 10", { exact: true }).inputValue() === "3 m"
    && await page.getByLabel("size, line 9", { exact: true }).inputValue() === "NPS\t2", "a block goes into cells and new lines");
  await paste("note, line 8", "by hand\t\t\t\t\n");
  await page.getByText("Pasted 1 line of 3 columns").waitFor();
  await button("Undo").click();
  await paste("build, line 8", "1\t2\t3\t4\t5\n");
  await page.getByText("Nothing was pasted: the block is 5 columns wide, and from here on there are 4.").waitFor();
  await button("Undo").click();
  await page.waitForFunction(() => document.getElementById("save").disabled);
  check(await page.getByLabel("item, line 8", { exact: true }).inputValue() === "P-3", "one step takes a block back");

  // By keys alone: behind the last line a new one, on the next page of lines too.
  await page.getByLabel("item, line 8", { exact: true }).press("Enter");
  check(await focused() === "item, line 9", `Enter in the last line begins a new one: ${await focused()}`);
  const many = Array.from({ length: 60 }, (_, at) => `M-${at}\tpipe\tNPS 2\t1 m\t1\t10`).join("\n");
  await paste("item, line 9", many);
  await page.getByText("Pasted 60 lines").waitFor();
  await button("Lines after").click();
  check(await focused() === "Lines before", `the last page leaves the other button: ${await focused()}`);
  await button("Lines before").click();
  const shown = await page.locator(".sheet tbody tr").count();
  const last = (await page.locator(".sheet tbody tr").last().locator("input").first().getAttribute("aria-label")).match(/\d+/)[0];
  await page.getByLabel(`size, line ${last}`, { exact: true }).press("ArrowDown");
  check(shown === 40 && await focused() === `size, line ${Number(last) + 1}`, `arrows go on to the next page: ${await focused()}`);
  await button("Lines before").click();
  await button(`Copy line ${last}`).click();
  check(await focused() === `item, line ${Number(last) + 1}`, `a copied line is shown: ${await focused()}`);
  await page.getByRole("searchbox", { name: "Show lines with" }).fill("M-7");
  await button("Delete line 16").click();
  check(await page.evaluate(() => document.activeElement.id === "filter"), "where none of those that show is left, the search is next");
  const saved = () => page.locator("#save").isDisabled();
  while (!(await saved()) && !(await button("Undo").isDisabled())) await button("Undo").click();
  check(await saved(), "all is taken back to what was saved");

  // A quote that is never closed holds the rest of the file; what else of its line is changed leaves it so.
  const open = takeoff.replace("12 m,2,10,\"line 1\r\nline 2\"", "12 m,2,10,\"line 1").replace("\"NPS 6\"", "NPS 6");
  writeFileSync(file("takeoff.csv"), open);
  await back();
  await page.getByText("the double quote that opens this cell is never closed").first().waitFor();
  await page.getByLabel("quantity, line 4", { exact: true }).fill("3");
  await save();
  check(read("takeoff.csv") === open.replace("12 m,2,", "12 m,3,"), "a cell beside an open quote is changed alone");
  writeFileSync(file("takeoff.csv"), takeoff);
  await back();
  await page.getByText("there are 9 cells under 7 headings").waitFor();

  // Of two files that were changed, one is saved over another window's; the other stays as it is typed.
  const price = () => page.getByLabel("price, line 2", { exact: true });
  await go("rolls", "Rolls");
  await price().fill("310");
  await go("takeoff", "Takeoff");
  await page.getByLabel("quantity, line 4", { exact: true }).fill("4");
  writeFileSync(file("takeoff.csv"), takeoff.replace("12 m,2,", "12 m,5,"));
  await back();
  await button("Save over it: takeoff.csv").click();
  await page.waitForFunction(() => document.getElementById("saved").textContent === "not saved: rolls.csv");
  check(read("takeoff.csv").includes("12 m,4,") && read("rolls.csv").includes(",300"), "one file is saved over, and no other");
  await go("rolls", "Rolls");
  await price().fill("300");
  await page.waitForFunction(() => document.getElementById("save").disabled);

  // Rules in other forms, with line ends of another system.
  await go("rules", "Rules");
  const stagger = page.getByLabel("stagger of joints");
  check(await stagger.inputValue() === "80" && await page.getByLabel("spare_rolls of order").inputValue() === "1", "values in any form are shown");
  check(await page.getByLabel("factor of wrap").isDisabled() && (await page.getByLabel("factor of wrap").inputValue()).includes('"5" = 0.4'), "a table of its own is shown");
  await stagger.fill("");
  await stagger.pressSequentially("95");
  await page.getByLabel("spare_rolls of order").fill("2");
  await page.getByLabel("lap of joints").fill("");
  await page.getByLabel("lap of joints").press("Tab");
  await page.getByLabel("keep_width of offcuts").fill("300");
  await save();
  const wanted = `${rules.replace("80   #", "95   #").replace("spare_rolls = 1", "spare_rolls = 2").replace("lap = 40\r\n", "")}\r\n[offcuts]\r\nkeep_width = 300\r\n`;
  check(read("rules.toml") === wanted, `rules keep their comments and forms: ${JSON.stringify(read("rules.toml"))}`);

  // By keys past the parts' names into the part that is shown.
  await page.locator(".skip").focus();
  await page.keyboard.press("Enter");
  check(await page.evaluate(() => document.activeElement.id) === "main" && new URL(page.url()).hash === "#rules", "to the content of the part that is shown");

  // A file that was begun here, saved, and taken back: headings alone, checked as they are.
  await go("shelf", "Shelf");
  await button("Add a line").click();
  await page.keyboard.type("s1");
  await save();
  while (!(await button("Undo").isDisabled())) await button("Undo").click();
  await save();
  check(/^offcut,[a-z_,]+\n$/.test(read("offcuts.csv")), `a list that is taken back has its headings: ${read("offcuts.csv")}`);
  await page.waitForFunction(() => document.getElementById("worst").textContent === "1 error");
  check(await page.locator("#saved").textContent() === "as on disk", "and that is all there is to save");

  // A file that cannot be read is told, and nothing else of the page is lost by it.
  renameSync(file("rolls.csv"), file("rolls.aside"));
  mkdirSync(file("rolls.csv"));
  await back();
  await page.getByText("cannot be read: rolls.csv").waitFor();
  await go("rolls", "Rolls");
  check(/rolls\.csv is there and cannot be read: .*folder/.test(await page.locator("main").textContent()), "a file that is none is told");
  await page.reload();
  await page.getByText("rolls.csv is there and cannot be read").waitFor();
  await go("takeoff", "Takeoff");
  check(await page.getByLabel("quantity, line 4", { exact: true }).inputValue() === "4", "the others are shown");
  rmSync(file("rolls.csv"), { recursive: true });
  renameSync(file("rolls.aside"), file("rolls.csv"));
  await back();
  await page.waitForFunction(() => document.getElementById("saved").textContent === "as on disk");
  await go("rolls", "Rolls");
  check(await page.getByLabel("price, line 2", { exact: true }).inputValue() === "300", "it is read as soon as it can be");

  // A page that is opened while something runs shows its part at once; one whose bench is gone says so.
  const pieces = Array.from({ length: 400 }, (_, at) => `R-${at},pipe,OD ${100 + at},${1 + (at % 7)} m,3,10,`).join("\n");
  await go("takeoff", "Takeoff");
  writeFileSync(file("takeoff.csv"), `item,kind,size,length,quantity,build,note\n${pieces}\n`);
  // Short rolls: what cannot be proven keeps the run going.
  writeFileSync(file("rolls.csv"), "roll,thickness,width,length,price\nB10,10,1500,3 m,300\n");
  await back();
  await page.getByText("400 lines").waitFor();
  await go("run", "Run");
  await page.getByLabel("Let it search").selectOption("40");
  await button("Save and run").click();
  await page.waitForFunction(() => document.getElementById("stands").textContent.startsWith("running"));
  check(await focused() === "Stop", `who starts a run can stop it next: ${await focused()}`);
  await page.goto(new URL("#compare", page.url()).href);
  await page.reload();
  await page.getByText("A run is going on; a comparison can begin once it has ended.").waitFor();
  check((await page.locator("#stands").textContent()).startsWith("running"), "it is told that it runs");
  bench.kill("SIGKILL");
  await new Promise((done) => bench.on("exit", done));
  await page.getByText("not known: the bench does not answer").waitFor();
  await go("takeoff", "Takeoff");
  check(await page.getByText("This start of the bench does not answer: it may have been ended.").isVisible(), "a bench that is gone is told on every part");
  faults.splice(0, faults.length, ...faults.filter((f) => !/ERR_(CONNECTION|EMPTY_RESPONSE|SOCKET)/.test(f)));
  await page.close();
}

// Files that are not as they should be: letters that cannot be read, many errors, a file that is gone, a wrong address.
async function theSlips(context) {
  const folder = join(work, "slips");
  mkdirSync(folder);
  const takeoff = join(folder, "takeoff.csv");
  const lines = (area, length = "12 m") => `item,area,kind,size,length,quantity,build\nP-1,${area},pipe,NPS 6,${length},2,10\n`;
  writeFileSync(takeoff, lines("Cellar"));
  writeFileSync(join(folder, "rolls.csv"), "roll,thickness,width,length,price\nB10,10,1500,50 m,300\n");
  const address = await begin(folder);
  const page = await opened(context, "slips");
  const back = () => page.evaluate(() => dispatchEvent(new Event("focus")));
  const cell = (column, line = 2) => page.getByLabel(`${column}, line ${line}`, { exact: true });
  const status = () => page.locator("#status").textContent();
  const load = (name, text, encoding) => page.locator("#other").setInputFiles({ name, mimeType: "text/csv", buffer: Buffer.from(text, encoding) });
  await page.goto(address);
  await cell("area").waitFor();

  // 0xE4 is a umlaut in Windows-1252 and ISO 8859-1.
  await load("older.csv", lines("G\u00e4rkeller"), "latin1");
  await page.getByText("older.csv was not loaded").waitFor();
  check((await status()).includes("line 2: the byte E4 at character 6 of the line is not UTF-8, in an older character set the letter `\u00e4`; save it again"),
    `a file in an older character set is not loaded: ${await status()}`);
  check(await cell("area").inputValue() === "Cellar" && await page.locator("#save").isDisabled(), "and what stood there stays");
  await load("lost.csv", lines("G\ufffdrkeller"), "utf8");
  await page.getByText("lost.csv is loaded in place").waitFor();
  await page.locator(".sheet [aria-invalid]").waitFor();
  const lost = await cell("area").locator("xpath=following-sibling::div").textContent();
  check(/error F030: .*U\+FFFD/.test(lost), `a letter that was lost is told beside its cell: ${lost}`);
  const many = Array.from({ length: 100 }, (_, at) => `P-${at},,pipe,NPS 6,x,2,10\n`).join("");
  await load("many.csv", `item,area,kind,size,length,quantity,build\n${many}`, "utf8");
  await page.getByText("and 70 more").waitFor();
  check((await page.getByText("Lines with errors").textContent()).endsWith("31 and 70 more"), "of many lines with errors it is said how many more there are");
  await shots(page, "slips");
  faults.splice(0, faults.length, ...faults.filter((f) => !/status of 422/.test(f)));
  for (let at = 0; at < 2; at += 1) await page.getByRole("button", { name: "Undo", exact: true }).click();
  await page.waitForFunction(() => document.getElementById("save").disabled);

  // On disk: told at its cell, and not written over with letters lost.
  writeFileSync(takeoff, Buffer.from(lines("G\u00e4rkeller"), "latin1"));
  await back();
  const found = cell("area").locator("xpath=following-sibling::div");
  // What was found of the text before may still stand there.
  await found.filter({ hasText: "F003" }).waitFor();
  const beside = await found.textContent();
  check(/error F003: .*byte E4/.test(beside), `what is not UTF-8 on disk is told beside its cell: ${beside}`);
  await cell("length").fill("13 m");
  await page.locator("#save").click();
  await page.getByText("takeoff.csv was not saved").waitFor();
  check(readFileSync(takeoff).includes(0xe4), "its letters are not written over");
  check(await cell("length").inputValue() === "13 m", "and what was typed stays");
  await shots(page, "slips-disk");
  faults.splice(0, faults.length, ...faults.filter((f) => !/status of 422/.test(f)));
  await cell("area").fill("G\u00e4rkeller");
  await page.locator("#save").click();
  await page.getByText("Saved.").waitFor();
  check(readFileSync(takeoff, "utf8") === lines("G\u00e4rkeller", "13 m"), "typed again, it is saved");

  rmSync(takeoff);
  await back();
  await page.getByText("Taken away outside this page, and empty here: takeoff.csv").waitFor();
  check(await page.locator("#saved").textContent() === "not on disk: takeoff.csv", `a takeoff that is gone is not as on disk: ${await page.locator("#saved").textContent()}`);
  await page.evaluate(() => { location.hash = "#plan/%"; });
  await page.getByRole("heading", { name: "Plan", level: 2 }).waitFor();
  check(true, "a wrong address shows the part that it names");

  // The code of a narrow saddle, whose middle lies outside of it, stands inside: a back 15 wide, with teeth of 40.
  const inside = await page.evaluate(async () => {
    const { drawing } = await import(new URL("pull.js", document.baseURI).href);
    const outline = [[55, 0], [68, 0], [68, 268], [55, 268], [0, 201], [55, 134], [0, 67]];
    const plan = { unit: "mm", sizes: [["68", "268"]], pieces: [{ piece: "A27", width: 68, length: 268, outline }],
      pulls: [{ width: 1500, length: 340, read: ["1500", "340"], placements: [[0, 600, 0, 0]] }] };
    document.getElementById("main").append(drawing(plan, 0, new Set(), () => "#plan"));
    const [path, text] = ["path.p", "text.label"].map((name) => document.querySelector(`svg.pull ${name}`));
    const { x, y, width, height } = text.getBBox();
    const to = path.getCTM().inverse().multiply(text.getCTM());
    // A box round letters reaches above and below them.
    const points = [0, 0.25, 0.5, 0.75, 1].flatMap((across) => [0.25, 0.5, 0.72].map((down) =>
      new DOMPoint(x + width * across, y + height * down).matrixTransform(to)));
    return points.filter((point) => path.isPointInFill(point)).length;
  });
  check(inside === 15, `a code stands inside its curved piece: ${inside} of 15 points`);
  if (SHOTS) await page.locator("svg.pull").screenshot({ path: join(SHOTS, "saddle.png") });
  // There is no plan yet.
  faults.splice(0, faults.length, ...faults.filter((f) => !/status of 404.*api\/plan/.test(f)));
  bench.kill("SIGINT");
  await new Promise((done) => bench.on("exit", done));
  await page.close();
}

// Papers on the smallest screen, with long names and in inches.
async function theNarrowPapers(context) {
  const folder = join(work, "narrow");
  mkdirSync(folder);
  const long = "W".repeat(60);
  writeFileSync(join(folder, "takeoff.csv"), "item,kind,size,length,quantity,build\n"
    + `${long},pipe,NPS 6,3 m,2,10+10\nE-1,elbow,NPS 6,,4,10+10\n`);
  writeFileSync(join(folder, "rolls.csv"), "roll,thickness,width,length,price\nB10,10,1500,50 m,300\n");
  for (const lengths of ["", 'lengths = "inches"\n']) {
    writeFileSync(join(folder, "papers.toml"), lengths);
    for (const words of [["plan", folder, "--quiet", "--work", "100000"], ["tickets", folder, "--quiet"]]) {
      const made = spawnSync(ROLLWRIGHT, words);
      check(made.status === 0, `${words[0]} of long names: ${made.stderr}`);
    }
    for (const name of ["tickets.html", "report.html"]) {
      const page = await opened(context, name);
      await page.goto(`file://${join(folder, "out", name)}`);
      for (const width of [320, 1280]) {
        await page.setViewportSize({ width, height: 740 });
        await page.waitForTimeout(60);
        const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        check(over <= 0, `${name} of long names ${lengths ? "in inches " : ""}fits ${width} pixels: ${over} over`);
        if (width === 320) await accessible(page, `${name} at 320 pixels`);
        if (SHOTS) await page.screenshot({ path: join(SHOTS, `narrow-${lengths ? "in-" : ""}${name}-${width}.png`), fullPage: true });
      }
      await page.close();
    }
  }
}

// An OpenDocument sheet (ISO/IEC 26300) in a ZIP archive whose entries are stored as they are.
function flat(rows) {
  const plain = (text) => text.replaceAll("&", "&amp;").replaceAll("<", "&lt;");
  const cells = (row) => row.map((c) =>
    `<table:table-cell office:value-type="string"><text:p>${plain(c)}</text:p></table:table-cell>`).join("");
  const content = `<?xml version="1.0" encoding="UTF-8"?><office:document-content office:version="1.2" `
    + `xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" `
    + `xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet><table:table table:name="takeoff">`
    + rows.map((row) => `<table:table-row>${cells(row)}</table:table-row>`).join("")
    + `</table:table></office:spreadsheet></office:body></office:document-content>`;
  const manifest = `<?xml version="1.0" encoding="UTF-8"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">`
    + `<manifest:file-entry manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>`
    + `<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>`;
  return zip([["mimetype", "application/vnd.oasis.opendocument.spreadsheet"], ["content.xml", content], ["META-INF/manifest.xml", manifest]]);
}

// The checksum of ZIP entries (ISO 3309).
function crc32(bytes) {
  let sum = ~0;
  for (const byte of bytes) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit += 1) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
  }
  return ~sum >>> 0;
}

function zip(entries) {
  const parts = [];
  const list = [];
  let at = 0;
  for (const [name, text] of entries) {
    const [bytes, title] = [Buffer.from(text), Buffer.from(name)];
    const about = Buffer.alloc(26);
    about.writeUInt16LE(20, 0);
    about.writeUInt32LE(crc32(bytes), 10);
    about.writeUInt32LE(bytes.length, 14);
    about.writeUInt32LE(bytes.length, 18);
    about.writeUInt16LE(title.length, 22);
    const rest = Buffer.alloc(14);
    rest.writeUInt32LE(at, 10);
    list.push(Buffer.from([0x50, 0x4b, 1, 2, 20, 0]), about, rest, title);
    parts.push(Buffer.from([0x50, 0x4b, 3, 4]), about, title, bytes);
    at += 30 + title.length + bytes.length;
  }
  const end = Buffer.alloc(22);
  end.writeUInt32LE(0x06054b50, 0);
  end.writeUInt16LE(entries.length, 8);
  end.writeUInt16LE(entries.length, 10);
  end.writeUInt32LE(Buffer.concat(list).length, 12);
  end.writeUInt32LE(at, 16);
  return Buffer.concat([...parts, ...list, end]);
}

async function theReport(context) {
  const page = await opened(context, "report");
  const requests = [];
  page.on("request", (request) => requests.push(request.url()));
  const began = Date.now();
  await page.goto(`file://${join(job, "out", "report.html")}`);
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => setTimeout(done))));
  console.log(`     the demo's report opens in ${Date.now() - began} ms`);
  check(requests.length === 1, `the report asks for nothing else (${requests.length} requests)`);
  await shots(page, "report");
  // Rows and drawings beyond the first are like those before them, and all of them take axe-core a minute.
  await page.evaluate(() => {
    const beyond = (list, most) => [...list].slice(most).forEach((one) => one.remove());
    document.querySelectorAll("tbody").forEach((body) => beyond(body.rows, 40));
    document.querySelectorAll(".sheet").forEach((sheet) => beyond(sheet.children, 12));
    document.querySelectorAll("section").forEach((section) => beyond(section.children, 40));
    beyond(document.querySelectorAll(".ticket"), 8);
  });
  await accessible(page, "report");
  // The tickets that the run wrote beside it are read on a phone, too.
  await page.goto(`file://${join(job, "out", "tickets.html")}`);
  await shots(page, "tickets");
  await page.close();
}

try {
  browser = await chromium.launch({ executablePath: CHROMIUM, args: ["--no-sandbox", "--disable-gpu",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"] });
  const context = await browser.newContext({ acceptDownloads: true, viewport: { width: 1400, height: 900 } });
  if (!ONLY) await theBench(context);
  if (!ONLY) await theReport(context);
  if (!ONLY || ONLY === "workbook") await theWorkbook(context);
  if (!ONLY || ONLY === "slips") await theSlips(context);
  if (!ONLY || ONLY === "typing") await theTyping(context);
  if (!ONLY || ONLY === "narrow") await theNarrowPapers(context);
} catch (why) {
  faults.push(String(why.stack || why));
  for (const page of browser?.contexts().flatMap((context) => context.pages()) || []) {
    console.log(`${page.url()}\n${await page.locator("#status, main").allInnerTexts().catch(() => "")}`.slice(0, 3000));
  }
} finally {
  await browser?.close();
  bench?.kill("SIGKILL");
  rmSync(work, { recursive: true, force: true });
}
if (faults.length || checks < (ONLY ? 5 : 60)) {
  console.log(`\n${faults.length} faults in ${checks} checks:\n${faults.join("\n")}`);
  process.exitCode = 1;
} else console.log(`\n${checks} checks passed`);
