//! The bench as a server: who is refused, and what is never served. Spoken to byte by byte, so that
//! every header is ours.

#![expect(clippy::unwrap_used, reason = "a test helper that fails should stop the test")]

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// A bench for a copy of the demo, ended with the test.
struct Bench {
    child: Child,
    port: u16,
    key: String,
    place: String,
    token: String,
    job: PathBuf,
    _folder: tempfile::TempDir,
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn start() -> Bench {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("vellmoor");
    fs::create_dir(&job).unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/vellmoor");
    for name in ["takeoff.csv", "rolls.csv", "offcuts.csv", "rules.toml"] {
        fs::copy(demo.join(name), job.join(name)).unwrap();
    }
    fs::write(folder.path().join("secret.csv"), "secret").unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .arg("bench")
        .arg(&job)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
    let (port, key) = line.trim().rsplit(':').next().unwrap().split_once("/?key=").unwrap();
    let (port, key) = (port.parse().unwrap(), key.to_owned());
    let (place, token) = (String::new(), String::new());
    let mut bench = Bench { child, port, key, place, token, job, _folder: folder };
    let opened = bench.whole(&format!("GET /?key={} HTTP/1.1", bench.key), &[], "");
    let opened = opened.to_ascii_lowercase();
    let place = opened.split("\r\nlocation: /").nth(1).and_then(|rest| rest.split_once("/\r"));
    place.unwrap().0.clone_into(&mut bench.place);
    assert_eq!(bench.place.len(), 48);
    let page = bench.ask("GET / HTTP/1.1", &[], "").1;
    let token = page.split("name=\"token\" content=\"").nth(1).unwrap();
    token.split('"').next().unwrap().clone_into(&mut bench.token);
    bench
}

impl Bench {
    /// Status and body of an answer; the headers given replace our own of the same name.
    fn ask(&self, first: &str, headers: &[(&str, &str)], body: &str) -> (u16, String) {
        let answer = self.whole(first, headers, body);
        let status = answer.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        let body = answer.split_once("\r\n\r\n").map_or("", |(_, body)| body).to_owned();
        (status, body)
    }

    /// The same with all that was answered. Paths are below the bench's place, but for the one with the key.
    fn whole(&self, first: &str, headers: &[(&str, &str)], body: &str) -> String {
        let (method, path) = first.split_once(' ').unwrap();
        let at_place = format!("{method} /{}{path}", self.place);
        let first = if path.starts_with("/?") { first } else { &at_place };
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_mins(1))).unwrap();
        let mut text =
            format!("{first}\r\nConnection: close\r\nContent-Length: {}\r\n", body.len());
        let host = format!("127.0.0.1:{}", self.port);
        let cookie = format!("rollwright-{}={}", self.port, self.key);
        let own = [("Host", host.as_str()), ("Cookie", cookie.as_str())];
        let own = own.iter().filter(|(name, _)| headers.iter().all(|(n, _)| n != name));
        for (name, value) in own.chain(headers) {
            text.extend([name, ": ", value, "\r\n"]);
        }
        text.push_str("\r\n");
        text.push_str(body);
        // A refusal may come before all of a large body is taken.
        let _ = stream.write_all(text.as_bytes());
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }

    fn change(&self, first: &str, more: &[(&str, &str)], body: &str) -> (u16, String) {
        let mut headers = vec![("X-Rollwright-Token", self.token.as_str())];
        headers.extend(more);
        self.ask(first, &headers, body)
    }
}

