use super::listed::stem;
use super::*;
use std::time::Duration;

#[test]
fn nothing_of_others_is_replaced() {
    let job = tempfile::tempdir().unwrap();
    let out = job.path().join("out");
    let documents =
        [PLAN, "order.csv"].map(|name| Document { name, bytes: name.as_bytes().to_vec() });
    assert!(matches!(may_write(job.path(), job.path(), &[]), Err(Failure::Usage(_))));
    fs::create_dir(&out).unwrap();
    fs::write(out.join("order.csv"), "mine").unwrap();
    assert!(may_write(&out, job.path(), &["order.csv"]).is_err());
    assert!(may_write(&out, job.path(), &["cuts.csv"]).is_ok());
    fs::remove_file(out.join("order.csv")).unwrap();
    // A file of a plan's name says nothing of who wrote what lies beside it.
    for theirs in ["plan of the garden", "{\"my\":\"plan\"}"] {
        fs::write(out.join(PLAN), theirs).unwrap();
        fs::write(out.join("order.csv"), "mine").unwrap();
        for name in [PLAN, "order.csv"] {
            assert!(may_write(&out, job.path(), &[name]).is_err(), "{name}, {theirs}");
        }
    }
    fs::remove_file(out.join("order.csv")).unwrap();
    let plan =
        br#"{"name":"a job","rolls": [],"program": {"version":"0.1.0","seed":1},"inputs": []}"#
            .to_vec();
    let documents = documents.map(|document| match document.name {
        PLAN => Document { bytes: plan.clone(), ..document },
        _ => document,
    });
    let paths = write(&out, &documents).unwrap();
    assert_eq!(paths.last().map(|p| p.ends_with(PLAN)), Some(true));
    assert!(may_write(&out, job.path(), &["order.csv"]).is_ok());
    assert_eq!(fs::read_dir(&out).unwrap().count(), 2, "no temporary file stays behind");
    // Tickets tell whose they are, beside a plan as well.
    fs::write(out.join("kits.csv"), "mine").unwrap();
    let Err(Failure::Usage(told)) = may_write(&out, job.path(), &["kits.csv"]) else { panic!() };
    assert!(told.contains("a kits.csv that no run of this program wrote"), "{told}");
    fs::write(out.join("kits.csv"), "\"kit\",\"release\",\"area\",\"line\"\n").unwrap();
    assert!(may_write(&out, job.path(), &["kits.csv"]).is_ok());
}

/// Whatever lies there beside it: a report among another job's inputs would change that job.
#[test]
fn no_job_folder_is_written_to() {
    let (job, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    for input in ["takeoff.csv", "rolls.xlsx"] {
        let path = other.path().join(input);
        fs::write(&path, "theirs").unwrap();
        fs::write(other.path().join(PLAN), "{}").unwrap();
        let Err(Failure::Usage(told)) = may_write(other.path(), job.path(), &[]) else {
            panic!("{input} was not seen")
        };
        assert!(told.contains(input), "{told}");
        fs::remove_file(path).unwrap();
    }
    assert!(may_write(other.path(), job.path(), &["order.csv"]).is_ok());
}

/// A nest that takes minutes was lost where its folder could only be read.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_can_only_be_read_is_seen_before_the_work() {
    let job = tempfile::tempdir().unwrap();
    let told = |folder: &str| can_write(Path::new(folder)).unwrap_err().to_string();
    let new = told("/proc/plans/out");
    assert!(new.starts_with("the folder /proc/plans/out cannot be made: the system lets"), "{new}");
    let there = told("/proc/self");
    assert!(
        there.starts_with("no file can be made in the folder /proc/self: the system lets"),
        "{there}"
    );
    assert!(there.contains("nothing was computed"), "{there}");
    // Where it can be written nothing stays behind, the folder neither.
    can_write(&job.path().join("out/deep")).unwrap();
    can_write(job.path()).unwrap();
    assert_eq!(fs::read_dir(job.path()).unwrap().count(), 0);
}

