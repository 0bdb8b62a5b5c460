//! Where cuts are set out with a tape, so that sizes add up to places, and in inches no piece is small by rounding.
//!
//! Plans know nanometres, a tape sixty-fourths of an inch. Rounding every place by itself would make a strip whose
//! near edge is rounded up and whose far edge is rounded down too narrow, and whoever adds up sizes would come to other
//! places than the ticket's. So places of one direction are rounded together, from the edge from which they are
//! measured:
//!
//! `P(p) = max(up(p), P(q) for the place q before it, P(a) + up(p - a) for every piece or blank from a to p)`
//!
//! where `up` rounds up to a sixty-fourth; gaps no wider than the rule's are kept like pieces. What is even already stays as
//! it is, so rectangles of a step in inches move as a whole; curved pieces push what lies behind them on by less than a sixty-fourth
//! each, at the cost of what is lost behind them. A pull is as long as its pieces ask for, and the pulls of a roll follow
//! one another in the same way.
//!
//! Where there is no such room (across: up to the far edge trim; along: up to the roll's end), the places are
//! given to the nearest thousandth of an inch, as decimals: 0.013 mm off at most, less than the tenth of a millimetre to which
//! papers in millimetres are rounded. Along a roll that holds for all pulls of it, and for their like on other rolls,
//! as these are drawn once.
//!
//! In millimetres every place stays where it is, save where the step of sizes is no whole number of tenths (steps in
//! inches): then nearly every size is shown rounded, and a pull of 562 would lie from 1174 to 1735.9. There sizes are
//! rounded to the nearest tenth, a place at which something ends lies where these sizes come to, and others at their
//! own nearest tenth.

use super::groups::Groups;
use super::{CutKind, Offcut, Piece, Plan, Pull, Roll};
use crate::rules::{self, Rules};
use crate::units::{Length, Measure};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

/// Where places of one direction are set out; those that it does not know stay where they are.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ruler(BTreeMap<Length, Length>);

impl Ruler {
    /// Where a place is set out.
    #[must_use]
    pub fn at(&self, place: Length) -> Length {
        self.0.get(&place).copied().unwrap_or(place)
    }
}

/// The rulers of a pull: across the roll from its left edge, along it from the pull's near end.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rulers {
    /// For rips.
    pub across: Ruler,
    /// For cuts across inside the pull; its length is the place of its far end.
    pub along: Ruler,
}

/// All rulers of a plan.
#[derive(Clone, Debug, Default)]
pub struct SetOut {
    /// For each group of like pulls.
    groups: Vec<Rulers>,
    /// For each layout, along the roll from its front.
    layouts: Vec<Ruler>,
    of_layout: Vec<Vec<usize>>,
    none: Rulers,
}

/// A tenth of a millimetre.
const TENTH: Length = Length::from_nm(100_000);

/// From where to where something lies, and how long it is set out at least.
type Span = (Length, Length, Length);

impl SetOut {
    /// Of a plan.
    #[must_use]
    pub fn of(plan: &Plan, groups: &Groups<'_>, rules: &Rules, measure: Measure) -> Self {
        if stays(rules, measure) {
            return Self::default();
        }
        let table = &rules.table;
        let pieces: BTreeMap<&str, &Piece> =
            plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
        let rulers = groups.groups.iter().map(|group| {
            let spans = spans(group.pull, &pieces, measure);
            let end = group.width - table.edge_trim;
            let straight = || group.pull.cuts.iter().filter(|cut| cut.kind != CutKind::Outline);
            let x = straight().flat_map(|cut| [cut.from.x, cut.to.x]);
            let x = x.filter(|x| *x < end).chain([table.edge_trim]);
            let across = ruler(measure, &spans.0, x, table.gap);
            let across = across.filter_end(end).unwrap_or_else(|| {
                let all = spans.0.iter().flat_map(|span| [span.0, span.1]);
                fine(measure, all.chain([table.edge_trim]))
            });
            let y = straight().flat_map(|cut| [cut.from.y, cut.to.y]);
            let y = y.map(|y| y - group.pull.y).chain([group.pull.length]);
            Rulers { across, along: ruler(measure, &spans.1, y, table.gap) }
        });
        let mut all = Self {
            groups: rulers.collect(),
            layouts: Vec::new(),
            of_layout: groups.of_layout.clone(),
            none: Rulers::default(),
        };
        all.along_rolls(plan, groups, table, measure);
        all
    }