#[test]
fn strangers_are_refused() {
    let bench = start();
    let own = format!("http://127.0.0.1:{}", bench.port);
    let get = "GET /api/job HTTP/1.1";
    assert_eq!(bench.ask(get, &[], "").0, 200);
    assert_eq!(bench.ask(get, &[("Origin", &own)], "").0, 200);
    for header in [
        ("Host", "evil.example"),
        ("Host", "127.0.0.1"),
        ("Origin", "http://evil.example"),
        ("Origin", "null"),
        ("Sec-Fetch-Site", "cross-site"),
        ("Cookie", ""),
        ("Cookie", "rollwright=0"),
    ] {
        let (status, body) = bench.ask(get, &[header], "");
        assert_eq!(status, 403, "{header:?}");
        assert!(!body.contains("takeoff"), "{header:?}");
    }
    // Whoever did not read the printed address gets nothing, the page and its token least of all.
    let none = [("Cookie", "")];
    for path in ["/", "/?key=0", "/?key=", "/main.js", "/report/plan.json"] {
        let (status, body) = bench.ask(&format!("GET {path} HTTP/1.1"), &none, "");
        assert_eq!(status, 403, "{path}");
        assert!(body.contains("with its key") && !body.contains(&bench.token), "{path}: {body}");
    }
    let opened = bench.whole(&format!("GET /?key={} HTTP/1.1", bench.key), &none, "");
    let opened = opened.to_ascii_lowercase();
    // To another port, whose pages lie elsewhere, no browser brings the cookie: it is for paths below the place alone.
    let place = &bench.place;
    assert!(opened.starts_with("http/1.1 303"), "{opened}");
    assert!(opened.contains(&format!("location: /{place}/\r")), "{opened}");
    assert!(opened.contains(&format!("; path=/{place}/; samesite=strict; httponly\r")), "{opened}");
    assert!(place != &bench.key && place != &bench.token);
    // The key alone opens nothing outside of it.
    assert_eq!(bench.ask("GET /?api/job HTTP/1.1", &[], "").0, 404);
    let run = ("POST /api/run HTTP/1.1", "{}");
    let change = [("Cookie", ""), ("X-Rollwright-Token", &bench.token)];
    assert_eq!(bench.ask(run.0, &change, run.1).0, 403);
    assert_eq!(bench.ask(run.0, &[("Content-Type", "application/json")], run.1).0, 403);
    let wrong = [("X-Rollwright-Token", "0"), ("Content-Type", "application/json")];
    assert_eq!(bench.ask(run.0, &wrong, run.1).0, 403);
    // No preflight of another site is answered.
    let preflight = [("Origin", "http://evil.example"), ("Access-Control-Request-Method", "PUT")];
    assert_eq!(bench.ask("OPTIONS /api/file/rolls.csv HTTP/1.1", &preflight, "").0, 403);
}

#[test]
fn nothing_outside_the_job_is_read_or_written() {
    let bench = start();
    let paths = [
        "/../secret.csv",
        "/..%2fsecret.csv",
        "/report/..%2f..%2fsecret.csv",
        "/report/%2fetc%2fpasswd",
        "/report/plan.json",
        "/takeoff.csv",
        "/rules.toml",
        "//etc/passwd",
        "/report/..\\secret.csv",
    ];
    for path in paths {
        let (status, body) = bench.ask(&format!("GET {path} HTTP/1.1"), &[], "");
        assert_eq!(status, 404, "{path}: {body}");
        assert!(!body.contains("secret\n") && !body.contains("root:"), "{path}");
    }
    for name in ["..%2fsecret.csv", "new.csv", "out%2fplan.json", ".ssh", "takeoff.csv%00"] {
        let put = format!("PUT /api/file/{name} HTTP/1.1");
        let (status, _) = bench.change(&put, &[("If-Match", "missing")], "mine");
        assert!((400..500).contains(&status), "{name}: {status}");
    }
    let secret = bench.job.parent().unwrap().join("secret.csv");
    assert_eq!(fs::read_to_string(secret).unwrap(), "secret");
    assert_eq!(fs::read_dir(&bench.job).unwrap().count(), 4);
}

#[cfg(unix)]
#[test]
fn links_out_of_the_job_are_not_followed() {
    let bench = start();
    let secret = bench.job.parent().unwrap().join("secret.csv");
    fs::remove_file(bench.job.join("offcuts.csv")).unwrap();
    std::os::unix::fs::symlink(&secret, bench.job.join("offcuts.csv")).unwrap();
    fs::write(&secret, "a secret").unwrap();
    let (status, body) = bench.ask("GET /api/job HTTP/1.1", &[], "");
    // Its text is not told, and all other files are.
    assert!(status == 200 && body.contains("offcuts.csv is a link"), "{status} {body}");
    assert!(!body.contains("a secret") && body.contains("ST-110-E1"), "{body}");
    let json = [("Content-Type", "application/json")];
    let (status, body) = bench.change("POST /api/check HTTP/1.1", &json, "{\"files\":{}}");
    assert!(
        status == 200 && body.contains("\"failed\":\"offcuts.csv is a link"),
        "{status} {body}"
    );
    assert!(!body.contains("a secret"), "{body}");
    fs::remove_file(bench.job.join("offcuts.csv")).unwrap();
    // Nor is a folder for reports that lies elsewhere written to.
    let other = bench.job.parent().unwrap().join("other");
    fs::create_dir(&other).unwrap();
    std::os::unix::fs::symlink(&other, bench.job.join("out")).unwrap();
    assert_eq!(bench.change("POST /api/run HTTP/1.1", &json, "{}").0, 202);
    let told = ended(&bench);
    assert!(told.contains("failed") && told.contains("out is a link"), "{told}");
    assert_eq!(fs::read_dir(&other).unwrap().count(), 0);
}