/// A piece's code is used again in the next plan, for another size.
#[test]
fn what_was_made_from_another_plan_is_taken_away() {
    let out = tempfile::tempdir().unwrap();
    let plan = |text: &str| [Document { name: PLAN, bytes: text.into() }];
    let put = |name: &str, text: &str| fs::write(out.path().join(name), text).unwrap();
    write_plan(out.path(), &plan("one")).unwrap();
    put("kits.csv", "\"kit\",\"release\",\"area\",\"line\"\n");
    put("tickets.pdf", "%PDF /Producer(rollwright 0.1.0)");
    put("labels.csv", "name,phone\n");
    let again = write_plan(out.path(), &plan("one")).unwrap();
    assert_eq!((again.taken.len(), again.left.len()), (0, 0), "it is the same plan");
    let other = write_plan(out.path(), &plan("two")).unwrap();
    assert_eq!(
        (&other.taken[..], &other.left[..]),
        (&["tickets.pdf", "kits.csv"][..], &["labels.csv"][..])
    );
    assert_eq!(fs::read_to_string(out.path().join("labels.csv")).unwrap(), "name,phone\n");
    assert!(!there(&out.path().join("kits.csv")) && !there(&out.path().join("tickets.pdf")));
}

/// The system goes up from a folder only once it is there, and it is there once it was made for this.
#[test]
fn no_job_folder_is_written_to_through_a_folder_that_is_not_there_yet() {
    let all = tempfile::tempdir().unwrap();
    let [job, other] = ["job", "other"].map(|name| all.path().join(name));
    for folder in [&job, &other] {
        fs::create_dir(folder).unwrap();
        fs::write(folder.join("offcuts.csv"), "theirs").unwrap();
    }
    fs::write(other.join("rolls.csv"), "theirs").unwrap();
    let listed = Listed { list: "list.csv", is_ours: |name| name.starts_with('B') };
    for ways in ["out/..", "no/where/../..", "./no/../no/..", "no/../../job", "no/../../job/no/.."]
    {
        for folder in [&job, &other] {
            let out = folder.join(ways);
            let told = may_write(&out, &job, &["offcuts.csv"]);
            assert!(matches!(told, Err(Failure::Usage(_))), "{}", out.display());
            assert!(listed.may_write(&out, &job, &["B1.svg"]).is_err(), "{}", out.display());
            assert!(!out.exists(), "nothing is made to find that out");
        }
    }
    let files = [("offcuts.csv", b"ours".as_slice())];
    assert!(matches!(make_new(&job.join("no/.."), files.into_iter()), Err(Failure::Refused(_))));
    // Where it leads elsewhere it is followed, and the folder that was not there is not made.
    let out = job.join("no/../out");
    assert!(may_write(&out, &job, &["offcuts.csv"]).is_ok());
    let paths = write_named(&out, files.into_iter()).unwrap();
    assert_eq!(paths, [job.join("out/offcuts.csv")]);
    assert!(!job.join("no").exists() && job.join("out/offcuts.csv").exists());
    assert_eq!(fs::read(job.join("offcuts.csv")).unwrap(), b"theirs");
}

#[cfg(unix)]
#[test]
fn a_link_is_followed_before_going_up() {
    let all = tempfile::tempdir().unwrap();
    let at = |name: &str| all.path().join(name);
    fs::create_dir_all(at("job/deep")).unwrap();
    std::os::unix::fs::symlink(at("job/deep"), at("link")).unwrap();
    let whole = |path: &Path| path.canonicalize().unwrap();
    assert_eq!(whole(&meant(&at("link/.."))), whole(&at("job")));
    assert_eq!(whole(&meant(&at("link/no/.."))), whole(&at("job/deep")));
    std::os::unix::fs::symlink(at("nowhere"), at("astray")).unwrap();
    let files = [("a.csv", b"x".as_slice())];
    assert!(write_named(&at("astray/.."), files.into_iter()).is_err());
    assert_eq!(meant(Path::new("no/..")), Path::new("."));
}