    /// Sets the pulls of every roll out, one behind the other.
    fn along_rolls(
        &mut self,
        plan: &Plan,
        groups: &Groups<'_>,
        table: &rules::Table,
        measure: Measure,
    ) {
        for (layout, roll) in plan.rolls.iter().enumerate() {
            let of = self.of_layout.get(layout).cloned().unwrap_or_default();
            let length = |(pull, group): (&Pull, &usize)| {
                let long = self.groups.get(*group).map(|rulers| rulers.along.at(pull.length));
                (pull.y, pull.y + pull.length, long.unwrap_or(pull.length))
            };
            let spans: Vec<Span> = roll.pulls.iter().zip(&of).map(length).collect();
            let left = roll
                .offcuts
                .iter()
                .map(|offcut| offcut.y)
                .chain([roll.square_cut(table.square_cut)]);
            let along = ruler(measure, &spans, left.clone(), table.gap);
            let along = roll.length.map_or(Some(along.clone()), |end| along.filter_end(end));
            self.layouts.push(along.unwrap_or_else(|| {
                for &group in &of {
                    let (Some(rulers), Some(group)) =
                        (self.groups.get_mut(group), groups.groups.get(group))
                    else {
                        continue;
                    };
                    let places: Vec<Length> = rulers.along.0.keys().copied().collect();
                    rulers.along = fine(measure, places.into_iter().chain([group.pull.length]));
                }
                let ends = spans.iter().flat_map(|span| [span.0, span.1]);
                fine(measure, ends.chain(left))
            }));
        }
    }

    /// The rulers of a group of like pulls.
    #[must_use]
    pub fn group(&self, group: usize) -> &Rulers {
        self.groups.get(group).unwrap_or(&self.none)
    }

    /// Those of a layout's pull.
    #[must_use]
    pub fn pull(&self, layout: usize, pull: usize) -> &Rulers {
        let group = self.of_layout.get(layout).and_then(|of| of.get(pull));
        group.map_or(&self.none, |group| self.group(*group))
    }

    /// What is left of a layout's roll as it is set out, which is no larger than planned. Less than the tenth of a millimetre
    /// to which papers are rounded is no difference.
    #[must_use]
    pub fn left(&self, layout: usize, roll: &Roll, left: &Offcut) -> Offcut {
        let along = self.layout(layout);
        let (right, far) = (left.x + left.width, left.y + left.length);
        let home = |pull: &&Pull| pull.y <= left.y && far <= pull.y + pull.length;
        let home = roll.pulls.iter().zip(0..).find(|(pull, _)| home(pull));
        let ([x, right], [y, far]) = match home {
            None => ([left.x, right], [along.at(left.y), far]),
            Some((pull, number)) => {
                let rulers = self.pull(layout, number);
                let inside = |y: Length| along.at(pull.y) + rulers.along.at(y - pull.y);
                ([left.x, right].map(|x| rulers.across.at(x)), [left.y, far].map(inside))
            }
        };
        let size = |planned: Length, cut: Length| if planned - cut < TENTH { planned } else { cut };
        let (width, length) = (size(left.width, right - x), size(left.length, far - y));
        Offcut { x, y, width, length, keep: left.keep }
    }

    /// The ruler along a layout's roll.
    #[must_use]
    pub fn layout(&self, layout: usize) -> &Ruler {
        self.layouts.get(layout).unwrap_or(&self.none.along)
    }
}

/// Whether papers in this measure set every place out where it is.
fn stays(rules: &Rules, measure: Measure) -> bool {
    measure == Measure::Millimetres && measure.is_even(rules.resolution.cut)
}

