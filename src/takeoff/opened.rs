//! Runs for which not enough fittings are there end open.
//!
//! A takeoff from the door names no more ends than there are. One whose counts were changed after it, such
//! as a simulated one, may: of two runs at two elbows one elbow may be left. Steps: in the takeoff's order
//! each run takes an end of the items that it names, as far as these are left; copies of a run that find
//! none end open there, and become lines of their own.

use super::domain::{Item, Kind, Takeoff};
use super::ends::without_open_last;
use super::ports::{Left, all_left};
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

impl Takeoff {
    /// The takeoff in which no more ends are named than there are.
    #[must_use]
    pub fn opened(self) -> Self {
        let mut names: BTreeSet<String> = self.items.iter().map(|item| item.id.clone()).collect();
        let mut left: BTreeMap<String, Left> = BTreeMap::new();
        for item in &self.items {
            left.insert(item.id.clone(), all_left(item));
        }
        let mut items = Vec::with_capacity(self.items.len());
        for item in self.items {
            let Kind::Pipe(pipe) = &item.kind else {
                items.push(item);
                continue;
            };
            let (od, quantity) = (pipe.size.od, item.quantity);
            // How many of the run's copies have each of its ends.
            let mut take = |name: &String| take(left.get_mut(name), od, quantity);
            let have: Vec<u64> = pipe.ends.iter().map(&mut take).collect();
            items.extend(parted(&item, &have, &mut names));
        }
        Self { items }
    }
}

/// Takes up to so many ends for runs of this diameter; gives how many there were.
fn take(left: Option<&mut Left>, od: Length, wanted: u64) -> u64 {
    let mut taken = 0;
    for (port, free) in left.into_iter().flatten() {
        if port.od.is_some_and(|own| own != od) {
            continue;
        }
        let more = free.map_or(wanted - taken, |free| free.min(wanted - taken));
        taken += more;
        *free = free.map(|free| free - more);
    }
    taken
}

/// A run whose first so many copies have each of its ends, as lines of like copies. The first keeps the name.
fn parted(item: &Item, have: &[u64], names: &mut BTreeSet<String>) -> Vec<Item> {
    let mut steps: Vec<u64> = have.iter().copied().chain([item.quantity]).collect();
    steps.retain(|step| *step > 0);
    steps.sort_unstable();
    steps.dedup();
    let mut parts: Vec<Item> = Vec::with_capacity(steps.len());
    let mut from = 0;
    for to in steps {
        let mut part = Item { quantity: to - from, ..item.clone() };
        if let Kind::Pipe(pipe) = &mut part.kind {
            for (end, have) in pipe.ends.iter_mut().zip(have) {
                if *have < to {
                    end.clear();
                }
            }
            without_open_last(&mut pipe.ends);
        }
        if from > 0 {
            while !names.insert(part.id.clone()) {
                part.id.push('+');
            }
        }
        parts.push(part);
        from = to;
    }
    parts
}

#[cfg(test)]
mod tests {
    use crate::rules::Rules;
    use crate::takeoff::{self, Kind};

    /// A blind flange has one side for a run: of two of them, which two runs name, one is left.
    #[test]
    fn a_blind_flange_has_one_end() {
        let text = "item,kind,size,length,quantity,build,type,class,ends\n\
                    F,flange,NPS 6,,2,10,blind,150,\n\
                    P,pipe,NPS 6,4 m,2,10,,,F\n";
        let mut whole = takeoff::read("takeoff.csv", text.as_bytes(), &Rules::default()).0.unwrap();
        whole.items[0].quantity = 1;
        let opened = whole.opened();
        let runs: Vec<(u64, usize)> = opened
            .items
            .iter()
            .filter_map(|item| match &item.kind {
                Kind::Pipe(pipe) => Some((item.quantity, pipe.ends.len())),
                _ => None,
            })
            .collect();
        assert_eq!(runs, [(1, 1), (1, 0)]);
    }

    /// By hand: of three elbows, at which five runs end, one is left with two ends; Q keeps its cap at its second.
    #[test]
    fn runs_for_which_no_fitting_is_left_end_open() {
        let text = "item,kind,size,length,quantity,build,ends\n\
                    E,elbow,NPS 6,,3,10,\n\
                    C,cap,NPS 6,,1,10,\n\
                    P,pipe,NPS 6,4 m,4,10,E\n\
                    Q,pipe,NPS 6,2 m,1,10,E|C\n";
        let read = takeoff::read("takeoff.csv", text.as_bytes(), &Rules::default()).0;
        let whole = read.unwrap();
        assert_eq!(whole.clone().opened(), whole);
        let mut fewer = whole.clone();
        fewer.items[0].quantity = 1;
        let opened = fewer.opened();
        let told: Vec<(&str, u64, Vec<String>)> = opened
            .items
            .iter()
            .filter_map(|item| match &item.kind {
                Kind::Pipe(pipe) => Some((item.id.as_str(), item.quantity, pipe.ends.clone())),
                _ => None,
            })
            .collect();
        let named = |names: &[&str]| names.iter().map(|&n| n.to_owned()).collect::<Vec<_>>();
        let wanted = [("P", 2, named(&["E"])), ("P+", 2, named(&[])), ("Q", 1, named(&["", "C"]))];
        assert_eq!(told, wanted);
    }
}