#[test]
fn a_path_without_a_folder_means_the_one_at_work() {
    // Tests run in the folder of Cargo.toml, which holds no plan.
    let told = may_write(Path::new(""), Path::new("nowhere"), &["Cargo.toml"]);
    assert!(matches!(told, Err(Failure::Usage(_))));
    assert!(filled(Path::new("not-kept.txt"), b"x").is_ok());
}

#[test]
fn only_what_the_list_names_is_replaced_or_taken_away() {
    let (job, out) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let listed = Listed { list: "list.csv", is_ours: |name| name.starts_with(char::is_uppercase) };
    let may = |names: &[&str]| listed.may_write(out.path(), job.path(), names);
    let put = |name: &str, text: &str| fs::write(out.path().join(name), text).unwrap();
    put("P101.svg", "theirs");
    assert_eq!(may(&["A.svg", "list.csv"]).unwrap(), [""; 0]);
    assert!(may(&["P101.svg"]).is_err());
    put("list.csv", "name,phone\nP101,1\n");
    assert!(may(&["A.svg", "list.csv"]).is_err(), "somebody else's list");
    put("list.csv", "file,piece\nA,x\nB,x\nC,x\n");
    for name in ["A.svg", "B.svg", "b.txt"] {
        put(name, "ours");
    }
    assert!(may(&["A.svg", "P101.svg"]).is_err());
    assert_eq!(may(&["A.svg", "list.csv"]).unwrap(), ["A.svg", "B.svg"]);
    let new = [("A.svg", b"new".as_slice())];
    assert_eq!(listed.write(out.path(), (job.path(), None), &new).unwrap(), 1);
    let left = |name: &str| out.path().join(name).exists();
    assert!(left("A.svg") && !left("B.svg") && left("b.txt") && left("P101.svg"));
}

/// A run that had read a plan wrote its tickets beside the plan that another run had put there meanwhile, and
/// codes of the two stood for other sizes.
#[test]
fn nothing_made_from_a_plan_is_written_once_another_stands_there() {
    let (job, out) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let plan = out.path().join(PLAN);
    fs::write(&plan, "one").unwrap();
    let file = AsRead::new(&plan, b"one");
    let ticket = |text: &str| [Document { name: "kits.csv", bytes: text.as_bytes().to_vec() }];
    let beside = tempfile::tempdir().unwrap();
    let drawn = Listed { list: "list.csv", is_ours: |name| name.starts_with("drawing") };
    let draw = |text: &'static [u8]| {
        drawn.write(beside.path(), (job.path(), Some(&file)), &[("list.csv", text)])
    };
    assert_eq!(write_made_from(&file, out.path(), &ticket("a")).unwrap().len(), 1);
    assert_eq!(draw(b"file\na\n").unwrap(), 1);
    fs::write(&plan, "two").unwrap();
    let refused = write_made_from(&file, out.path(), &ticket("b"));
    assert!(matches!(refused, Err(Failure::Refused(why)) if why.contains("another run")));
    assert!(matches!(draw(b"file\nb\n"), Err(Failure::Refused(_))));
    let stands = |folder: &Path, name: &str| fs::read_to_string(folder.join(name)).unwrap();
    assert_eq!(stands(out.path(), "kits.csv"), "a");
    assert_eq!(stands(beside.path(), "list.csv"), "file\na\n");
    // Beside the reports of another plan it is not written either.
    fs::write(beside.path().join(PLAN), "three").unwrap();
    let two = AsRead::new(&plan, b"two");
    let refused = write_made_from(&two, beside.path(), &ticket("c"));
    assert!(matches!(refused, Err(Failure::Usage(why)) if why.contains("another plan")));
    assert!(!there(&beside.path().join("kits.csv")));
}