/// A plan whose pulls and offcuts lie along its rolls where its papers set them out, so that what is left of a roll is
/// what the shop has. What lies in a pull keeps its distance from the pull's near end.
#[must_use]
pub fn as_cut<'p>(plan: &'p Plan, rules: &Rules, measure: Measure) -> Cow<'p, Plan> {
    if stays(rules, measure) {
        return Cow::Borrowed(plan);
    }
    let set_out = SetOut::of(plan, &Groups::of(plan), rules, measure);
    let mut cut = plan.clone();
    for (layout, (roll, planned)) in cut.rolls.iter_mut().zip(&plan.rolls).enumerate() {
        let along = set_out.layout(layout);
        for pull in &mut roll.pulls {
            let (near, far) = (along.at(pull.y), along.at(pull.y + pull.length));
            let moved = near - pull.y;
            (pull.y, pull.length) = (near, far - near);
            for place in &mut pull.placements {
                place.y += moved;
            }
            for cut in &mut pull.cuts {
                cut.from.y += moved;
                cut.to.y += moved;
            }
        }
        for left in &mut roll.offcuts {
            *left = set_out.left(layout, planned, left);
        }
    }
    Cow::Owned(cut)
}

impl Ruler {
    /// The ruler, where nothing on it lies behind its end.
    fn filter_end(self, end: Length) -> Option<Self> {
        self.0.values().all(|place| *place <= end).then_some(self)
    }
}

/// Places rounded together: the ends of what lies there, and others.
fn ruler(
    measure: Measure,
    spans: &[Span],
    others: impl Iterator<Item = Length>,
    gap: Length,
) -> Ruler {
    let ends = spans.iter().flat_map(|span| [span.0, span.1]);
    let places: BTreeSet<Length> = ends.chain(others).collect();
    let starts: BTreeSet<Length> = spans.iter().map(|span| span.0).collect();
    let mut behind: BTreeMap<Length, Vec<(Length, Length)>> = BTreeMap::new();
    for &(from, to, long) in spans {
        behind.entry(to).or_default().push((from, long));
    }
    let mut set: BTreeMap<Length, Length> = BTreeMap::new();
    for place in places {
        let ends = behind.contains_key(&place);
        let own = measure != Measure::Millimetres || !ends;
        let mut at = if own { measure.marked(place) } else { Length::ZERO };
        if let Some((&before, &there)) = set.last_key_value() {
            // What a curved piece falls short of its blank is no gap.
            let between = behind.contains_key(&before) && starts.contains(&place);
            let kept = between && place - before <= gap;
            at = at.max(there + if kept { measure.marked(place - before) } else { Length::ZERO });
        }
        for (from, long) in behind.get(&place).into_iter().flatten() {
            let from = set.get(from).copied().unwrap_or(*from);
            at = at.max(measure.marked(from + *long));
        }
        set.insert(place, at);
    }
    Ruler(set)
}

/// Places each to the nearest thousandth of an inch.
fn fine(measure: Measure, places: impl Iterator<Item = Length>) -> Ruler {
    let one = |place| {
        let even = measure.is_even(place);
        (place, if even { place } else { measure.fine(place) })
    };
    Ruler(places.map(one).collect())
}

