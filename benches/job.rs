//! A whole job of more than 20,000 pieces and 600 sizes (25,889 in 1,448), from takeoff to reports,
//! timed as a command.
//!
//! `cargo bench --bench job [-- RUNS]` prints pieces, sizes, rolls and the seconds of each run; on
//! Linux also the peak memory, read while the command runs; then the seconds of a price (with the
//! programme behind its shares), of an allowance of 40 and a risk of 20 simulated jobs.

#![expect(clippy::print_stdout, reason = "a bench prints its figures")]

use std::fmt::Write as _;
use std::io;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Lehmer's generator (1951), modulus 2^31 - 1: the same job on every machine.
struct Lots(u64);

impl Lots {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % limit
    }

    fn one_of<'a>(&mut self, list: &[&'a str]) -> &'a str {
        let count = u64::try_from(list.len()).unwrap_or(1);
        list[usize::try_from(self.below(count)).unwrap_or(0)]
    }
}

const SIZES: [&str; 10] = [
    "NPS 1",
    "NPS 1-1/2",
    "NPS 2",
    "NPS 3",
    "NPS 4",
    "NPS 6",
    "NPS 8",
    "NPS 10",
    "NPS 12",
    "NPS 16",
];
const BUILDS: [&str; 4] = ["10", "10+10", "5+10+10", "10+10+10+10"];

/// A takeoff of straight runs, elbows and flat discs, invented.
fn takeoff() -> String {
    let mut lots = Lots(2026);
    let mut text = String::from("item,area,line,kind,size,length,quantity,build,release\n");
    for number in 1..=620_u64 {
        let (size, build) = (lots.one_of(&SIZES), lots.one_of(&BUILDS));
        let quantity = 1 + lots.below(9);
        let (kind, length) = match lots.below(10) {
            0 => ("elbow", String::new()),
            _ => ("pipe", format!("{}", 300 + 10 * lots.below(900))),
        };
        let _ = writeln!(
            text,
            "X{number},Area {},L{},{kind},{size},{length},{quantity},{build},{}",
            1 + number % 3,
            1 + number / 20,
            1 + number % 5
        );
    }
    text
}

fn main() -> io::Result<()> {
    let runs = std::env::args().skip(1).find_map(|word| word.parse::<u32>().ok()).unwrap_or(3);
    let folder = tempfile::tempdir()?;
    let job = folder.path();
    std::fs::write(job.join("takeoff.csv"), takeoff())?;
    let rolls = "roll,thickness,width,length,price,available\n\
                 F,5,1500,90 m,900,\nT,10,1500,50 m,900,\n";
    std::fs::write(job.join("rolls.csv"), rolls)?;
    for run in 1..=runs {
        let start = Instant::now();
        let peak = plan(job)?;
        let seconds = start.elapsed().as_secs_f64();
        let peak = peak.map_or_else(|| "unknown".to_owned(), |kb| format!("{} MB", kb / 1024));
        println!("run {run}: {seconds:.2} s, peak memory {peak}");
    }
    print!("{}", std::fs::read_to_string(job.join("out/summary.txt"))?);
    let price: &[&str] = &["price"];
    let allowance: &[&str] = &["allowance", "--jobs", "20", "--sizes", "0.1,0.2"];
    let risk: &[&str] = &["risk", "--uncertainty", "10", "--jobs", "20"];
    for words in [price, allowance, risk] {
        let start = Instant::now();
        let mut command = Command::new(env!("CARGO_BIN_EXE_rollwright"));
        let status = command.args(words).arg("--quiet").arg(job).stdout(Stdio::null()).status()?;
        println!("{}: {:.2} s, {status}", words.join(" "), start.elapsed().as_secs_f64());
    }
    Ok(())
}

/// Plans the job; gives the peak memory in kB where the system tells.
fn plan(job: &Path) -> io::Result<Option<u64>> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_rollwright"))
        .args(["plan", "--quiet"])
        .arg(job)
        .stdout(Stdio::null())
        .spawn()?;
    let status = format!("/proc/{}/status", child.id());
    let mut peak = None;
    while child.try_wait()?.is_none() {
        let told = std::fs::read_to_string(&status).unwrap_or_default();
        let high = told.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let high = high.and_then(|rest| rest.trim().trim_end_matches(" kB").parse().ok());
        peak = high.or(peak);
        std::thread::sleep(Duration::from_millis(5));
    }
    Ok(peak)
}
