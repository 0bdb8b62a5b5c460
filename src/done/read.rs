//! From lines as typed to [`Done`]: every line against the plan's tickets, every problem told.

use super::on_hand::of_tickets;
use super::record::{COLUMNS, Record};
use super::{Done, Happened, Loose};
use crate::finding::codes::done as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::{Plan, Pull, Roll, ticket_name};
use crate::table::{Cell, Codes, Reader, Table, nearest_or, quoted};
use crate::units::{Length, few, in_runs};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

const CODES: Codes =
    Codes { missing: &codes::MISSING, unread: &codes::UNREAD, range: &codes::RANGE };
/// A place on a roll: up to 10 km.
const PLACE: RangeInclusive<Length> = Length::ZERO..=Length::from_mm(10_000_000);
/// No roll is longer than it should be by more than its own length: that is a slip.
const LONGEST: i64 = 2;

/// What a ticket is called, and its pulls by their number.
type Ticket<'p> = (String, &'p BTreeMap<u64, &'p Pull>);

/// What a line reports.
#[derive(Clone, Copy, PartialEq, Eq)]
enum What {
    Cut,
    Elsewhere,
    Spoilt,
    Damaged,
    Short,
    Long,
    Left,
    Gone,
}

/// The tickets of a plan: for each number its roll, and its pulls by their number; then which plan of the job
/// it is.
pub(super) struct Tickets<'p>(pub(super) BTreeMap<u64, (&'p Roll, BTreeMap<u64, &'p Pull>)>, u32);

impl<'p> Tickets<'p> {
    pub(super) fn of(plan: &'p Plan) -> Self {
        let mut tickets: BTreeMap<u64, (&Roll, BTreeMap<u64, &Pull>)> = BTreeMap::new();
        let Some(sequence) = &plan.sequence else { return Self(tickets, plan.revision()) };
        let numbers = sequence.tickets();
        for (step, number) in sequence.steps.iter().zip(1..) {
            let Some(roll) = plan.rolls.get(step.roll) else { continue };
            let Some(pull) = roll.pulls.get(step.pull) else { continue };
            let ticket = numbers.get(&(step.roll, step.copy)).copied().unwrap_or(0);
            let pulls = &mut tickets.entry(ticket).or_insert((roll, BTreeMap::new())).1;
            pulls.insert(number, pull);
        }
        Self(tickets, plan.revision())
    }

    /// The number of the one that is called so.
    fn find(&self, text: &str) -> Option<u64> {
        let (number, of) = parsed(text)?;
        Some(number).filter(|number| of == Some(self.1) && self.0.contains_key(number))
    }

    /// What one of them is called.
    fn name(&self, number: u64) -> String {
        ticket_name(number, self.1)
    }
}

/// Reads what was done by a plan. An empty list is a fair report: nothing was done yet.
#[must_use]
pub fn read(file: &str, bytes: &[u8], plan: &Plan) -> (Option<Done>, Findings) {
    let mut findings = Findings::new();
    if plan.sequence.is_none() {
        findings.push(Finding::new(
            &codes::NO_TICKETS,
            Place::file(file),
            format!("the plan {} has no tickets", quoted(&plan.name)),
            "name the plan.json of a job",
        ));
        return (None, findings);
    }
    let tickets = Tickets::of(plan);
    let table = Table::read_or_empty(file, bytes, COLUMNS, &mut findings);
    let mut done = Done::default();
    let mut records: Vec<Record<'_>> =
        table.iter().flat_map(Table::rows).map(|row| Record::from(row.cells)).collect();
    match marked(&records, plan) {
        Ok(marked) => done.marked = marked,
        // By the tickets of this plan nothing that it says means anything.
        Err(others) => {
            findings.extend(others);
            return (None, findings);
        }
    }
    let mut reader = Reader::new(CODES, &mut findings);
    // What lies behind a roll's end, and what cannot be left of it, is known when its length is.
    let length = |text: &str| ["short", "long"].iter().any(|what| text.eq_ignore_ascii_case(what));
    records.sort_by_key(|record| !length(record.what.text()));
    let by_name = |record: &Record<'_>| {
        record.what.text().eq_ignore_ascii_case("gone")
            && tickets.find(record.ticket.text()).is_none()
    };
    let (gone, records): (Vec<_>, Vec<_>) = records.into_iter().partition(by_name);
    let mut typed = Typed::default();
    for record in &records {
        line(record, &tickets, (&mut done, &mut typed), &mut reader);
    }
    if !gone.is_empty() {
        let mut free = without_ticket(plan);
        // Offcuts that are kept of what is cut may be lost on the same day.
        let parts = of_tickets(plan, &tickets, &done);
        free.extend(parts.into_iter().map(|name| (Loose::Part(name), (1, BTreeSet::new()))));
        for record in &gone {
            is_gone(record, &free, &tickets, &mut done.gone, &mut reader);
        }
    }
    if !findings.has_errors() {
        together(&typed, &tickets, &done, &mut findings);
    }
    (if findings.has_errors() { None } else { Some(done) }, findings)
}