#[test]
fn only_old_temporary_files_of_ours_are_taken_away() {
    let out = tempfile::tempdir().unwrap();
    let at = |name: &str| out.path().join(name);
    let old = [".rollwright-aB3dE9", ".rollwright-notes.txt", ".rollwright-", "rollwright-aB3dE9"];
    for name in old {
        let file = fs::File::create(at(name)).unwrap();
        file.set_modified(std::time::SystemTime::now() - STALE).unwrap();
    }
    fs::write(at(".rollwright-aB3dE8"), "being written").unwrap();
    fs::create_dir(at(".rollwright-folder")).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(at("order.csv"), at(".rollwright-linked")).unwrap();
    let files = [("order.csv", b"x".as_slice())];
    write_named(out.path(), files.into_iter()).unwrap();
    assert!(at(old[0]).exists(), "without a plan the folder may be anybody's");
    let files = [(PLAN, b"{}".as_slice())];
    write_named(out.path(), files.into_iter()).unwrap();
    assert!(!at(old[0]).exists());
    for name in old[1..].iter().chain(&[".rollwright-aB3dE8", ".rollwright-folder"]) {
        assert!(at(name).exists(), "{name}");
    }
    #[cfg(unix)]
    assert!(there(&at(".rollwright-linked")));
    without_remains(out.path(), Duration::ZERO);
    assert!(!at(".rollwright-aB3dE8").exists() && at(".rollwright-folder").exists());
    let names = fs::read_dir(out.path()).unwrap().count();
    let named = filled(&at("new.csv"), b"x").unwrap();
    without_remains(out.path(), Duration::ZERO);
    assert!(!named.exists(), "its own temporary files are the ones it knows");
    assert_eq!(fs::read_dir(out.path()).unwrap().count(), names);
}

/// A run that is killed while it looks whether its folder can be made leaves the one that it made for that.
#[cfg(unix)]
#[test]
fn empty_folders_that_killed_runs_have_left_are_taken_away() {
    let all = tempfile::tempdir().unwrap();
    let at = |name: &str| all.path().join(name);
    let names =
        [".rollwright-aB3dE9", ".rollwright-aB3dE8", ".rollwright-notes12", "rollwright-aB3dE9"];
    for name in names {
        fs::create_dir(at(name)).unwrap();
    }
    fs::write(at(".rollwright-aB3dE8/mine.txt"), "x").unwrap();
    can_write(&at("days/release-1")).unwrap();
    assert!(names.iter().all(|name| at(name).is_dir()), "another run may be at it just now");
    for name in names {
        let folder = fs::File::open(at(name)).unwrap();
        folder.set_modified(std::time::SystemTime::now() - put::PROBED).unwrap();
    }
    std::os::unix::fs::symlink(at(names[3]), at(".rollwright-linked")).unwrap();
    can_write(&at("days/release-1")).unwrap();
    assert!(!at(names[0]).exists(), "it is found where it lies beside the folder");
    assert!(names[1..].iter().all(|name| at(name).is_dir()) && there(&at(".rollwright-linked")));
    assert_eq!(put::without_probes(all.path(), put::PROBED), [at(names[1])]);
    assert_eq!(fs::read_to_string(at(".rollwright-aB3dE8/mine.txt")).unwrap(), "x");
    // The folder may be there by now.
    fs::create_dir(at("days")).unwrap();
    fs::create_dir(at(names[0])).unwrap();
    let folder = fs::File::open(at(names[0])).unwrap();
    folder.set_modified(std::time::SystemTime::now() - put::PROBED).unwrap();
    can_write(&at("days")).unwrap();
    assert!(!at(names[0]).exists());
}

