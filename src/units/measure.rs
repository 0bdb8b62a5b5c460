//! In what people with a tape in hand read lengths: the words of every paper are made here.
//!
//! Millimetres are shown to a tenth. Inches are shown as a whole number with a fraction, halved up to
//! sixty-fourths, as on a tape. A length that is no whole number of sixty-fourths is shown rounded to one, with
//! [`ROUNDED`] before it: up where a piece must not be small, down where what is left must not be promised too large,
//! else to the nearest. One that somebody gave in thousandths of an inch stays in them. Where nearly all of a paper's
//! lengths are rounded, the paper says so once, and the mark is left out ([`Measure::all_rounded`]).

use super::{Length, gcd};

/// A sixty-fourth of an inch in nanometres; an inch is 25.4 mm (1959 international yard).
const SIXTY_FOURTH: Length = Length::from_nm(396_875);
/// A thousandth of an inch.
const THOUSANDTH: Length = Length::from_nm(25_400);
/// A foot.
const FOOT: Length = Length::from_nm(304_800_000);

/// A square foot in square metres.
pub const SQUARE_FOOT: f64 = 0.3048 * 0.3048;

/// A number as it stands before a unit, in a measure; none where it is none or a thickness of these.
type OfNumber = fn(Measure, &str, &[Length]) -> Option<String>;

/// Stands before inches that are rounded.
pub const ROUNDED: char = '~';

/// The measure of a job's papers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Millimetres to a tenth.
    #[default]
    Millimetres,
    /// Inches with fractions.
    Inches,
    /// Inches with fractions on papers that say once that lengths are rounded: none of them bears a mark.
    RoundedInches,
}

impl Measure {
    /// All that can be asked for.
    pub const ALL: [Self; 2] = [Self::Millimetres, Self::Inches];