/// Whether lines bear the plan's mark; a finding for each other mark that they bear.
fn marked(records: &[Record<'_>], plan: &Plan) -> Result<bool, Vec<Finding>> {
    let mut marks: BTreeMap<String, Vec<&Cell<'_>>> = BTreeMap::new();
    for cell in records.iter().map(|record| &record.plan).filter(|cell| !cell.text().is_empty()) {
        marks.entry(cell.text().to_uppercase()).or_default().push(cell);
    }
    if marks.is_empty() {
        return Ok(false);
    }
    let own = plan.mark();
    let others: Vec<Finding> = marks
        .iter()
        .filter(|(mark, _)| **mark != own)
        .filter_map(|(mark, cells)| {
            let lines = match cells.len() {
                1 => String::new(),
                more => format!(" (so on {more} lines)"),
            };
            let what = format!(
                "the tickets that this is reported by bear the mark {}{lines}, those of the plan it is read by {own}",
                quoted(mark)
            );
            let remedy = "name with --from the plan whose tickets bear that mark; where it was replaced, write the \
                          report anew by the tickets of this one";
            Some(Finding::new(&codes::OTHER_PLAN, cells.first()?.place(), what, remedy))
        })
        .collect();
    if others.is_empty() { Ok(true) } else { Err(others) }
}

/// Which plan of its job a report is of, by its first ticket; nothing where no line names one.
#[must_use]
pub fn plan_of(file: &str, bytes: &[u8]) -> Option<u32> {
    let table = Table::read_or_empty(file, bytes, COLUMNS, &mut Findings::new())?;
    table.rows().find_map(|row| parsed(Record::from(row.cells).ticket.text())?.1)
}

/// A ticket's number, and which plan of the job it is of: that stands behind the number, from the second on.
/// Without it a ticket is of the first plan, whose report must not count for a later one. Nothing else stands in the
/// cell: a product may be called `Mat2`, and an offcut is called by its ticket and more.
fn parsed(text: &str) -> Option<(u64, Option<u32>)> {
    let lower = text.trim().to_lowercase();
    let bare = lower.strip_prefix("ticket").unwrap_or(&lower).trim_start();
    let bare = bare.strip_prefix('t').unwrap_or(bare).trim();
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let (bare, of) = match bare.split_once('r') {
        Some((bare, of)) if digits(of.trim()) => (bare.trim(), of.trim().parse().ok()),
        Some(_) => return None,
        None => (bare, Some(1)),
    };
    if digits(bare) { Some((bare.parse().ok()?, of)) } else { None }
}

/// Where what is reported of a ticket stands, for what only shows when all lines are read.
#[derive(Default)]
struct Typed(BTreeMap<u64, Stands>);

#[derive(Default)]
struct Stands {
    cut: BTreeMap<u64, Place>,
    spoilt: BTreeMap<(u64, String), Place>,
    /// As they stand in [`Happened::damaged`].
    damaged: Vec<Place>,
    length: Place,
    left: Place,
}

fn line(
    record: &Record<'_>,
    tickets: &Tickets<'_>,
    (done, typed): (&mut Done, &mut Typed),
    reader: &mut Reader<'_>,
) {
    let words = [
        ("cut", What::Cut),
        ("elsewhere", What::Elsewhere),
        ("spoilt", What::Spoilt),
        ("damaged", What::Damaged),
        ("short", What::Short),
        ("long", What::Long),
        ("left", What::Left),
        ("gone", What::Gone),
    ];
    // `done` is spelt like `gone`, which would take the rest of the roll away.
    let meant = |word: &str| match word {
        "done" | "finished" | "complete" | "completed" | "ready" => Some("cut"),
        "lost" | "missing" | "stolen" => Some("gone"),
        "scrapped" | "spoiled" | "ruined" | "wrong" => Some("spoilt"),
        _ => None,
    };
    let what = reader.word_or(&record.what, &words, meant);
    let Some(number) = ticket(&record.ticket, tickets, reader) else { return };
    let Some((roll, pulls)) = tickets.0.get(&number) else { return };
    if let Some(what) = what {
        not_asked_for(record, what.uses(), reader);
    }
    let happened = done.tickets.entry(number).or_default();
    let stands = typed.0.entry(number).or_default();
    let ticket = (tickets.name(number), pulls);
    match what {
        Some(what @ (What::Cut | What::Elsewhere)) => {
            cut(record, (&ticket, what == What::Cut), (happened, stands), reader);
        }
        Some(What::Spoilt) => spoilt(record, &ticket, (happened, stands), reader),
        Some(What::Damaged) => {
            let from = reader.length(&record.from, &PLACE);
            let to = reader.length(&record.to, &PLACE);
            let (Some(from), Some(to)) = (from, to) else { return };
            let end = happened.length.or(roll.length);
            let behind = [from, to].into_iter().find(|at| end.is_some_and(|end| *at > end));
            if from >= to {
                let what = format!("no stretch of the roll runs from {from} to {to} mm");
                reader.tell(&codes::CONTRADICTS, &record.to, what, "measure from the roll's front");
            } else if let Some((behind, end)) = behind.zip(end) {
                let what = format!(
                    "what {} is cut from is {end} mm long, and {behind} mm lies behind its end",
                    ticket.0
                );
                let remedy = "measure from the roll's front; where the roll was longer than it should be, say so \
                              with `long`";
                reader.tell(&codes::CONTRADICTS, &record.to, what, remedy);
            } else {
                happened.damaged.push((from, to));
                stands.damaged.push(record.from.place());
            }
        }
        Some(what @ (What::Short | What::Long)) => {
            let Some(length) = reader.length(&record.length, &PLACE) else { return };
            if let Some((said, remedy)) = roll.length.and_then(|end| not_so(what, length, end)) {
                reader.tell(&codes::RANGE, &record.length, said, remedy);
            } else if happened.length.replace(length).is_some_and(|before| before != length) {
                let what = format!("{} has another length already", ticket.0);
                reader.tell(&codes::CONTRADICTS, &record.length, what, "keep one of the lines");
            }
            stands.length = record.length.place();
        }
        Some(What::Left) => {
            let Some(left) = reader.length(&record.length, &PLACE) else { return };
            if happened.length.or(roll.length).is_some_and(|end| left > end) {
                let what = format!("{left} mm is more than the roll was long");
                let remedy = "mend the length; where the roll was longer than it should be, say so with `long`";
                reader.tell(&codes::RANGE, &record.length, what, remedy);
                return;
            }
            is_left(left, &record.length, &ticket.0, (happened, stands), reader);
        }
        Some(What::Gone) => {
            is_left(Length::ZERO, &record.what, &ticket.0, (happened, stands), reader);
        }
        None => {}
    }
}

/// How much is left of a ticket's roll.
fn is_left(
    left: Length,
    cell: &Cell<'_>,
    ticket: &str,
    (happened, stands): (&mut Happened, &mut Stands),
    reader: &mut Reader<'_>,
) {
    if happened.left.replace(left).is_some_and(|before| before != left) {
        let what = format!("of {ticket} another length is left already");
        reader.tell(&codes::CONTRADICTS, cell, what, "keep one of the lines");
    }
    stands.left = cell.place();
}

/// What no ticket of a plan is for: how many, and under which names beside its own it is known.
type Free = BTreeMap<Loose, (u64, BTreeSet<String>)>;

fn without_ticket(plan: &Plan) -> Free {
    let mut free = Free::new();
    for left in plan.left_over() {
        let loose = left.of.map_or_else(|| Loose::Part(left.name.clone()), Loose::Whole);
        let (count, names) = free.entry(loose).or_default();
        *count += left.quantity;
        names.insert(left.name);
    }
    free
}

/// What is meant by a name: of a product, else of an offcut as it is called on hand, else of whole rolls.
fn meant<'f>(free: &'f Free, text: &str) -> Option<(&'f Loose, u64)> {
    let exact = [Loose::Whole(text.to_owned()), Loose::Part(text.to_owned())];
    let exact = exact.iter().find_map(|loose| free.get_key_value(loose));
    let called = |(loose, (_, names)): &(&Loose, &(u64, BTreeSet<String>))| {
        names.contains(text) || loose.name() == text
    };
    let (loose, (count, _)) = exact.or_else(|| free.iter().find(called))?;
    Some((loose, *count))
}