/// What straight cuts free from a pull, across the roll and from the pull's near end along it: pieces, and
/// blanks of curved ones.
fn spans(pull: &Pull, pieces: &BTreeMap<&str, &Piece>, measure: Measure) -> (Vec<Span>, Vec<Span>) {
    let blanks = super::blanks(pull, pieces);
    let within: BTreeSet<usize> =
        blanks.iter().flat_map(|blank| blank.members.iter().map(|m| m.number)).collect();
    let alone = super::boxes(pull, pieces).into_iter().filter(|one| !within.contains(&one.number));
    let all = alone.map(|one| one.rect).chain(blanks.iter().map(|blank| blank.blank));
    // In millimetres a curved piece, too, takes the size that tickets and labels show.
    let shown = pull.placements.iter().filter(|_| measure == Measure::Millimetres);
    let shown = shown.filter(|place| place.turn.quarter_turns().is_some());
    let shown = shown.filter_map(|place| Some(place.blank(pieces.get(place.piece.as_str())?)));
    all.chain(shown)
        .map(|rect| {
            let span = |from: Length, long: Length| (from, from + long, measure.marked(long));
            (span(rect.x, rect.width), span(rect.y - pull.y, rect.length))
        })
        .unzip()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::sample;
    use proptest::prelude::*;

    const INCHES: Measure = Measure::Inches;

    fn inch(text: &str) -> Length {
        Length::parse(&format!("{text} in")).unwrap()
    }

    fn span(from: Length, long: Length) -> Span {
        (from, from + long, INCHES.marked(long))
    }

    fn words(ruler: &Ruler, places: &[Length]) -> Vec<String> {
        places.iter().map(|place| INCHES.words(ruler.at(*place)).replace('\u{a0}', " ")).collect()
    }

    /// Behind an edge trim of 1/2 in lie a rectangle of 12, a gore of 341.5 mm and a rectangle of 20 7/8. The gore is
    /// 13.44488 in, the next sixty-fourth is 13 29/64 (13.45313): 1/2, 12 1/2, 25 61/64, 46 53/64.
    #[test]
    fn what_is_even_moves_as_a_whole_behind_what_is_not() {
        let (trim, gore) = (inch("1/2"), Length::from_nm(341_500_000));
        let places = [trim, inch("12 1/2"), inch("12 1/2") + gore, inch("33 3/8") + gore];
        let spans =
            [span(places[0], inch("12")), span(places[1], gore), span(places[2], inch("20 7/8"))];
        let ruler = ruler(INCHES, &spans, [trim].into_iter(), Length::ZERO);
        assert_eq!(words(&ruler, &places), ["1/2", "12 1/2", "25 61/64", "46 53/64"]);
    }

    /// Two gores of 13.44488 in: rounded by itself the second line, 26.88976 in, would lie at 26 57/64 (26.89063), and
    /// the second gore would have 13 28/64 in, less than its own size. It lies at 26 29/32.
    #[test]
    fn sizes_add_up_to_the_places() {
        let gore = Length::from_nm(341_500_000);
        let spans = [span(Length::ZERO, gore), span(gore, gore)];
        let ruler = ruler(INCHES, &spans, std::iter::empty(), Length::ZERO);
        assert_eq!(words(&ruler, &[gore, gore * 2]), ["13 29/64", "26 29/32"]);
        assert_eq!(words(&Ruler::default(), &[gore * 2]), ["~26 57/64"]);
    }

    /// A gore of 328.363 mm, 12.9277 in, lies in a blank of 12 15/16 in, which a rip frees: the next piece, 1/8 in
    /// behind, lies at 13 1/16 in as planned.
    #[test]
    fn what_a_curved_piece_falls_short_of_its_blank_moves_nothing() {
        let (gore, blank, gap) = (Length::from_nm(328_363_000), inch("12 15/16"), inch("1/8"));
        let spans = [span(Length::ZERO, gore), span(blank + gap, gore)];
        let ruler = ruler(INCHES, &spans, [blank].into_iter(), gap);
        let places = words(&ruler, &[gore, blank, blank + gap]);
        assert_eq!(places, ["12 15/16", "12 15/16", "13 1/16"]);
    }

    /// By hand in sixty-fourths: a gore of 860.2 is marked at 861, and a gap of 3 mm, 7.56 of them, takes 8 behind it,
    /// where the place alone, 867.76, would be marked at 868.
    #[test]
    fn a_gap_that_is_not_even_is_not_made_narrower() {
        let (gore, gap) = (Length::from_nm(341_391_875), Length::from_mm(3));
        let spans = [span(Length::ZERO, gore), span(gore + gap, gore)];
        let ruler = ruler(INCHES, &spans, std::iter::empty(), gap);
        assert_eq!(words(&ruler, &[gore, gore + gap]), ["13 29/64", "13 37/64"]);
    }

    /// A gap of 1/8 in between two gores stays one.
    #[test]
    fn gaps_are_kept() {
        let (gore, gap) = (Length::from_nm(341_500_000), inch("1/8"));
        let spans = [span(Length::ZERO, gore), span(gore + gap, gore)];
        let ruler = ruler(INCHES, &spans, std::iter::empty(), gap);
        assert_eq!(words(&ruler, &[gore, gore + gap]), ["13 29/64", "13 37/64"]);
    }

    /// Three strips of 500 mm fill a roll of 1500 mm (59.055 in): 3 times 19 11/16 do not, so the places are 19.685
    /// and 39.37 in.
    #[test]
    fn where_there_is_no_room_places_are_thousandths() {
        let each = Length::from_mm(500);
        let spans = [0, 1, 2].map(|at| span(each * at, each));
        let coarse = ruler(INCHES, &spans, std::iter::empty(), Length::ZERO);
        assert_eq!(coarse.filter_end(each * 3), None);
        let fine = fine(INCHES, [each, each * 2].into_iter());
        assert_eq!(words(&fine, &[each, each * 2]), ["19.685", "39.37"]);
    }

    /// Three pulls of 561.975 mm, shown as 562, behind a square cut of 50: each by itself, 1735.925 was shown as 1735.9.
    /// Two of 311.125 (311.1) end at 622.2, where 622.25 was shown as 622.3.
    #[test]
    fn sizes_in_millimetres_add_up_where_steps_are_in_inches() {
        let mm = Measure::Millimetres;
        let shown = |start: i64, each: i64, count: i64| -> Vec<String> {
            let (start, each) = (Length::from_mm(start), Length::from_nm(each));
            let spans: Vec<Span> = (0..count)
                .map(|at| (start + each * at, start + each * (at + 1), mm.marked(each)))
                .collect();
            let ruler = ruler(mm, &spans, [start].into_iter(), Length::ZERO);
            spans.iter().map(|span| mm.words(ruler.at(span.1))).collect()
        };
        assert_eq!(shown(50, 561_975_000, 3), ["612", "1174", "1736"]);
        assert_eq!(shown(0, 311_125_000, 2), ["311.1", "622.2"]);
        let (plan, mut rules) = (sample::plan(40, 3), Rules::default());
        let groups = Groups::of(&plan);
        let layouts = |rules: &Rules| SetOut::of(&plan, &groups, rules, mm).layouts.len();
        assert_eq!(layouts(&rules), 0, "millimetres add up");
        rules.resolution.cut = inch("1/8");
        assert_eq!(layouts(&rules), plan.rolls.len());
        // Two curved pieces side by side, each in a box of 504.825 (504.8): 1009.6, not 1009.7.
        let mut curved = plan.pieces[0].clone();
        let [w, l] = [504_825_000, 561_975_000].map(Length::from_nm);
        (curved.width, curved.length) = (w, l);
        let corners = [(0, 0), (500, 0), (0, 560)]
            .map(|(x, y)| crate::geometry::Point::new(Length::from_mm(x), Length::from_mm(y)));
        curved.outline = Some(crate::geometry::Outline::new(corners.to_vec()).unwrap());
        let mut pull = plan.rolls[0].pulls[0].clone();
        let mut place = pull.placements[0].clone();
        (place.piece, place.turn) = (curved.piece.clone(), crate::units::Angle::ZERO);
        let at = |x: Length| crate::plan::Placement { x, y: pull.y, ..place.clone() };
        pull.placements = vec![at(Length::ZERO), at(w)];
        let known = BTreeMap::from([(curved.piece.as_str(), &curved)]);
        let across = ruler(mm, &spans(&pull, &known, mm).0, [w, w * 2].into_iter(), Length::ZERO);
        assert_eq!([w, w * 2].map(|x| mm.words(across.at(x))), ["504.8", "1009.6"]);
    }

    /// How much a piece may be small: nothing, or what two places rounded to thousandths of an inch come to.
    fn small(places: [Length; 2]) -> Length {
        let even = places.iter().all(|place| INCHES.is_even(*place));
        if even { Length::ZERO } else { Length::from_nm(25_400) }
    }

    /// Every piece of plans in millimetres, the worst there are for inches: as a ticket sets it out it is not small,
    /// lies within its pull, and its pull within its roll.
    #[test]
    fn no_piece_is_small_and_nothing_leaves_its_roll() {
        let rules = Rules::default();
        let (mut pieces, mut decimals) = (0, 0);
        for (sizes, each) in [(40, 3), (75, 5), (120, 17)] {
            let plan = sample::plan(sizes, each);
            let groups = Groups::of(&plan);
            let set = SetOut::of(&plan, &groups, &rules, INCHES);
            let known: BTreeMap<&str, &Piece> =
                plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
            for (layout, roll) in plan.rolls.iter().enumerate() {
                let along = set.layout(layout);
                for (number, pull) in roll.pulls.iter().enumerate() {
                    let rulers = set.pull(layout, number);
                    let ends = [along.at(pull.y), along.at(pull.y + pull.length)];
                    assert!(ends[1] - ends[0] + small(ends) >= pull.length);
                    assert!(roll.length.is_none_or(|end| ends[1] <= end + small(ends)));
                    let far = rulers.along.at(pull.length);
                    for one in crate::plan::boxes(pull, &known) {
                        let (x, y) = (one.rect.x, one.rect.y - pull.y);
                        let across = [x, x + one.rect.width].map(|place| rulers.across.at(place));
                        let inside = [y, y + one.rect.length].map(|place| rulers.along.at(place));
                        assert!(across[1] - across[0] + small(across) >= one.rect.width);
                        assert!(inside[1] - inside[0] + small(inside) >= one.rect.length);
                        assert!(across[1] <= roll.width + small(across) && inside[1] <= far);
                        decimals += usize::from(small(across) > Length::ZERO);
                        pieces += 1;
                    }
                }
            }
        }
        assert!(pieces > 500 && decimals * 2 < pieces, "{pieces}, {decimals} in decimals");
    }

    /// What is left of every roll of such plans is as long as what its pulls leave, inside a pull lies inside it, and is
    /// not larger than planned; in millimetres nothing moves.
    #[test]
    fn what_is_left_is_what_the_pulls_leave() {
        let (rules, mut shorter) = (Rules::default(), 0);
        for (sizes, each) in [(40, 3), (75, 5), (120, 17)] {
            let plan = sample::plan(sizes, each);
            assert!(matches!(as_cut(&plan, &rules, Measure::Millimetres), Cow::Borrowed(_)));
            let cut = as_cut(&plan, &rules, INCHES);
            for (roll, planned) in cut.rolls.iter().zip(&plan.rolls) {
                let end = roll.pulls.last().map(|pull| pull.y + pull.length);
                for (left, before) in roll.offcuts.iter().zip(&planned.offcuts) {
                    assert!(left.width <= before.width && left.length <= before.length);
                    let far = left.y + left.length - small([left.y, left.y + left.length]);
                    let inside = |pull: &Pull| pull.y <= left.y && far <= pull.y + pull.length;
                    let behind = roll.length.is_some_and(|end| far <= end) && end == Some(left.y);
                    assert!(behind || roll.pulls.iter().any(inside), "{left:?}");
                    shorter += usize::from(left.length < before.length);
                }
            }
        }
        assert!(shorter > 10, "{shorter}");
    }

    proptest! {
        /// A strip of pieces and gaps: all is shown without rounding, nothing is small, and nothing moves by a
        /// sixty-fourth for each thing before it.
        #[test]
        fn strips_are_never_small(longs in proptest::collection::vec((1_i64..800_000_000, 0_i64..3), 1..20)) {
            let gap = inch("1/8");
            let (mut at, mut spans) = (inch("1/2"), Vec::new());
            for (long, gaps) in longs {
                spans.push(span(at, Length::from_nm(long)));
                at = at + Length::from_nm(long) + gap * gaps.min(1);
            }
            let ruler = ruler(INCHES, &spans, std::iter::empty(), gap);
            for (before, (from, to, _)) in spans.iter().enumerate() {
                let (a, b) = (ruler.at(*from), ruler.at(*to));
                prop_assert!(INCHES.is_even(a) && INCHES.is_even(b));
                prop_assert!(b - a >= *to - *from);
                let most = inch("1/64") * i64::try_from(before + 1).unwrap();
                prop_assert!(b >= *to && b - *to < most);
            }
        }
    }
}