/// A folder in the way of a file is seen only when the file is renamed.
#[test]
fn of_several_folders_none_is_changed_before_all_is_written() {
    let all = tempfile::tempdir().unwrap();
    let at = |name: &str| all.path().join(name);
    let read = |name: &str| fs::read_to_string(at(name)).unwrap();
    let set = |folder, files: &[(&'static str, &'static [u8])]| Set {
        folder: at(folder),
        files: files.to_vec(),
        behind: Vec::new(),
        gone: Vec::new(),
    };
    let put = |text: &'static str| {
        let files = [(PLAN, text.as_bytes()), ("a.csv", text.as_bytes())];
        write_sets(&[set("one", &files), set("two", &files)])
    };
    assert_eq!(put("old").unwrap().len(), 4);
    // A file that cannot be made at all, in the second folder.
    let files = |name: &'static str| [("a.csv", b"new".as_slice()), (name, b"new")];
    let sets = [set("one", &files("b.csv")), set("two", &files("no/b.csv"))];
    assert!(write_sets(&sets).is_err());
    assert_eq!((read("one/a.csv"), read("two/a.csv")), ("old".to_owned(), "old".to_owned()));
    fs::remove_file(at("two/a.csv")).unwrap();
    fs::create_dir_all(at("two/a.csv/full")).unwrap();
    let told = put("new").unwrap_err().to_string();
    let (one, two) = (at("one/a.csv"), at("two/a.csv"));
    assert!(told.contains(&format!("{}: ", two.display())), "{told}");
    assert!(told.contains(&format!("were: {}, ", one.display())), "{told}");
    assert_eq!((read("one/plan.json"), read("two/plan.json")), ("new".into(), "old".into()));
    let left = |name: &str| fs::read_dir(at(name)).unwrap().count();
    assert_eq!(
        (left("one"), left("two")),
        (3, 3),
        "no temporary file stays behind, but what says so"
    );
    assert!(is_unfinished(&at("one")) && is_unfinished(&at("two")));
}

/// Of a run that is killed between two renames nothing stays that says what another plan says than the one beside it.
#[test]
fn what_says_what_a_plan_says_is_gone_before_it_and_comes_after_it() {
    let out = tempfile::tempdir().unwrap();
    let at = |name: &str| out.path().join(name);
    fs::write(at(PLAN), "old").unwrap();
    fs::write(at("cut-1.csv"), "old").unwrap();
    let set = |plan: &'static [u8], gone: &[&str]| Set {
        folder: out.path().to_owned(),
        files: vec![(PLAN, plan), ("a.csv", b"new")],
        behind: vec![("cut-2.csv", b"new")],
        gone: gone.iter().map(|name| at(name)).collect(),
    };
    // What cannot be taken away.
    fs::create_dir(at("no.csv")).unwrap();
    let told = write_sets(&[set(b"new", &["no.csv"])]).unwrap_err().to_string();
    assert!(told.contains("no.csv") && told.contains("a.csv"), "{told}");
    assert_eq!(fs::read_to_string(at(PLAN)).unwrap(), "old");
    assert!(!at("cut-2.csv").exists() && at("cut-1.csv").exists());
    fs::remove_dir(at("no.csv")).unwrap();
    // One that is gone already is no matter.
    let paths = write_sets(&[set(b"new", &["cut-1.csv", "no.csv"])]).unwrap();
    assert_eq!(paths, ["a.csv", PLAN, "cut-2.csv"].map(at));
    assert!(!at("cut-1.csv").exists());
    // The same for one folder: what was made from the old plan goes before the new one comes.
    let files = [(PLAN, b"third".as_slice()), ("a.csv", b"third")];
    let stop = || Err(Failure::System("ended".to_owned()));
    let told = put(out.path(), files.into_iter(), stop).unwrap_err().to_string();
    assert!(told.starts_with("ended; ") && told.contains("a.csv"), "{told}");
    assert_eq!(fs::read_to_string(at(PLAN)).unwrap(), "new");
    // Where the first file cannot be replaced, all is as it was.
    let other = tempfile::tempdir().unwrap();
    fs::create_dir_all(other.path().join("b.csv/full")).unwrap();
    let blocked = [(PLAN, b"fourth".as_slice()), ("b.csv", b"fourth")];
    assert!(put(other.path(), blocked.into_iter(), || Ok(())).is_err());
    assert!(!is_unfinished(other.path()));
    // What lies there now is of two plans, and that can be seen until all is there.
    assert!(is_unfinished(out.path()));
    put(out.path(), files.into_iter(), || Ok(())).unwrap();
    assert!(!is_unfinished(out.path()));
    let mut left: Vec<_> =
        fs::read_dir(out.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    left.sort();
    assert_eq!(left, ["a.csv", "cut-2.csv", PLAN]);
}