/// Something that no ticket is for is there no more.
fn is_gone(
    record: &Record<'_>,
    free: &Free,
    tickets: &Tickets<'_>,
    gone: &mut BTreeMap<Loose, u64>,
    reader: &mut Reader<'_>,
) {
    not_asked_for(record, &["quantity"], reader);
    let count = record.quantity.or(1, |cell| reader.count(cell, &(1..=1_000_000)));
    let (Some(text), Some(count)) = (reader.text(&record.ticket), count) else { return };
    let Some((loose, free)) = meant(free, text) else {
        let what = format!("{} is neither a ticket nor what lies on hand", quoted(text));
        let there: Vec<String> = free.keys().map(Loose::name).collect();
        let remedy = match there.as_slice() {
            [] => "name a ticket; nothing that was bought lies there without one".to_owned(),
            some => format!("name a ticket, or one of {}", few(some, TOLD)),
        };
        let remedy = format!("{remedy}; what lies on the shelf is taken off offcuts.csv");
        let known = there.iter().map(String::as_str);
        reader.tell(&codes::UNKNOWN, &record.ticket, what, nearest_or(text, known, remedy));
        return;
    };
    let all = gone.entry(loose.clone()).or_default();
    *all = all.saturating_add(count);
    if *all > free {
        let what = format!(
            "{all} of {} are told to be gone, and {free} {} without a ticket",
            quoted(text),
            if free == 1 { "lies there" } else { "lie there" }
        );
        let remedy = format!(
            "of a roll that a ticket is for write its ticket and `gone`, such as {},gone",
            tickets.name(1)
        );
        reader.tell(&codes::CONTRADICTS, &record.ticket, what, remedy);
    }
}

