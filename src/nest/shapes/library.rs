//! What forms forbid to each other, kept from one nest to the next.
//!
//! Whoever nests many instances of nearly the same pieces, as the choice of how items are made does, would work most pairs of
//! forms out again for each: while somebody holds the library ([`remember`]), kits look pairs up in it first. What
//! forms forbid to each other depends on the two and the gap alone, so answers are the same. It takes in pairs until they
//! have a quarter of a gigabyte.

use super::convex::Corner;
use super::forbidden::Forbidden;
use super::form::Form;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

/// Convex sums of all pairs that are kept, at some 1.1 kB each.
const MOST: u64 = 250_000;

/// The numbers that forms have in the library.
pub(super) type Numbers = Vec<usize>;

/// Pairs that are known, by their forms' numbers, the lesser in its kit first, and the gap.
#[derive(Debug, Default)]
pub struct Library(Mutex<Inner>);

#[derive(Debug, Default)]
struct Inner {
    numbers: BTreeMap<Vec<Corner>, usize>,
    pairs: BTreeMap<(usize, usize, i64), Arc<Forbidden>>,
    sums: u64,
}

static HELD: Mutex<Weak<Library>> = Mutex::new(Weak::new());

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Keeps what forms forbid to each other for as long as this is held.
#[must_use]
pub fn remember() -> Arc<Library> {
    let mut held = locked(&HELD);
    held.upgrade().unwrap_or_else(|| {
        let new = Arc::new(Library::default());
        *held = Arc::downgrade(&new);
        new
    })
}

/// The library, where somebody holds it.
pub(super) fn held() -> Option<Arc<Library>> {
    locked(&HELD).upgrade()
}

impl Library {
    /// The numbers of these forms.
    pub(super) fn numbers(&self, forms: &[Form]) -> Numbers {
        let mut inner = locked(&self.0);
        let number = |form: &Form| {
            let next = inner.numbers.len();
            *inner.numbers.entry(form.corners.clone()).or_insert(next)
        };
        forms.iter().map(number).collect()
    }

    /// What is known of a pair, or is worked out now.
    pub(super) fn pair(
        &self,
        key: (usize, usize, i64),
        sums: u64,
        make: impl FnOnce() -> Forbidden,
    ) -> Arc<Forbidden> {
        if let Some(known) = locked(&self.0).pairs.get(&key) {
            return Arc::clone(known);
        }
        let made = Arc::new(make());
        let mut inner = locked(&self.0);
        if inner.sums + sums <= MOST && inner.pairs.insert(key, Arc::clone(&made)).is_none() {
            inner.sums += sums;
        }
        made
    }
}

#[cfg(test)]
mod tests {
    use super::super::pairs::Pairs;
    use super::*;

    #[test]
    fn pairs_are_worked_out_once_while_the_library_is_held() {
        let form = |side: i64| Form::new(vec![(0, 0), (side, 0), (side, 40), (0, 60)]);
        let library = Library::default();
        let forms = [form(50), form(70), form(50)];
        assert_eq!(library.numbers(&forms), [0, 1, 0]);
        let made = std::cell::Cell::new(0);
        let ask = |key, sums| {
            let make = || {
                made.set(made.get() + 1);
                Forbidden::new(&forms[0], &forms[1], 0)
            };
            library.pair(key, sums, make)
        };
        let first = ask((0, 1, 0), 1);
        assert!(Arc::ptr_eq(&first, &ask((0, 1, 0), 1)));
        assert_eq!(made.get(), 1);
        // Another gap is another pair, and what is too much is not kept.
        ask((0, 1, 3), MOST);
        ask((0, 1, 3), MOST);
        assert_eq!(made.get(), 3);
        let (held, kit) = (remember(), Pairs::new(forms.to_vec(), 0));
        let other = Pairs::new(vec![form(70), form(50)], 0);
        assert_eq!(kit.way_out(1, 2, 5.0, 5.0), other.way_out(0, 1, 5.0, 5.0));
        drop(held);
    }
}