/// A network drive that stutters is no folder without rules.
#[cfg(unix)]
#[test]
fn what_the_system_does_not_tell_is_not_missing() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.csv"), "a").unwrap();
    assert!(there(&folder.path().join("a.csv")));
    assert!(!there(&folder.path().join("b.csv")) && !there(&folder.path().join("a.csv/b.csv")));
    assert!(!there(&folder.path().join("x".repeat(300))));
    std::os::unix::fs::symlink("loop", folder.path().join("loop")).unwrap();
    // The system gives up on a loop of links on the way, which is neither found nor missing.
    assert!(there(&folder.path().join("loop/b.csv")));
}

/// A run that was killed halfway is no reason to refuse the next one, and what it left is taken away.
#[test]
fn files_of_a_run_that_ended_halfway_are_named_by_its_list() {
    let (job, out) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let at = |name: &str| out.path().join(name);
    let listed = Listed { list: "list.csv", is_ours: |name| name.starts_with(char::is_uppercase) };
    let write = |names: &[&'static str]| {
        let list = std::iter::once("file,piece").chain(names.iter().map(|name| stem(name)));
        let list = list.collect::<Vec<_>>().join("\n").into_bytes();
        let mut files: Vec<(&str, &[u8])> = names.iter().map(|name| (*name, &b"x"[..])).collect();
        files.push(("list.csv", &list));
        listed.write(out.path(), (job.path(), None), &files)
    };
    assert_eq!(write(&["A.svg", "B.svg"]).unwrap(), 3);
    // The third of four cannot be put in its place.
    fs::create_dir_all(at("D.svg/full")).unwrap();
    fs::write(at("list.csv"), "file,piece\nA,1\nB,1\nD,1\n").unwrap();
    assert!(write(&["B.svg", "C.svg", "D.svg", "E.svg"]).is_err());
    assert!(at("C.svg").exists() && !at("E.svg").exists() && at("A.svg").exists());
    fs::remove_dir_all(at("D.svg")).unwrap();
    assert_eq!(write(&["E.svg"]).unwrap(), 2);
    let mut left: Vec<String> = fs::read_dir(out.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    left.sort();
    assert_eq!(left, ["E.svg", "list.csv"]);
    assert_eq!(fs::read_to_string(at("list.csv")).unwrap(), "file,piece\nE");
}

/// A job folder of which a killed run made the first tables is made whole; one that is whole, or was filled in, is not.
#[test]
fn a_job_folder_that_was_begun_is_made_whole() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let make = || make_new(folder.path(), [("a.csv", &b"a"[..]), ("b.csv", b"b")].into_iter());
    fs::write(at("a.csv"), "a").unwrap();
    make().unwrap();
    assert_eq!(fs::read_to_string(at("b.csv")).unwrap(), "b");
    assert!(matches!(make(), Err(Failure::Refused(_))), "nothing is missing");
    fs::write(at("a.csv"), "filled in").unwrap();
    fs::remove_file(at("b.csv")).unwrap();
    assert!(matches!(make(), Err(Failure::Refused(_))));
    assert!(!at("b.csv").exists());
}