impl What {
    /// The columns that a line of a ticket uses for it.
    const fn uses(self) -> &'static [&'static str] {
        match self {
            Self::Cut | Self::Elsewhere => &["pull"],
            Self::Spoilt => &["pull", "piece", "quantity"],
            Self::Damaged => &["from", "to"],
            Self::Short | Self::Long | Self::Left => &["length"],
            Self::Gone => &[],
        }
    }
}

/// Tells values in other columns than a line uses: whoever wrote them means something by them.
fn not_asked_for(record: &Record<'_>, used: &[&str], reader: &mut Reader<'_>) {
    let cells = [
        (&record.pull, "a line `cut` or `elsewhere`"),
        (&record.from, "a line `damaged`"),
        (&record.to, "a line `damaged`"),
        (&record.length, "a line `left`, `short` or `long`"),
        (&record.piece, "a line `spoilt`"),
        (&record.quantity, "a line `spoilt`, or `gone` of what no ticket is for"),
    ];
    for (cell, instead) in cells {
        if !cell.is_empty() && !used.contains(&cell.name()) {
            let word = record.what.text();
            let what = format!("a line {} says nothing by `{}`", quoted(word), cell.name());
            let remedy = format!("leave it out; what is meant goes into {instead}");
            reader.tell(&codes::NOT_USED, cell, what, remedy);
        }
    }
}