/// How the run ended.
fn ended(bench: &Bench) -> String {
    let begun = Instant::now();
    loop {
        let told = bench.ask("GET /api/run HTTP/1.1", &[], "").1;
        if told.contains("\"state\":\"done\"") || told.contains("\"state\":\"failed\"") {
            return told;
        }
        assert!(begun.elapsed() < Duration::from_mins(5), "{told}");
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn large_and_stale_changes_are_refused_and_the_rest_is_written() {
    let bench = start();
    let put = "PUT /api/file/rolls.csv HTTP/1.1";
    let large = "x".repeat((80 << 20) + 1);
    assert_eq!(bench.change(put, &[("If-Match", "missing")], &large).0, 413);
    assert_eq!(bench.change(put, &[], "x").0, 428);
    assert_eq!(bench.change(put, &[("If-Match", "missing")], "x").0, 412);
    let job = bench.ask("GET /api/job HTTP/1.1", &[], "").1;
    let rolls = job.split("\"name\":\"rolls.csv\"").nth(1).unwrap();
    let version = rolls.split("\"version\":\"").nth(1).unwrap().split('"').next().unwrap();
    let before = fs::read_to_string(bench.job.join("rolls.csv")).unwrap();
    let after = before.replace("596.00", "597.00");
    let (status, told) = bench.change(put, &[("If-Match", version)], &after);
    assert_eq!(status, 200, "{told}");
    assert_eq!(fs::read_to_string(bench.job.join("rolls.csv")).unwrap(), after);
    // Findings are told of what is not written, and nothing is.
    let draft = r#"{"files":{"rolls.csv":"roll,thickness\nA,ten\n"}}"#;
    let json = [("Content-Type", "application/json")];
    let (status, told) = bench.change("POST /api/check HTTP/1.1", &json, draft);
    assert!(status == 200 && told.contains("\"severity\":\"error\""), "{told}");
    assert_eq!(fs::read_to_string(bench.job.join("rolls.csv")).unwrap(), after);
}

/// The versions of all files as a page reads them, in JSON.
fn seen(bench: &Bench) -> String {
    let job: serde_json::Value =
        serde_json::from_str(&bench.ask("GET /api/job HTTP/1.1", &[], "").1).unwrap();
    let mut seen = serde_json::Map::new();
    for file in job["files"].as_array().unwrap() {
        for one in [file, &file["workbook"]] {
            if let Some(name) = one["name"].as_str() {
                seen.insert(name.to_owned(), one["version"].clone());
            }
        }
    }
    serde_json::Value::Object(seen).to_string()
}

/// A page went on showing what it had read, called it as on disk, and ran what another window had saved.
#[test]
fn nothing_is_run_that_the_page_does_not_show() {
    let bench = start();
    let json = [("Content-Type", "application/json")];
    let check = |seen: &str| {
        let body = format!("{{\"files\":{{}},\"seen\":{seen}}}");
        let (status, told) = bench.change("POST /api/check HTTP/1.1", &json, &body);
        assert_eq!(status, 200, "{told}");
        let told: serde_json::Value = serde_json::from_str(&told).unwrap();
        told["changed"].to_string()
    };
    let run = |seen: &str| {
        let body = format!("{{\"seen\":{seen}}}");
        bench.change("POST /api/run HTTP/1.1", &json, &body)
    };
    let read = seen(&bench);
    assert_eq!(check(&read), "[]");
    let rolls = fs::read_to_string(bench.job.join("rolls.csv")).unwrap();
    fs::write(bench.job.join("rolls.csv"), rolls.replace("596.00", "597.00")).unwrap();
    assert_eq!(check(&read), r#"["rolls.csv"]"#);
    let (status, told) = run(&read);
    assert!(status == 412 && told.contains("nothing was run: rolls.csv"), "{status} {told}");
    // A file that is new, and a workbook in a table's place.
    let again = seen(&bench);
    fs::write(bench.job.join("rates.toml"), "").unwrap();
    fs::remove_file(bench.job.join("rolls.csv")).unwrap();
    fs::write(bench.job.join("rolls.xlsx"), workbook()).unwrap();
    assert_eq!(check(&again), r#"["rates.toml","rolls.csv","rolls.xlsx"]"#);
    assert_eq!(run(&again).0, 412);
    let now = seen(&bench);
    assert_eq!(check(&now), "[]");
    assert_eq!(run(&now).0, 202);
}

/// The rolls of the demo as a sheet of a flat workbook would give them: a small `.xlsx`.
fn workbook() -> Vec<u8> {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    sheet.set_name("rolls").unwrap();
    sheet.write_string(0, 0, "Our rolls").unwrap();
    for (column, heading) in ["roll", "thickness", "width", "length", "price"].iter().enumerate() {
        sheet.write_string(2, u16::try_from(column).unwrap(), *heading).unwrap();
    }
    for (row, thickness) in [(3, 5.0), (4, 10.0)] {
        sheet.write_string(row, 0, format!("B{thickness},<script>")).unwrap();
        for (column, value) in [(1, thickness), (2, 1500.0), (3, 40_000.0), (4, 600.5)] {
            sheet.write_number(row, column, value).unwrap();
        }
    }
    book.save_to_buffer().unwrap()
}

#[test]
fn a_workbook_is_shown_and_kept_as_csv_with_nothing_lost() {
    let bench = start();
    let book = workbook();
    fs::write(bench.job.join("rolls.xlsx"), &book).unwrap();
    fs::remove_file(bench.job.join("rolls.csv")).unwrap();
    let job = bench.ask("GET /api/job HTTP/1.1", &[], "").1;
    let rolls = job.split("\"name\":\"rolls.xlsx\"").nth(1).unwrap();
    assert!(rolls.contains("[4,[\"B5,<script>\",\"5\",\"1500\",\"40000\",\"600.5\"]]"), "{rolls}");
    let version = rolls.split("\"version\":\"").nth(1).unwrap().split('"').next().unwrap();
    let keep = "POST /api/keep/rolls.csv HTTP/1.1";
    assert_eq!(bench.change(keep, &[], "").0, 428);
    assert_eq!(bench.change(keep, &[("If-Match", "missing")], "").0, 412);
    assert_eq!(
        bench.change("POST /api/keep/takeoff.csv HTTP/1.1", &[("If-Match", "x")], "").0,
        422
    );
    let (status, told) = bench.change(keep, &[("If-Match", version)], "");
    assert_eq!(status, 200, "{told}");
    let kept = fs::read_to_string(bench.job.join("rolls.csv")).unwrap();
    assert_eq!(
        kept,
        "roll,thickness,width,length,price\n\"B5,<script>\",5,1500,40000,600.5\n\
         \"B10,<script>\",10,1500,40000,600.5\n"
    );
    assert_eq!(fs::read(bench.job.join("rolls.xlsx.kept")).unwrap(), book);
    assert!(!bench.job.join("rolls.xlsx").exists());
}

/// What the page shows is checked in a private folder, which nobody is told of.
#[test]
fn a_check_tells_of_the_jobs_own_folder() {
    let bench = start();
    fs::remove_file(bench.job.join("rolls.csv")).unwrap();
    let json = [("Content-Type", "application/json")];
    let (status, told) = bench.change("POST /api/check HTTP/1.1", &json, "{\"files\":{}}");
    let own = format!("the job folder {} has no such file", bench.job.display());
    assert!(status == 200 && told.contains(&own), "{told}");
    let rest = told.replace(&bench.job.display().to_string(), "");
    assert!(!rest.contains(&std::env::temp_dir().display().to_string()), "{told}");
}

/// As text a date is a name like others, and a formula that failed an empty cell: a list with such cells is not kept.
#[test]
fn a_workbook_with_errors_is_not_kept() {
    let bench = start();
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    sheet.set_name("rolls").unwrap();
    for (column, heading) in (0..).zip(["roll", "thickness", "width", "length", "price"]) {
        sheet.write(0, column, heading).unwrap();
    }
    let date = rust_xlsxwriter::ExcelDateTime::from_ymd(2026, 3, 2).unwrap();
    let format = rust_xlsxwriter::Format::new().set_num_format("yyyy-mm-dd");
    sheet.write_datetime_with_format(1, 0, &date, &format).unwrap();
    for (column, number) in (1..).zip([10, 1500, 40000, 600]) {
        sheet.write(1, column, number).unwrap();
    }
    let book = book.save_to_buffer().unwrap();
    fs::write(bench.job.join("rolls.xlsx"), &book).unwrap();
    fs::remove_file(bench.job.join("rolls.csv")).unwrap();
    let job = bench.ask("GET /api/job HTTP/1.1", &[], "").1;
    let rolls = job.split("\"name\":\"rolls.xlsx\"").nth(1).unwrap();
    let version = rolls.split("\"version\":\"").nth(1).unwrap().split('"').next().unwrap();
    let keep = "POST /api/keep/rolls.csv HTTP/1.1";
    let (status, told) = bench.change(keep, &[("If-Match", version)], "");
    assert!(status == 422 && told.contains("mend rolls.xlsx") && told.contains("F020"), "{told}");
    assert!(!bench.job.join("rolls.csv").exists() && bench.job.join("rolls.xlsx").exists());
}

#[test]
fn a_run_writes_what_plan_writes() {
    let bench = start();
    let json = [("Content-Type", "application/json")];
    assert_eq!(bench.change("POST /api/run HTTP/1.1", &json, "{}").0, 202);
    let told = ended(&bench);
    assert!(told.contains("\"state\":\"done\""), "{told}");
    let other = tempfile::tempdir().unwrap();
    let done = Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .args(["plan", "--quiet", "--out"])
        .arg(other.path())
        .arg(&bench.job)
        .status()
        .unwrap();
    assert!(done.success());
    let mut compared = 0;
    for entry in fs::read_dir(other.path()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let both = [other.path(), &bench.job.join("out")].map(|f| fs::read(f.join(&name)).unwrap());
        assert_eq!(both[0], both[1], "{name}");
        let (status, _) = bench.ask(&format!("GET /report/{name} HTTP/1.1"), &[], "");
        assert_eq!(status, 200, "{name}");
        compared += 1;
    }
    assert!(compared >= 9);
}

/// By hand, as in `tests/inches.rs`: pulls of 22 1/16 in behind a square cut of 2 in; of 900 in 809 3/4 are left. The
/// usual work is 5,000,000 steps.
#[test]
fn lengths_are_read_as_on_papers_and_the_search_may_be_longer() {
    let bench = start();
    let takeoff = "item,kind,size,length,quantity,build\nP-1,pipe,NPS 6,8 ft,2,10\n";
    let rules = "[resolution]\ncut = \"1/16 in\"\n[table]\nsquare_cut = \"2 in\"\n";
    for (name, text) in [
        ("takeoff.csv", takeoff),
        ("rolls.csv", "roll,thickness,width,length\nW10,10,48 in,75 ft\n"),
        ("rules.toml", rules),
        ("papers.toml", "lengths = \"inches\"\n"),
    ] {
        fs::write(bench.job.join(name), text).unwrap();
    }
    fs::remove_file(bench.job.join("offcuts.csv")).unwrap();
    let json = [("Content-Type", "application/json")];
    for wrong in ["0", "1001", "-1", "\"many\""] {
        let (status, told) =
            bench.change("POST /api/run HTTP/1.1", &json, &format!("{{\"times\":{wrong}}}"));
        assert_eq!(status, 422, "{wrong}: {told}");
    }
    assert_eq!(bench.change("POST /api/run HTTP/1.1", &json, "{\"times\":3}").0, 202);
    assert!(ended(&bench).contains("\"state\":\"done\""));
    let plan = fs::read_to_string(bench.job.join("out/plan.json")).unwrap();
    assert!(plan.contains("\"work\":15000000"), "{plan}");
    let view = bench.ask("GET /api/plan HTTP/1.1", &[], "").1.replace('\u{a0}', " ");
    for words in [
        "\"unit\":\"in\"",
        "\"order\":[\"buy 1 roll of W10 (48 in x 75 ft)\"]",
        "\"sizes\":[[\"48\",\"22 1/16\"]]",
        "\"read\":[\"22 1/16\",\"48\",\"4.00 ft\"]",
        "\"read\":[[\"48\",\"900\"],[\"2\",\"24 1/16\",\"46 1/8\",\"68 3/16\"],[[\"90 1/4\",\"48\",\"809 3/4\"]]]",
    ] {
        assert!(view.contains(words), "{words} is not in {view}");
    }
}

/// What is wrong with options is told as they are typed, each in its cell; good ones are compared in the job's currency.
#[test]
fn options_are_checked_as_they_are_typed() {
    let bench = start();
    let rolls = "roll,thickness,width,length,price,currency\nA5,5,1500,60 m,596.00,EUR\nA10,10,1500,40 m,742.00,EUR\n";
    fs::write(bench.job.join("rolls.csv"), rolls).unwrap();
    let takeoff = "item,kind,size,length,quantity,build\nP-1,pipe,NPS 6,9 m,1,10+10\n";
    fs::write(bench.job.join("takeoff.csv"), takeoff).unwrap();
    fs::remove_file(bench.job.join("offcuts.csv")).unwrap();
    let json = [("Content-Type", "application/json")];
    let options = "option,key,value\na,,3 m\nb,table.pul_limit,3 m\nc,joints.stagger,-3\n";
    let draft = serde_json::json!({ "files": { "options.csv": options } }).to_string();
    let told = bench.change("POST /api/check HTTP/1.1", &json, &draft).1;
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    let of_options = |f: &&serde_json::Value| f["file"].as_str().unwrap().ends_with("options.csv");
    let found = told["findings"].as_array().unwrap().iter().filter(of_options);
    let found: Vec<_> = found.map(|f| (f["line"].as_u64(), f["column"].as_u64())).collect();
    let cell = |line, column| (Some(line), Some(column));
    assert_eq!(found, [cell(2, 2), cell(3, 2), cell(4, 3)], "{told}");
    let put = "PUT /api/file/options.csv HTTP/1.1";
    let good = "option,key,value\nshort,table.pull_limit,3 m\n";
    assert_eq!(bench.change(put, &[("If-Match", "missing")], good).0, 200);
    let asked = "{\"options\":true,\"times\":2}";
    assert_eq!(bench.change("POST /api/run HTTP/1.1", &json, asked).0, 202);
    let told = ended(&bench);
    assert!(told.contains("1 option compared with the job as it is"), "{told}");
    assert!(told.contains("\"currency\":\"EUR\""), "{told}");
}

/// Who works in the browser goes on from what was done as the command line does.
#[test]
fn a_report_of_what_was_done_is_gone_on_from() {
    let bench = start();
    let takeoff = "item,kind,size,length,quantity,build\nP-1,pipe,NPS 6,30 m,1,10+10\nP-2,pipe,NPS 4,9 m,3,10\n";
    fs::write(bench.job.join("takeoff.csv"), takeoff).unwrap();
    let json = [("Content-Type", "application/json")];
    let run = |asked: &str| {
        assert_eq!(bench.change("POST /api/run HTTP/1.1", &json, asked).0, 202);
        ended(&bench)
    };
    let told = run("{\"go_on\":true}");
    assert!(told.contains("there is no done.csv, or not the plan"), "{told}");
    assert!(run("{}").contains("files are in the folder out\""), "no plan");
    // What was done is checked by the plan that its tickets are of, and read from what the page shows.
    let check = |ticket: &str| {
        let draft =
            format!("{{\"files\":{{\"done.csv\":\"ticket,what,pull\\n{ticket},cut,all\\n\"}}}}");
        let told = bench.change("POST /api/check HTTP/1.1", &json, &draft).1;
        let mut told: serde_json::Value = serde_json::from_str(&told).unwrap();
        // As it stands on the tickets; which it is, is the plan's matter.
        let mark = told["ground"].as_object_mut().and_then(|ground| ground.remove("mark"));
        let mark = mark.as_ref().and_then(serde_json::Value::as_str);
        assert_eq!(mark.map_or(4, str::len), 4);
        let codes = told["findings"].as_array().unwrap().iter();
        let codes: Vec<String> = codes.map(|f| f["code"].as_str().unwrap().to_owned()).collect();
        (told["ground"].to_string(), codes.contains(&"G004".to_owned()))
    };
    let ground = r#"{"beyond":[],"from":"out","older":false,"plan":1,"there":false,"to":"out2"}"#;
    let ground = ground.to_owned();
    assert_eq!(check("T1"), (ground.clone(), false));
    assert_eq!(check("T99"), (ground, true));
    assert_eq!(check("T1r2"), ("null".to_owned(), false));
    let put = "PUT /api/file/done.csv HTTP/1.1";
    let report = "ticket,what,pull\nT1,cut,all\n";
    assert_eq!(bench.change(put, &[("If-Match", "missing")], report).0, 200);
    // A plan that was written after the report was saved may have replaced the one that it is of.
    let plan = fs::File::options().append(true).open(bench.job.join("out/plan.json")).unwrap();
    let made = plan.metadata().unwrap().modified().unwrap();
    plan.set_modified(made + Duration::from_mins(1)).unwrap();
    assert!(check("T1").0.contains("\"older\":true"));
    plan.set_modified(made).unwrap();
    let told = run("{\"go_on\":true,\"times\":2}");
    assert!(
        told.contains("files are in the folder out2\"") && told.contains("\"folder\":\"out2\""),
        "{told}"
    );
    let other = tempfile::tempdir().unwrap();
    let done = Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .current_dir(&bench.job)
        .args(["plan", "--quiet", "--from", "out/plan.json", "--done", "done.csv", "."])
        .arg("--out")
        .arg(other.path())
        .status()
        .unwrap();
    assert!(done.success());
    let plans =
        [other.path(), &bench.job.join("out2")].map(|f| fs::read(f.join("plan.json")).unwrap());
    let named = |plan: &[u8]| -> serde_json::Value { serde_json::from_slice(plan).unwrap() };
    let work = |plan: &[u8]| named(plan)["program"]["limits"]["work"].as_u64();
    assert_eq!([&plans[0], &plans[1]].map(|plan| work(plan)), [Some(5_000_000), Some(10_000_000)]);
    let [one, two] = [&plans[0], &plans[1]].map(|plan| named(plan)["already"].clone());
    assert!(one["pieces"].as_array().is_some_and(|pieces| !pieces.is_empty()));
    assert_eq!(one, two);
    assert!(check("T1").0.contains("\"there\":true"));
    assert!(check("T1r2").0.contains("\"from\":\"out2\",\"older\":false,\"plan\":2"));
    // Where the second plan is made anew, the third is of a plan that is gone.
    let version = digest_of(&bench, "done.csv");
    let next = "ticket,what,pull\nT1r2,cut,1\n";
    assert_eq!(bench.change(put, &[("If-Match", &version)], next).0, 200);
    assert!(run("{\"go_on\":true}").contains("files are in the folder out3\""));
    assert!(check("T1").0.contains("\"beyond\":[\"out3\"]"));
    assert!(check("T1r2").0.contains("\"beyond\":[]"));
}

/// The version of a file as a page reads it.
fn digest_of(bench: &Bench, name: &str) -> String {
    let seen: serde_json::Value = serde_json::from_str(&seen(bench)).unwrap();
    seen[name].as_str().unwrap().to_owned()
}

/// Half a request, which needs no key, held a connection for as long as whoever made it liked.
#[test]
fn half_a_request_is_not_waited_for() {
    let bench = start();
    let mut half = TcpStream::connect(("127.0.0.1", bench.port)).unwrap();
    half.write_all(b"GET / HTTP/1.1\r\nHost: ").unwrap();
    half.set_read_timeout(Some(Duration::from_mins(1))).unwrap();
    let mut told = Vec::new();
    // Ended with a refusal or without a word, but ended.
    let ended = half.read_to_end(&mut told);
    assert!(ended.is_ok_and(|_| !told.starts_with(b"HTTP/1.1 200")), "{told:?}");
    assert_eq!(bench.ask("GET / HTTP/1.1", &[], "").0, 200);
}

#[cfg(unix)]
#[test]
fn ctrl_c_ends_it() {
    let mut bench = start();
    let asked = Command::new("kill").args(["-INT", &bench.child.id().to_string()]).status();
    assert!(asked.unwrap().success());
    let begun = Instant::now();
    loop {
        if let Some(status) = bench.child.try_wait().unwrap() {
            assert_eq!(status.code(), Some(0));
            return;
        }
        assert!(begun.elapsed() < Duration::from_secs(30));
        std::thread::sleep(Duration::from_millis(20));
    }
}