    /// Its name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Millimetres => "millimetres",
            Self::Inches | Self::RoundedInches => "inches",
        }
    }

    /// Its unit as it is written behind a length.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Millimetres => "mm",
            Self::Inches | Self::RoundedInches => "in",
        }
    }

    /// For papers on which nearly all lengths are rounded, and which say so once.
    #[must_use]
    pub const fn all_rounded(self) -> Self {
        match self {
            Self::Millimetres => self,
            Self::Inches | Self::RoundedInches => Self::RoundedInches,
        }
    }

    /// For papers that have no room to say that lengths are rounded: each that is bears the mark.
    #[must_use]
    pub const fn each_marked(self) -> Self {
        match self {
            Self::Millimetres => self,
            Self::Inches | Self::RoundedInches => Self::Inches,
        }
    }

    /// A length to the nearest, without a unit: `1337.1`, `23 15/16`, `~52 5/8`.
    #[must_use]
    pub fn words(self, length: Length) -> String {
        self.rounded(length, nearest)
    }

    /// As [`Measure::words`], inches rounded up: what is cut so is not too small.
    #[must_use]
    pub fn up(self, length: Length) -> String {
        self.rounded(length, Length::round_up_to)
    }

    /// As [`Measure::words`], inches rounded down: at least so much is there.
    #[must_use]
    pub fn down(self, length: Length) -> String {
        self.rounded(length, Length::round_down_to)
    }

    /// As [`Measure::words`], millimetres to their last decimal: what a roll or a rule is called by.
    #[must_use]
    pub fn nominal(self, length: Length) -> String {
        match self {
            Self::Millimetres => length.to_string(),
            Self::Inches | Self::RoundedInches => self.words(length),
        }
    }

    /// Words of ours that name lengths in millimetres, as names of parts do: `end gore with 76.2 mm straight` is
    /// `end gore with 3 in straight`.
    #[must_use]
    pub fn in_text(self, text: &str) -> String {
        self.told(text, &[])
    }

    /// Sentences of ours, with lengths in millimetres and metres and areas in square metres, as they are told in this
    /// measure. Thicknesses of blanket are its names and stay, and so does what stands between backticks, which somebody
    /// wrote or is to write.
    #[must_use]
    pub fn told(self, text: &str, thicknesses: &[Length]) -> String {
        if self == Self::Millimetres || !text.contains(" m") {
            return text.to_owned();
        }
        let mut words: Vec<String> = text.split(' ').map(str::to_owned).collect();
        let mut quoted = false;
        for at in 0..words.len() {
            let ticks = words[at].matches('`').count();
            let inside = quoted || ticks > 0;
            quoted ^= ticks % 2 == 1;
            if inside || at == 0 {
                continue;
            }
            let end = words[at].trim_end_matches(|c: char| !c.is_ascii_alphanumeric()).len();
            let (unit, mark) = words[at].split_at(end);
            let Some((unit, of)) = self.of_unit(unit) else { continue };
            let next = words
                .get(at + 1)
                .map(|word| word.trim_end_matches(|c: char| !c.is_ascii_alphabetic()));
            if matches!(next, Some("thick" | "blanket")) {
                continue;
            }
            let told = format!("{unit}{mark}");
            let mut any = false;
            for number in numbers_before(&words, at) {
                let before = words[number].len() - bare(&words[number]).len();
                let after = words[number].trim_end_matches(',').len();
                let word = words[number][before..after].to_owned();
                if let Some(shown) = of(self, &word, thicknesses) {
                    words[number].replace_range(before..after, &shown);
                    any = true;
                }
            }
            if any {
                words[at] = told;
            }
        }
        words.join(" ")
    }

    /// How a number before a unit of ours is told in this measure, and its unit.
    fn of_unit(self, unit: &str) -> Option<(&'static str, OfNumber)> {
        match unit {
            "mm" => Some((self.unit(), |measure, word, names| {
                let length = Length::parse(word).ok().filter(|length| !names.contains(length))?;
                Some(measure.words(length))
            })),
            "m" => Some(("ft", |_, word, _| {
                let length = Length::parse(&format!("{word} m")).ok()?;
                let places = if word.contains('.') { 2 } else { 0 };
                let feet = length.mm_f64() / FOOT.mm_f64();
                let whole = is_multiple(length, FOOT);
                Some(if whole { format!("{feet:.0}") } else { format!("{feet:.places$}") })
            })),
            "m2" => Some(("ft2", |_, word, _| {
                let feet = word.parse::<f64>().ok()? / SQUARE_FOOT;
                Some(if word.contains('.') { format!("{feet:.1}") } else { format!("{feet:.0}") })
            })),
            _ => None,
        }
    }

    /// Some way in metres or feet, with its unit and so many decimals: `12.50 m`, `41.01 ft`.
    #[must_use]
    pub fn way(self, length: Length, places: usize) -> String {
        match self {
            Self::Millimetres => format!("{} m", length.metres(places)),
            Self::Inches | Self::RoundedInches => {
                format!("{:.places$} ft", length.mm_f64() / FOOT.mm_f64())
            }
        }
    }

    /// How long a roll or an offcut is, for a tape held to it: `12.5 m`, `8 ft 4 in`; inches rounded down.
    #[must_use]
    pub fn reach(self, length: Length) -> String {
        if self == Self::Millimetres {
            let metres = length.metres(3);
            return format!("{} m", metres.trim_end_matches('0').trim_end_matches('.'));
        }
        let feet = length.nm() / FOOT.nm();
        let inches = length - FOOT * feet;
        match (feet, inches) {
            (feet, Length::ZERO) => format!("{feet} ft"),
            (0, inches) => format!("{} in", self.down(inches)),
            (feet, inches) => format!("{feet} ft {} in", self.down(inches)),
        }
    }

    /// The length as sizes show it: in millimetres the nearest tenth, in inches the next multiple of 1/64, not less.
    #[must_use]
    pub fn marked(self, length: Length) -> Length {
        match self {
            Self::Millimetres => length.to_tenths(),
            Self::Inches | Self::RoundedInches => length.round_up_to(SIXTY_FOURTH),
        }
    }

    /// The nearest thousandth of an inch, which is shown in decimals; in millimetres the length itself.
    #[must_use]
    pub fn fine(self, length: Length) -> Length {
        match self {
            Self::Millimetres => length,
            Self::Inches | Self::RoundedInches => nearest(length, THOUSANDTH),
        }
    }

    /// Whether a length is shown as it is, without rounding it.
    #[must_use]
    pub fn is_even(self, length: Length) -> bool {
        self.marked(length) == length
    }

    fn rounded(self, length: Length, to: impl Fn(Length, Length) -> Length) -> String {
        match self {
            Self::Millimetres => length.to_tenths().to_string(),
            _ if length < Length::ZERO => format!("-{}", self.words(-length)),
            _ if is_multiple(length, SIXTY_FOURTH) => fraction(length),
            _ if is_multiple(length, THOUSANDTH) => decimals(length),
            Self::Inches => format!("{ROUNDED}{}", fraction(to(length, SIXTY_FOURTH))),
            Self::RoundedInches => fraction(to(length, SIXTY_FOURTH)),
        }
    }
}