#[cfg(unix)]
#[test]
fn links_stay_links_and_pipes_stay_pipes() {
    use std::os::unix::fs::symlink;
    let (out, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let at = |name: &str| out.path().join(name);
    let is_link = |name: &str| fs::symlink_metadata(at(name)).unwrap().is_symlink();
    fs::write(other.path().join("theirs.csv"), "old").unwrap();
    symlink(other.path().join("theirs.csv"), at("a.csv")).unwrap();
    symlink("a.csv", at("b.csv")).unwrap();
    symlink(other.path().join("not-yet.csv"), at("c.csv")).unwrap();
    symlink("d.csv", at("d.csv")).unwrap();
    let names = ["a.csv", "b.csv", "c.csv", "d.csv"];
    write_named(out.path(), names.iter().map(|name| (*name, name.as_bytes()))).unwrap();
    let theirs = |name: &str| fs::read_to_string(other.path().join(name)).unwrap();
    assert_eq!((theirs("theirs.csv"), theirs("not-yet.csv")), ("b.csv".into(), "c.csv".into()));
    // A link that leads to itself leads nowhere.
    assert_eq!(names.map(is_link), [true, true, true, false]);
    save(&at("b.csv"), b"saved").unwrap();
    assert!(theirs("theirs.csv") == "saved" && is_link("b.csv") && is_link("a.csv"));
    let pipe = at("pipe");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let read = std::thread::spawn({
        let pipe = pipe.clone();
        move || fs::read_to_string(pipe).unwrap()
    });
    save(&pipe, b"through").unwrap();
    assert_eq!(read.join().unwrap(), "through");
    assert!(!fs::metadata(&pipe).unwrap().is_file(), "it is a pipe still");
}

#[test]
fn what_says_that_it_is_ours_is_replaced_without_a_plan_beside_it() {
    let (job, out) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let may = || may_write(out.path(), job.path(), TICKET_NAMES);
    let kits = out.path().join("kits.csv");
    fs::write(&kits, "\"kit\",\"release\",\"area\",\"line\"\n").unwrap();
    assert!(may().is_ok());
    fs::write(&kits, "kit,price\n").unwrap();
    assert!(may().is_err());
    #[cfg(unix)]
    {
        fs::remove_file(&kits).unwrap();
        std::os::unix::fs::symlink(out.path().join("labels.csv"), &kits).unwrap();
        assert!(may().is_err(), "a link is no file of ours");
    }
}

#[cfg(unix)]
#[test]
fn a_file_keeps_its_rights_when_it_is_replaced() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let mode =
        |name: &str| fs::metadata(folder.path().join(name)).unwrap().permissions().mode() & 0o777;
    let put = || {
        let files = ["old.csv", "new.csv"].map(|name| (name, name.as_bytes()));
        write_named(folder.path(), files.into_iter()).unwrap();
    };
    fs::write(folder.path().join("old.csv"), "x").unwrap();
    let private = fs::Permissions::from_mode(0o660);
    fs::set_permissions(folder.path().join("old.csv"), private).unwrap();
    put();
    assert_eq!(mode("old.csv"), 0o660);
    // As the system makes files for this user.
    fs::write(folder.path().join("plain.csv"), "x").unwrap();
    assert_eq!(mode("new.csv"), mode("plain.csv"));
}

/// Templates are more files than a process may have open at once on many systems.
#[cfg(target_os = "linux")]
#[test]
fn files_are_closed_before_the_next_is_made() {
    let folder = tempfile::tempdir().unwrap();
    let ours = || {
        let open = fs::read_dir("/proc/self/fd").unwrap();
        let paths = open.filter_map(|fd| fs::read_link(fd.unwrap().path()).ok());
        // The folder itself is open, as it is locked.
        let inside = |path: &PathBuf| path.parent() == Some(folder.path());
        paths.filter(inside).count()
    };
    let names: Vec<String> = (0..40).map(|n| format!("{n}.svg")).collect();
    let mut most = 0;
    let files = names.iter().map(|name| {
        most = most.max(ours());
        (name.as_str(), b"x".as_slice())
    });
    write_named(folder.path(), files).unwrap();
    assert_eq!((most, ours()), (0, 0));
}