/// Why a roll that should be `end` long is not as short or as long as is said, and what to do.
fn not_so(what: What, length: Length, end: Length) -> Option<(String, &'static str)> {
    match what {
        What::Long if length > end * LONGEST => Some((
            format!(
                "{length} mm is more than {LONGEST} times as long as the roll should be, {end} mm"
            ),
            "mend the length, or see whether that is the roll of this ticket",
        )),
        What::Long if length <= end => Some((
            format!("{length} mm is not longer than the roll should be, {end} mm"),
            "leave the line out, or mend it; for a roll that is shorter write `short`",
        )),
        What::Short if length >= end => Some((
            format!("{length} mm is not shorter than the roll should be, {end} mm"),
            "leave the line out, or mend it; for a roll that is longer write `long`",
        )),
        _ => None,
    }
}

fn ticket(cell: &Cell<'_>, tickets: &Tickets<'_>, reader: &mut Reader<'_>) -> Option<u64> {
    let text = reader.text(cell)?;
    let Some((number, of)) = parsed(text) else {
        let what = format!("{} is not a ticket", quoted(text));
        reader.tell(&codes::UNREAD, cell, what, "write it as on the ticket, such as `T12`");
        return None;
    };
    if of != Some(tickets.1) || !tickets.0.contains_key(&number) {
        let what = format!("the plan has no ticket {}", quoted(text));
        let last = tickets.name(tickets.0.len() as u64);
        let mut remedy = format!("name one of {} to {last}", tickets.name(1));
        if of != Some(tickets.1) {
            remedy.push_str(", or with --from the plan that this ticket is of");
        }
        reader.tell(&codes::UNKNOWN, cell, what, remedy);
        return None;
    }
    Some(number)
}

/// The pulls that a cell names: `12`, `12 to 18`, `12-18`, or `all`.
fn named(
    cell: &Cell<'_>,
    ticket: &str,
    pulls: &BTreeMap<u64, &Pull>,
    reader: &mut Reader<'_>,
) -> Option<Vec<u64>> {
    let text = reader.text(cell)?;
    if text.eq_ignore_ascii_case("all") {
        return Some(pulls.keys().copied().collect());
    }
    let lower = text.to_ascii_lowercase();
    let parts = lower.split_once(['-', '–']).or_else(|| lower.split_once("to"));
    let (from, to) = parts.unwrap_or((text, text));
    let (Ok(from), Ok(to)) = (from.trim().parse::<u64>(), to.trim().parse::<u64>()) else {
        let what = format!("{} names no pulls", quoted(text));
        let mut remedy = "write a number, a range such as `12 to 18`, or `all`; give each of several a line of its own"
            .to_owned();
        if text.contains(|c: char| c.is_ascii_digit()) {
            remedy.push_str(
                "; a spreadsheet may have made a date of a range with a dash: with `to` it does not",
            );
        }
        reader.tell(&codes::UNREAD, cell, what, remedy);
        return None;
    };
    if from > to {
        let what = format!("the range {} runs backwards", quoted(text));
        let remedy = format!("write `{to} to {from}` if that is meant");
        reader.tell(&codes::UNREAD, cell, what, remedy);
        return None;
    }
    let ends = pulls.contains_key(&from) && pulls.contains_key(&to);
    if !ends {
        let own: Vec<u64> = pulls.keys().copied().collect();
        let what = if from == to {
            format!("there is no pull {from} on {ticket}")
        } else {
            format!("not all of the pulls {} stand on {ticket}", quoted(text))
        };
        let remedy = format!("its pulls are {}", few(&in_runs(&own), 2 * TOLD));
        reader.tell(&codes::UNKNOWN, cell, what, remedy);
        return None;
    }
    Some(pulls.range(from..=to).map(|(number, _)| *number).collect())
}

/// Pulls named at most where several are wrong in the same way.
const TOLD: usize = 6;