/// A word without a bracket before it.
fn bare(word: &str) -> &str {
    word.trim_start_matches('(')
}

/// Where numbers stand that belong to the unit at a place: the one before it, and what is joined to that: `2 x 3 mm`,
/// `2, 3 and 4 mm`.
fn numbers_before(words: &[String], unit: usize) -> Vec<usize> {
    let is_number = |at: usize| {
        let word = bare(&words[at]).trim_end_matches(',');
        word.starts_with(|c: char| c.is_ascii_digit())
            && word.ends_with(|c: char| c.is_ascii_digit())
    };
    let mut all = Vec::new();
    let mut at = unit - 1;
    while is_number(at) {
        all.push(at);
        let joined = at >= 2 && ["x", "and", "or", "to"].contains(&words[at - 1].as_str());
        let listed = at >= 1 && words[at - 1].ends_with(',');
        match (joined, listed) {
            (true, _) => at -= 2,
            (_, true) => at -= 1,
            _ => break,
        }
    }
    all
}

fn nearest(length: Length, step: Length) -> Length {
    (length + Length::from_nm(step.nm() / 2)).round_down_to(step)
}

const fn is_multiple(length: Length, step: Length) -> bool {
    length.nm() % step.nm() == 0
}

/// Whole inches and a fraction, with a space between them at which no line is broken.
fn fraction(length: Length) -> String {
    let all = length.nm() / SIXTY_FOURTH.nm();
    let (whole, parts) = (all / 64, all % 64);
    let by = gcd(parts, 64).max(1);
    match (whole, parts / by, 64 / by) {
        (whole, 0, _) => whole.to_string(),
        (0, parts, of) => format!("{parts}/{of}"),
        (whole, parts, of) => format!("{whole}\u{a0}{parts}/{of}"),
    }
}

