//! What reports say and show of elbow gores: shared blanks in words on every form of a ticket, outlines
//! with edges drawn once, and what other places of the seams would save.

#![expect(clippy::expect_used, reason = "a test helper that fails should stop the test")]

use assert_cmd::Command;
use std::fs;
use std::path::Path;

/// Large elbows, gored, with their seams in turn.
fn job() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let files = [
        (
            "takeoff.csv",
            "item,area,line,kind,size,length,quantity,build\n\
             E-1,hall,L-1,elbow,NPS 16,,10,10+10\nE-2,hall,L-2,elbow,NPS 12,,13,10+10\n",
        ),
        ("rolls.csv", "roll,thickness,width,length,price\nW,10,1500,40 m,742.00\n"),
        (
            "rules.toml",
            "[elbow]\nseam = \"alternate\"\n[table]\npull_limit = \"4 m\"\n[offcuts]\n\
             keep_width = 300\nkeep_length = 800\n",
        ),
    ];
    for (name, text) in files {
        fs::write(folder.path().join(name), text).expect("a file written");
    }
    folder
}

fn run(arguments: &[&str], folder: &Path) -> String {
    let mut command = Command::cargo_bin("rollwright").expect("the program");
    let output = command.current_dir(folder).args(arguments).output().expect("a run");
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

#[test]
fn reports_tell_of_gores() {
    let folder = job();
    let work = ["--work", "300000", "--quiet"];
    run(&[&["plan", ".", "--also", "seams"][..], &work].concat(), folder.path());
    run(&["tickets", ".", "--quiet"], folder.path());
    let read = |name: &str| {
        fs::read_to_string(folder.path().join("out").join(name)).expect("a file that is there")
    };
    let (report, tickets) = (read("report.html"), read("tickets.html"));
    // Every sentence about a shared blank on the tickets stands in the report, too.
    let sentences = |page: &str| -> Vec<String> {
        let after = page.split("Blank ").skip(1);
        let told = after.filter_map(|rest| rest.split_once(" is one cut."));
        let mut told: Vec<String> = told.map(|(words, _)| words.to_owned()).collect();
        told.sort();
        told
    };
    let told = sentences(&tickets);
    assert!(!told.is_empty() && told.iter().all(|words| words.contains("shared by")));
    assert_eq!(sentences(&report), told);
    // Gores of one layer with seams in turn share whole edges, and these are left out of the later one.
    assert!(report.contains("class=\"bare\""), "no shared edge");
    assert!(report.contains("id=\"seams\""));
    let (_, section) = report.split_once("id=\"seams\"").expect("the section");
    let (section, _) = section.split_once("</section>").expect("its end");
    let seams: serde_json::Value =
        serde_json::from_str(&run(&[&["seams", ".", "--json"][..], &work].concat(), folder.path()))
            .expect("JSON");
    let seams = seams.as_array().expect("an array");
    // The command says the same as the report, which gives square metres to the hundredth.
    for (at, seam) in ["throat", "heel", "alternate"].into_iter().enumerate() {
        assert_eq!(seams[at]["seam"], seam);
        assert_eq!(seams[at]["chosen"], seam == "alternate");
        let cut: f64 = seams[at]["cut"].to_string().trim_matches('"').parse().expect("an area");
        let (_, row) = section.split_once(&format!("<td>{seam}")).expect("a row");
        let row = row.split_once("<tr>").map_or(row, |(row, _)| row);
        let told = format!("<td class=n>{:.2}", cut / 1e6);
        assert!(cut > 0.0 && row.contains(&told), "{told} in {row}");
    }
    assert!(section.contains("Seams at the throat instead of at throat and heel in turn would"));
}

#[test]
fn what_was_not_asked_for_is_named_and_without_gores_nothing_is_said_to_be_saved() {
    let folder = job();
    let takeoff = "item,area,line,kind,size,length,quantity,build\n\
        P-1,hall,L-1,pipe,NPS 12,4 m,1,10+10\n";
    fs::write(folder.path().join("takeoff.csv"), takeoff).expect("written");
    run(&["plan", ".", "--quiet"], folder.path());
    let read = || fs::read_to_string(folder.path().join("out/report.html")).expect("a report");
    assert!(read().contains("what other seams of elbow gores would save (seams)"));
    run(&["plan", ".", "--quiet", "--also", "seams"], folder.path());
    assert!(!read().contains("what other seams of elbow gores would save (seams)"));
    assert!(read().contains("No elbow of this job is cut in gores"));
}

/// Cones, whose blanks have room on their inside, and short pieces of small pipe. All of them are told of in
/// every form of the ticket, and what the rolls cost is shared out to the last cent.
#[test]
fn tickets_say_what_to_do_with_rectangles_in_hollows() {
    let folder = job();
    let takeoff = "item,area,line,kind,size,size2,length,quantity,build\n\
        R-1,hall,L-1,reducer,NPS 24,NPS 12,508,60,10\nR-2,hall,L-1,reducer,NPS 16,NPS 10,356,60,10\n\
        P-1,hall,L-3,pipe,NPS 1,,100,150,10\nP-2,hall,L-3,pipe,NPS 2,,140,150,10\n";
    fs::write(folder.path().join("takeoff.csv"), takeoff).expect("written");
    run(&["plan", ".", "--work", "600000", "--quiet"], folder.path());
    run(&["tickets", ".", "--quiet"], folder.path());
    let read = |name: &str| {
        fs::read_to_string(folder.path().join("out").join(name)).expect("a file that is there")
    };
    for page in ["report.html", "tickets.html"] {
        let page = read(page);
        assert!(page.contains(" curved pieces and "), "no rectangle shares a blank");
        assert!(page.contains("cut free with the knife first: A"), "nothing is told of it");
    }
    // Each is cut free by lines that name no piece.
    let cuts = read("cuts.csv");
    let unnamed = |line: &str| line.contains("\"outline\"") && line.split(',').nth(11) == Some("");
    assert!(cuts.lines().filter(|line| unnamed(line)).count() >= 4, "{cuts}");
    // What areas take, and whole rolls and spares, are the price of the rolls.
    let items = read("items.csv");
    let of_area = |line: &str| -> f64 {
        line.split(',').skip(5).take(2).map(|sum| sum.parse::<f64>().expect("a sum")).sum()
    };
    let areas = items.lines().filter(|line| line.starts_with("\"area\""));
    let price = read("price.csv");
    let rolls = price.lines().find(|line| line.starts_with("\"W\"")).expect("the rolls");
    let rolls: f64 = rolls.split(',').nth(5).expect("money").parse().expect("a sum");
    let sum: f64 = areas.map(of_area).sum();
    assert!((sum - rolls).abs() < 0.005, "{sum} {rolls}");
}

/// Where the maker allows quarter turns, ticket and report tell for each template in a shared blank whether, and to
/// which side, it is turned: as often as the plan has it so.
#[test]
fn templates_that_lie_across_are_told_with_their_side() {
    let folder = job();
    let rules = "[turning]\nquarter_turns = true\n[table]\npull_limit = \"4 m\"\nedge_trim = 8\n";
    fs::write(folder.path().join("rules.toml"), rules).expect("written");
    let takeoff = "item,area,line,kind,size,size2,length,quantity,build,type\n\
        H-1,hall,L-1,head,OD 1600,,,3,10+10,ellipsoidal\nT-1,hall,L-1,tee,NPS 16,NPS 10,,7,10+10,\n\
        E-1,hall,L-1,elbow,NPS 16,,,6,10+10,\n";
    fs::write(folder.path().join("takeoff.csv"), takeoff).expect("written");
    run(&["plan", ".", "--work", "600000", "--quiet"], folder.path());
    run(&["tickets", ".", "--quiet"], folder.path());
    let read = |name: &str| {
        fs::read_to_string(folder.path().join("out").join(name)).expect("a file that is there")
    };
    let plan: serde_json::Value = serde_json::from_str(&read("plan.json")).expect("a plan");
    let rolls = plan["rolls"].as_array().expect("rolls");
    let pulls = rolls.iter().flat_map(|roll| roll["pulls"].as_array().expect("pulls"));
    let turned = |turn: i64| {
        let placed = pulls.clone().flat_map(|pull| pull["placements"].as_array().expect("places"));
        placed.filter(|place| place["turn"] == turn).count()
    };
    for page in ["tickets.html", "report.html"] {
        let page = read(page);
        for (turn, words) in [(90, "a quarter to the left"), (270, "a quarter to the right")] {
            let told = page.matches(&format!("along, turned {words}")).count();
            assert!(told > 0 && told <= turned(turn), "{told} of {} turned {words}", turned(turn));
        }
    }
    // One that lies alone in its blank is told with its side as well, and what lies turned with the size on its label.
    let page = read("tickets.html");
    let pieces = plan["pieces"].as_array().expect("pieces");
    let mut alone = 0;
    for row in page.split("<td class=\"code\">").skip(1) {
        let row = row.split("</tr>").next().expect("a row");
        let Some((_, words)) = row.split_once("<small class=\"lies\">") else { continue };
        let (code, words) =
            (row.split('<').next().expect("a code"), words.split('<').next().expect("words"));
        let piece = pieces.iter().find(|piece| piece["piece"] == code).expect("a piece");
        let (width, length) = (&piece["width"], &piece["length"]);
        let (turn, label) = words.split_once(" (label: ").unwrap_or((words, ""));
        match turn {
            "template turned end for end" => assert_eq!(label, "", "{code}"),
            "lies turned" => {
                let told = format!("{code} at ");
                assert!(!row.contains("outline") || page.contains(&told), "{code} in no blank");
                assert_eq!(label, format!("{width} × {length})"), "{code}");
            }
            _ => {
                assert!(turn.starts_with("template turned a quarter to the "), "{turn}");
                assert_eq!(label, format!("{width} × {length})"), "{code}");
                alone += 1;
            }
        }
    }
    assert!(alone > 0, "no template lies alone and turned");
}

/// Where the knife may go freely, rectangles lie round one another as no straight cut parts them: what only a line of
/// the knife frees stands on the ticket with its place, as the rips and cross-cuts there do not tell it.
#[test]
fn tickets_of_free_layouts_say_where_each_piece_lies() {
    let folder = tempfile::tempdir().expect("a folder");
    let takeoff = "item,kind,size,length,quantity,build\n\
        Q0,pipe,NPS 8,1064,2,10\n\
        Q1,pipe,NPS 4,681,3,10\n\
        Q2,pipe,NPS 2,992,3,10\n\
        Q3,pipe,NPS 8,465,2,10\n\
        Q4,pipe,NPS 10,383,3,10\n\
        Q5,pipe,NPS 8,646,3,10\n\
        Q6,pipe,NPS 8,1165,1,10\n\
        Q7,pipe,NPS 4,787,1,10\n\
        Q8,pipe,NPS 2,571,3,10\n\
        Q9,pipe,NPS 10,429,3,10\n\
        Q10,pipe,NPS 8,508,2,10\n\
        Q11,pipe,NPS 4,759,3,10\n";
    let rolls = "roll,thickness,width,length,price\nA,10,1500,2600,100\n";
    let rules = "[table]\nstyle = \"free\"\nsquare_cut = 0\npull_limit = 2600\n[turning]\nquarter_turns = true\n";
    for (name, text) in [("takeoff.csv", takeoff), ("rolls.csv", rolls), ("rules.toml", rules)] {
        fs::write(folder.path().join(name), text).expect("a file written");
    }
    run(&["plan", ".", "--quiet"], folder.path());
    run(&["tickets", ".", "--quiet"], folder.path());
    let read = |name: &str| {
        fs::read_to_string(folder.path().join("out").join(name)).expect("a file that is there")
    };
    let plan: serde_json::Value = serde_json::from_str(&read("plan.json")).expect("a plan");
    let list = |value: &serde_json::Value| value.as_array().cloned().unwrap_or_default();
    // All sizes are whole millimetres, and so all places.
    let at = |value: &serde_json::Value| value.as_i64().expect("a whole length");
    let size = |place: &serde_json::Value| -> (i64, i64) {
        let all = list(&plan["pieces"]);
        let piece = all.iter().find(|piece| piece["piece"] == place["piece"]).expect("a piece");
        let (width, length) = (at(&piece["width"]), at(&piece["length"]));
        if place["turn"] == 90 { (length, width) } else { (width, length) }
    };
    // Code and place of every piece of which a line of the knife makes an edge.
    let mut wanted = Vec::new();
    for pull in list(&plan["rolls"]).iter().flat_map(|roll| list(&roll["pulls"])) {
        let cuts = list(&pull["cuts"]);
        for place in list(&pull["placements"]) {
            let ((x, y), (width, length)) = ((at(&place["x"]), at(&place["y"])), size(&place));
            let meets = |cut: &&serde_json::Value| {
                let (from, to) = (&cut["from"], &cut["to"]);
                let (u, v, p, q) = (at(&from[0]), at(&from[1]), at(&to[0]), at(&to[1]));
                let along = u == p && (u == x || u == x + width) && v < y + length && q > y;
                let across = v == q && (v == y || v == y + length) && u < x + width && p > x;
                cut["kind"] == "outline" && (along || across)
            };
            if cuts.iter().any(|cut| meets(&cut)) {
                let code = place["piece"].as_str().expect("a code").to_owned();
                wanted.push((code, x, y - at(&pull["y"]), width, length));
            }
        }
    }
    assert!(wanted.len() > 4, "all can be cut straight");
    let mut told = Vec::new();
    let tickets = read("tickets.html");
    for words in tickets.split("Blank ").skip(1) {
        let (words, _) = words.split_once(" is one cut.").expect("its end");
        let numbers = |text: &str| -> Vec<i64> {
            text.split([' ', ',']).filter_map(|word| word.parse().ok()).collect()
        };
        let (blank, members) = words.split_once(" along, shared by ").expect("the blank");
        let corner = numbers(blank);
        let (_, members) = members.split_once("knife: ").expect("its rectangles");
        for member in members.trim_end_matches(". An edge that two share").split("; ") {
            let (code, place) = member.split_once(" at ").expect("a code");
            let of = numbers(place);
            told.push((code.to_owned(), corner[0] + of[0], corner[2] + of[1], of[2], of[3]));
        }
    }
    for piece in &wanted {
        assert!(told.contains(piece), "{piece:?} is on no ticket: {told:?}");
    }
}