/// Pulls that are cut, from the ticket's `own` roll or from another.
fn cut(
    record: &Record<'_>,
    ((ticket, pulls), own): (&Ticket<'_>, bool),
    (happened, stands): (&mut Happened, &mut Stands),
    reader: &mut Reader<'_>,
) {
    let mut twice = Vec::new();
    for number in named(&record.pull, ticket, pulls, reader).into_iter().flatten() {
        if happened.is_cut(number) {
            twice.push(number.to_string());
        }
        stands.cut.insert(number, record.pull.place());
        if own { &mut happened.cut } else { &mut happened.elsewhere }.insert(number);
    }
    let what = match twice.as_slice() {
        [] => return,
        [one] => format!("pull {one} is reported cut in a line above"),
        several => format!("pulls {} are reported cut in lines above", few(several, TOLD)),
    };
    reader.tell(&codes::CONTRADICTS, &record.pull, what, "name every pull once");
}

fn spoilt(
    record: &Record<'_>,
    (ticket, pulls): &Ticket<'_>,
    (happened, stands): (&mut Happened, &mut Stands),
    reader: &mut Reader<'_>,
) {
    let numbers = named(&record.pull, ticket, pulls, reader);
    let code = reader.text(&record.piece);
    let count = record.quantity.or(1, |cell| reader.count(cell, &(1..=1_000_000)));
    let (Some(numbers), Some(code), Some(mut count)) = (numbers, code, count) else { return };
    let asked = numbers.iter().filter_map(|number| pulls.get(number));
    let codes_there: BTreeSet<&str> =
        asked.flat_map(|pull| pull.placements.iter().map(|p| p.piece.as_str())).collect();
    if !codes_there.contains(code) {
        let what = format!(
            "{} of {ticket} {} no piece {}",
            if numbers.len() == 1 { "this pull" } else { "these pulls" },
            if numbers.len() == 1 { "yields" } else { "yield" },
            quoted(code)
        );
        let there: Vec<String> = codes_there.into_iter().map(str::to_owned).collect();
        let remedy = format!("write the code as on the piece; there are {}", few(&there, TOLD));
        reader.tell(
            &codes::UNKNOWN,
            &record.piece,
            what,
            nearest_or(code, there.iter().map(String::as_str), remedy),
        );
        return;
    }
    for number in numbers {
        let Some(pull) = pulls.get(&number) else { continue };
        let yields = pull.placements.iter().filter(|p| p.piece == code).count() as u64;
        let key = (number, code.to_owned());
        let before = happened.spoilt.get(&key).copied().unwrap_or(0);
        let more = count.min(yields.saturating_sub(before));
        if more > 0 {
            stands.spoilt.entry(key.clone()).or_insert_with(|| record.pull.place());
            happened.spoilt.insert(key, before + more);
            count -= more;
        }
    }
    if count > 0 {
        let what = format!("{count} more of {} than these pulls yield", quoted(code));
        let remedy = "see the quantities on the ticket";
        reader.tell(&codes::UNKNOWN, &record.piece, what, remedy);
    }
}

/// What only shows when all lines are read.
fn together(typed: &Typed, tickets: &Tickets<'_>, done: &Done, findings: &mut Findings) {
    let mut tell = |code, place: &Place, what: String, remedy: &str| {
        findings.push(Finding::new(code, place.clone(), what, remedy));
    };
    for (number, happened) in &done.tickets {
        let Some((roll, pulls)) = tickets.0.get(number) else { continue };
        let Some(stands) = typed.0.get(number) else { continue };
        let ticket = tickets.name(*number);
        let last = happened.cut.last().copied();
        let cut = last.and_then(|last| stands.cut.get(&last)).cloned().unwrap_or_default();
        let open = pulls.keys().find(|n| !happened.is_cut(**n)).copied();
        if let (Some(last), Some(open)) = (last, open)
            && open < last
        {
            let what = format!("{ticket}: pull {last} is cut, but pull {open} in front is not");
            let remedy = "name the pulls in front as cut too, or as `elsewhere` where another roll gave them";
            tell(&codes::OUT_OF_ORDER, &cut, what, remedy);
        }
        for ((pull, code), place) in &stands.spoilt {
            if !happened.is_cut(*pull) {
                let what =
                    format!("{ticket}: {} is spoilt, but pull {pull} is not cut", quoted(code));
                tell(&codes::CONTRADICTS, place, what, "name the pull as cut too");
            }
        }
        let front = happened.front(pulls);
        let end = happened.length.or(roll.length);
        if let Some((left, end)) = happened.left.zip(end)
            && left > end - front
        {
            let what = format!(
                "{ticket}: {left} mm cannot be left of {end} mm, of which {front} mm are cut"
            );
            let truly = left + front;
            let long = if roll.length.is_some_and(|end| truly <= end * LONGEST) {
                format!(
                    "; where the roll was longer than it should be, add `{ticket},long` with length {truly}"
                )
            } else {
                String::new()
            };
            let remedy = format!(
                "mend the length, or name pulls that another roll gave as `elsewhere`{long}"
            );
            tell(&codes::CONTRADICTS, &stands.left, what, &remedy);
        }
        let gone = end.map_or(front, |end| happened.begins(pulls, end)).max(front);
        for ((from, to), place) in happened.damaged.iter().zip(&stands.damaged) {
            if *from < front {
                let what = format!(
                    "{ticket}: the damage from {from} to {to} mm lies where the roll is cut already, \
                     up to {front} mm"
                );
                tell(&codes::CONTRADICTS, place, what, "report what it spoilt as spoilt pieces");
            } else if *from < gone {
                let what = format!(
                    "{ticket}: the damage from {from} to {to} mm lies in front of what is left, which begins at \
                     {gone} mm"
                );
                let remedy = "`left` counts from the last cut to the roll's end, with what is damaged there; where the \
                              damage is cut away already, leave its line out";
                tell(&codes::CONTRADICTS, place, what, remedy);
            }
        }
        if let Some(length) = happened.length.filter(|length| *length < front) {
            let what = format!(
                "{ticket} is cut up to {front} mm, more than its true length of {length} mm"
            );
            let metres = if roll.length.is_some_and(|end| length * 1000 < end) {
                format!(
                    "is the length in metres or feet? Then write `{length} m` or `{length} ft`; else "
                )
            } else {
                String::new()
            };
            let remedy = format!("{metres}mend the length, or the pulls that are cut");
            tell(&codes::CONTRADICTS, &stands.length, what, &remedy);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ticket_is_the_whole_cell() {
        for text in ["T12", "t12", "12", " T 12 ", "ticket 12", "Ticket T12"] {
            assert_eq!(parsed(text), Some((12, Some(1))), "{text}");
        }
        for text in ["T12r3", "12R3", "T12 r 3"] {
            assert_eq!(parsed(text), Some((12, Some(3))), "{text}");
        }
        // Products and offcuts may be called so.
        for text in ["Mat2", "Felt10", "T2 left 1", "T2 rest", "T", "", "T2r", "r2", "T-2", "T+2"] {
            assert_eq!(parsed(text), None, "{text}");
        }
    }

    /// The codes of what is found in lines about a plan of rolls of 50 m, whose first pull lies from 50 to 230 mm.
    fn told(lines: &str) -> Vec<&'static str> {
        let mut plan = crate::plan::sample::plan(1, 1);
        plan.order =
            vec![crate::plan::Ordered { roll: "roll-1".to_owned(), cut: 1, spare: 2, more: 0 }];
        let text = format!("ticket,what,pull,from,to,length,quantity\n{lines}");
        let (done, findings) = read("done.csv", text.as_bytes(), &plan);
        assert_eq!(done.is_none(), findings.has_errors());
        findings.iter().map(|finding| finding.code.id).collect()
    }

    /// By hand: 230 mm are cut, 49,770 can be left, and twice 50 m are 100 m; what reaches just so far is no mistake.
    #[test]
    fn what_ends_where_it_may_is_read() {
        for (lines, beyond) in [
            (
                "T1,cut,all,,,,\nT1,damaged,,230,400,,\n",
                "T1,cut,all,,,,\nT1,damaged,,229.9,400,,\n",
            ),
            ("T1,cut,all,,,,\nT1,left,,,,49770,\n", "T1,cut,all,,,,\nT1,left,,,,49770.1,\n"),
            ("T1,cut,all,,,,\nT1,short,,,,230,\n", "T1,cut,all,,,,\nT1,short,,,,229.9,\n"),
            ("T1,long,,,,100 m,\n", "T1,long,,,,100.001 m,\n"),
            (
                "roll-1 whole,gone,,,,,1\nroll-1 whole,gone,,,,,1\n",
                "roll-1 whole,gone,,,,,2\nroll-1 whole,gone,,,,,1\n",
            ),
        ] {
            assert!(told(lines).is_empty(), "{lines}: {:?}", told(lines));
            assert_eq!(told(beyond).len(), 1, "{beyond}: {:?}", told(beyond));
        }
    }
}