/// Inches with three decimals, less the zeros at their end.
fn decimals(length: Length) -> String {
    let all = length.nm() / THOUSANDTH.nm();
    let text = format!("{}.{:03}", all / 1000, all % 1000);
    text.trim_end_matches('0').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inches(text: &str) -> String {
        Measure::Inches.words(Length::parse(text).unwrap()).replace('\u{a0}', " ")
    }

    #[test]
    fn inches_are_read_as_on_a_tape() {
        for same in ["0", "48", "23 15/16", "1/8", "7 1/64", "103 63/64", "19.685", "0.001"] {
            assert_eq!(inches(&format!("{same} in")), same);
        }
        assert_eq!(inches("7'-6 1/2\""), "90 1/2");
        assert_eq!(inches("75 ft"), "900");
        // 0.0625 is 1/16, and 10/64 is 5/32.
        assert_eq!(
            (inches("0.0625 in"), inches("10/64 in")),
            ("1/16".to_owned(), "5/32".to_owned())
        );
    }

    /// 600 mm are 23.62205 in, between 23 39/64 (23.60938) and 23 5/8 (23.625); 1 mm is 2.52 sixty-fourths.
    #[test]
    fn what_is_no_sixty_fourth_is_rounded_as_it_is_safe_and_says_so() {
        let of = |mm| Length::from_mm(mm);
        let shown = |text: String| text.replace('\u{a0}', " ");
        let inches = Measure::Inches;
        assert_eq!(shown(inches.words(of(600))), "~23 5/8");
        assert_eq!(shown(inches.up(of(600))), "~23 5/8");
        assert_eq!(shown(inches.down(of(600))), "~23 39/64");
        assert_eq!(
            (inches.up(of(1)), inches.down(of(1))),
            ("~3/64".to_owned(), "~1/32".to_owned())
        );
        assert_eq!(inches.words(-of(1)), "-~3/64");
        let once = inches.all_rounded();
        assert_eq!((shown(once.up(of(600))), once.down(of(1))), ("23 5/8".into(), "1/32".into()));
        assert_eq!(
            (once.each_marked(), Measure::Millimetres.all_rounded()),
            (inches, Measure::Millimetres)
        );
        assert_eq!(inches.fine(of(500)), Length::parse("19.685 in").unwrap());
        assert!(inches.is_even(of(254)) && !inches.is_even(of(250)));
        let mm = Measure::Millimetres;
        assert!(mm.is_even(Length::from_nm(6_300_000)) && !mm.is_even(Length::from_nm(6_350_000)));
    }

    #[test]
    fn millimetres_stay_as_they_were() {
        let mm = Measure::Millimetres;
        let length = Length::from_nm(1_337_061_834);
        assert_eq!([mm.words(length), mm.up(length), mm.down(length)], ["1337.1"; 3]);
        assert_eq!(mm.nominal(length), "1337.061834");
        assert_eq!((mm.marked(length), mm.fine(length)), (Length::from_nm(1_337_100_000), length));
        assert_eq!(mm.way(Length::from_mm(12_500), 2), "12.50 m");
        assert_eq!(mm.reach(Length::from_mm(12_500)), "12.5 m");
        assert_eq!(mm.reach(Length::from_mm(60_000)), "60 m");
        // By hand: 100 in are 8 ft and 4 in, 12 in of 25.4 mm a foot.
        for (tape, told) in [(100, "8 ft 4 in"), (96, "8 ft"), (7, "7 in")] {
            assert_eq!(Measure::Inches.reach(Length::from_nm(25_400_000 * tape)), told);
        }
        // 75 ft are 22860 mm.
        assert_eq!(Measure::Inches.way(Length::from_mm(22_860), 2), "75.00 ft");
    }

    #[test]
    fn lengths_in_names_of_parts_are_told_in_the_measure() {
        let inches = |text: &str| Measure::Inches.in_text(text).replace('\u{a0}', " ");
        assert_eq!(inches("end gore with 76.2 mm straight"), "end gore with 3 in straight");
        let ends = "elbow in one piece with 152.4 and 38.1 mm straight at its ends, 2 round";
        let told = "elbow in one piece with 6 and 1 1/2 in straight at its ends, 2 round";
        assert_eq!(inches(ends), told);
        assert_eq!(inches("course 1 of 3, 2 turns"), "course 1 of 3, 2 turns");
        assert_eq!(Measure::Millimetres.in_text(ends), ends);
    }

    /// An inch is 25.4 mm, a foot 0.3048 m (1959 international yard and pound agreement).
    #[test]
    fn sentences_are_told_in_the_measure() {
        let ten = [Length::from_mm(10)];
        let inches = |text: &str| Measure::Inches.told(text, &ten).replace('\u{a0}', " ");
        for (said, told) in [
            ("the pipe is only 25.4 mm long", "the pipe is only 1 in long"),
            ("`P 30 mm` is 60.96 m long", "`P 30 mm` is 200 ft long"),
            ("write `25.4 mm`, or 25.4 mm", "write `25.4 mm`, or 1 in"),
            ("10 mm: 50.8 x 76.2 mm, 10 mm thick", "10 mm: 2 x 3 in, 10 mm thick"),
            ("25 mm blanket, 25.4 mm apart (50.8 mm).", "25 mm blanket, 1 in apart (2 in)."),
            ("(at 25.4, 50.8 mm)", "(at 1, 2 in)"),
            ("12.70 m2 of 100 m2; 7 m of cuts", "136.7 ft2 of 1076 ft2; 23 ft of cuts"),
            ("from 25.4 to 50.8 mm, 3 m2", "from 1 to 2 in, 32 ft2"),
            ("mm 3 mm", "mm ~1/8 in"),
            ("3 rolls, 25.4 mm", "3 rolls, 1 in"),
            ("NPS 8 Class 300: 419.1 mm", "NPS 8 Class 300: 16 1/2 in"),
        ] {
            assert_eq!(inches(said), told);
            // What is told once is not told again.
            assert_eq!(inches(&inches(said)), told);
            assert_eq!(Measure::Millimetres.told(said, &ten), said);
        }
    }

    proptest! {
        /// What is shown without the mark reads back to the same nanometre.
        #[test]
        fn what_is_not_rounded_reads_back(parts in 0_i64..1_000_000, thousandths in 0_i64..1_000_000) {
            for length in [SIXTY_FOURTH * parts, THOUSANDTH * thousandths] {
                let words = Measure::Inches.words(length);
                prop_assert!(!words.contains(ROUNDED));
                prop_assert_eq!(Length::parse(&format!("{words} in")), Ok(length));
            }
        }

        /// Rounded up it is not smaller, rounded down not larger, and neither by a sixty-fourth.
        #[test]
        fn rounding_is_on_the_safe_side(nm in 0_i64..100_000_000_000) {
            let length = Length::from_nm(nm);
            let read = |words: String| {
                Length::parse(&format!("{} in", words.trim_start_matches(ROUNDED))).unwrap()
            };
            let (up, down) = (read(Measure::Inches.up(length)), read(Measure::Inches.down(length)));
            prop_assert!(down <= length && length <= up);
            prop_assert!(up - length < SIXTY_FOURTH && length - down < SIXTY_FOURTH);
        }
    }
}
