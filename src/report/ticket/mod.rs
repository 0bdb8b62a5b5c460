//! What the shop cuts by, without regard to paper: tickets, kit lists and labels. Every form of
//! them (a page to print, a file for a printer) draws on this model and adds nothing of its own.
//!
//! * A [`Ticket`] goes with one roll or offcut, in the order of cutting: where from the roll's front
//!   each pull is cut across, where it is ripped, and which pieces come of it, for which kits.
//! * A [`KitList`] names all that one item needs, inner layer first, and when it is whole.
//! * A [`Label`] goes on one piece, or on one offcut that is kept.
//!
//! Neighbouring like pulls of a ticket are one [`Block`]. Nothing here carries a size, a layer or a
//! kind by colour or by a count of marks: words do.

mod kits;
mod labels;
mod lines;
mod make;
mod work;

pub use kits::{KitLine, KitList, kits};
pub use labels::{Label, labels};
pub use lines::{Line, counted_from, crosses, places_in_words, rips, rips_from};
pub use make::{tickets, works};
pub use work::{Work, in_hours, work};

/// The job, which of its plans this is from its second plan on, and the plan's mark: `vellmoor, plan 2, mark K7W4`.
#[must_use]
pub fn plan_in_words(plan: &Plan) -> String {
    let which = match plan.revision() {
        1 => String::new(),
        later => format!(", plan {later}"),
    };
    format!("{}{which}, mark {}", plan.name, plan.mark())
}

use crate::plan::{Plan, Side};
use crate::report::text::visible;
use crate::units::{Length, Measure, counted, joined};

/// The sheet for one roll or offcut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ticket {
    /// Its number, from 1, in the order in which rolls are begun.
    pub number: u64,
    /// What it is called: `T1`, of a job's second plan `T1r2`.
    pub name: String,
    /// Index of its layout among the plan's rolls.
    pub layout: usize,
    /// The roll product's or the offcut's name.
    pub roll: String,
    /// Where it is taken from, in words, where it is not bought.
    pub from: Option<String>,
    /// Blanket thickness in words: `10 mm`.
    pub thickness: String,
    /// Nominal width.
    pub width: Length,
    /// Nominal length; absent for a roll without end.
    pub length: Option<Length>,
    /// Cut off the roll's front to square it; zero where nothing is.
    pub square_cut: Length,
    /// Whether its front is square already, as a pull was cut off there.
    pub squared: bool,
    /// Trimmed off each long edge; zero where nothing is.
    pub edge_trim: Length,
    /// What is cut, from the roll's front.
    pub blocks: Vec<Block>,
    /// What is left and goes on the shelf.
    pub kept: Vec<Kept>,
    /// All its work.
    pub work: Work,
}

/// Like pulls that follow one another on a roll, without another ticket between them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// The pulls.
    pub pulls: Vec<Drawn>,
    /// Length of each.
    pub length: Length,
    /// Where rips run, edge trims among them.
    pub rips: Vec<Line>,
    /// Where cross-cuts inside the pull run.
    pub crosses: Vec<Line>,
    /// Blanks whose pieces no straight cut parts.
    pub shared: Vec<SharedBlank>,
    /// The cuts of one, in order.
    pub cuts: Vec<CutLine>,
    /// The pieces.
    pub pieces: Vec<BlockPiece>,
    /// Whether another ticket is cut before this block, so that the roll comes back on the table.
    pub comes_back: bool,
    /// What is cut after it, where that is from another roll.
    pub next: Option<Next>,
}

/// Pulls of another ticket that are cut next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Next {
    /// The ticket's name.
    pub ticket: String,
    /// The first and the last of the pulls.
    pub pulls: (u64, u64),
    /// With which pull this roll comes back.
    pub back: Option<u64>,
}

impl Next {
    /// In words.
    #[must_use]
    pub fn in_words(&self) -> String {
        let pulls = match self.pulls {
            (first, last) if first == last => format!("pull {first}"),
            (first, last) => format!("pulls {first} to {last}"),
        };
        let back = self.back.map(|pull| format!("; this roll comes back with pull {pull}"));
        format!("Next: {}, {pulls}{}", visible(&self.ticket), back.unwrap_or_default())
    }
}

/// A blank inside a pull that several pieces share, which no straight cut parts: an edge between two of them is one cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SharedBlank {
    /// Where it begins and ends across the roll, from the left edge as it comes.
    pub across: (Length, Length),
    /// Where it begins and ends along the roll, from the pull's near end.
    pub along: (Length, Length),
    /// Its sides along which nothing is cut; it is called a box then.
    pub open: Vec<Side>,
    /// Its pieces.
    pub pieces: Vec<InBlank>,
}

/// A piece in a shared blank.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InBlank {
    /// Its code.
    pub code: String,
    /// Where its box begins from the blank's near left corner, across.
    pub across: Length,
    /// And along.
    pub along: Length,
    /// What it is.
    pub shape: Shape,
}

/// What a piece in a shared blank is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Cut along its outline.
    Curved {
        /// Quarter turns against the clock from how its template is printed, in 0..4.
        quarters: u8,
    },
    /// A rectangle, as it lies: in a hollow of curved pieces, or in a free layout.
    Rectangle {
        /// Size across.
        width: Length,
        /// Size along.
        length: Length,
    },
}

impl SharedBlank {
    /// What to do with it, in words; for every form of the ticket.
    #[must_use]
    pub fn in_words(&self, measure: Measure) -> String {
        let words = |length| measure.words(length);
        let span = |(from, to): (Length, Length)| format!("{} to {}", words(from), words(to));
        let (mut curved, mut rectangles) = (Vec::new(), Vec::new());
        for piece in &self.pieces {
            let InBlank { code, across, along, shape } = piece;
            let at = format!("{code} at {} across, {} along", words(*across), words(*along));
            match *shape {
                Shape::Curved { quarters } => {
                    curved.push(format!("{at}{}", turned_in_words(quarters)));
                }
                Shape::Rectangle { width, length } => {
                    let (width, length) = (measure.up(width), measure.up(length));
                    rectangles.push(format!("{at}, {width} x {length}"));
                }
            }
        }
        let at = format!("{} across, {} along", span(self.across), span(self.along));
        let (blank, name) = if self.open.is_empty() {
            (format!("Blank {at}, shared by"), "blank")
        } else {
            (format!("Box {at}, round"), "box")
        };
        let uncut = self.uncut();
        if curved.is_empty() {
            return format!(
                "{blank} {} that no straight cuts from edge to edge part. {uncut}Mark them from the {name}'s \
                 near left corner and cut them free with the knife: {}. An edge that two share is one cut.",
                counted(rectangles.len() as u64, "rectangle", "rectangles"),
                rectangles.join("; ")
            );
        }
        let mut by = counted(curved.len() as u64, "curved piece", "curved pieces");
        let mut first = String::new();
        if !rectangles.is_empty() {
            let free = counted(rectangles.len() as u64, "rectangle", "rectangles");
            by = format!("{by} and {free}");
            first = format!(
                "Rectangles that no straight cut parts from curves are measured from the same corner \
                 and cut free with the knife first: {}. ",
                rectangles.join("; ")
            );
        }
        let templates = if curved.len() == 1 { "its template" } else { "their templates" };
        format!(
            "{blank} {by}. {uncut}Lay {templates} from the {name}'s near left corner: {}. {first}An edge that two \
             share is one cut.",
            curved.join("; ")
        )
    }

    /// What is said of sides along which nothing is cut; nothing where there are none.
    fn uncut(&self) -> String {
        let name = |side: &Side| match side {
            Side::Near => "near",
            Side::Left => "left",
            Side::Right => "right",
            Side::Far => "far",
        };
        let names: Vec<&str> = self.open.iter().map(name).collect();
        if names.is_empty() {
            return String::new();
        }
        let (names, sides) = (joined(&names), if names.len() == 1 { "side" } else { "sides" });
        format!(
            "The box is to measure by: along its {names} {sides} nothing is cut, and only the pieces are cut out of the sheet. "
        )
    }
}

/// How a template is turned before it is laid, behind a comma; nothing where it lies as it is printed. A quarter
/// turn has its side: what is not alike at both ends would else be cut the wrong way round.
const fn turned_in_words(quarters: u8) -> &'static str {
    match quarters {
        1 => ", turned a quarter to the left",
        2 => ", turned end for end",
        3 => ", turned a quarter to the right",
        _ => "",
    }
}

/// One pull: its number in the order of all, and its running dimensions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Drawn {
    /// Its number in the order of cutting over all rolls, from 1.
    pub number: u64,
    /// Where it starts, from the roll's front.
    pub from: Length,
    /// Where it is cut across, from the roll's front.
    pub to: Length,
    /// The number of its drawing, under which a file for the cutting table is found too.
    pub drawing: u64,
}

impl Block {
    /// The numbers of the drawings of its pulls, each once.
    #[must_use]
    pub fn drawings(&self) -> Vec<u64> {
        let mut all: Vec<u64> = self.pulls.iter().map(|pull| pull.drawing).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// `2050 long, 3 pulls, drawing 12`: what stands above a block in every form of the ticket.
    #[must_use]
    pub fn heading(&self, measure: Measure) -> String {
        let pulls = match self.pulls.len() {
            1 => String::new(),
            many => format!(", {many} pulls"),
        };
        let drawings: Vec<String> = self.drawings().iter().map(u64::to_string).collect();
        let word = if drawings.len() == 1 { "drawing" } else { "drawings" };
        format!("{} long{pulls}, {word} {}", measure.up(self.length), drawings.join(" and "))
    }

    /// `pull 7: 50 to 2100`, with its drawing where those of the block differ.
    #[must_use]
    pub fn pull_in_words(&self, pull: &Drawn, measure: Measure) -> String {
        let drawing = match self.drawings().len() {
            1 => String::new(),
            _ => format!(" (drawing {})", pull.drawing),
        };
        let (from, to) = (measure.words(pull.from), measure.words(pull.to));
        format!("pull {}: {from} to {to}{drawing}", pull.number)
    }
}

/// A cut in words, with its dimensions inside the pull.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutLine {
    /// `cross-cut`, `rip`, `trim` or `outline`.
    pub what: &'static str,
    /// From here: across the roll from its left edge as it comes, along it from the pull's near end.
    pub from: (Length, Length),
    /// To here.
    pub to: (Length, Length),
    /// The piece whose outline it is.
    pub piece: Option<String>,
}

/// Like pieces of a block's pulls, and where they go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockPiece {
    /// The code to write on it.
    pub code: String,
    /// Size across the roll, as it lies.
    pub across: Length,
    /// Size along the roll, as it lies.
    pub along: Length,
    /// Whether it is cut along an outline.
    pub outlined: bool,
    /// Whether it lies with its length across the roll.
    pub turned: bool,
    /// Quarter turns against the clock of its template from how it is printed, in 0..4, where it lies alone in its
    /// blank; 0 otherwise, as a shared blank tells how each lies.
    pub template: u8,
    /// How many all pulls of the block yield.
    pub count: u64,
    /// Where they go.
    pub goes: Vec<Going>,
}

impl BlockPiece {
    /// How it lies, in words, where it is turned: its template's turn, and its size as its label, the lists and the
    /// schedule have it. Empty where it lies as they say.
    #[must_use]
    pub fn lies_in_words(&self, measure: Measure) -> String {
        let turn = match self.template {
            0 if self.turned => "lies turned".to_owned(),
            quarters => turned_in_words(quarters).replacen(", ", "template ", 1),
        };
        if !self.turned || self.across == self.along {
            return turn;
        }
        let (width, length) = (measure.up(self.along), measure.up(self.across));
        format!("{turn} (label: {width} × {length})")
    }

    /// How many boxes to tick stand beside it: one each, or one for all where they are many.
    #[must_use]
    pub fn ticks(&self) -> u64 {
        if self.count <= 6 { self.count } else { 1 }
    }
}

/// Where some pieces go.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Going {
    /// The kit's number; `None` is a spare.
    pub kit: Option<u64>,
    /// The item.
    pub item: String,
    /// Which layer, 1 innermost; 0 for a spare.
    pub layer: u32,
    /// Which part of the item, in words.
    pub part: String,
    /// Where its seam lies, in words; may be empty.
    pub seam: String,
    /// How many.
    pub count: u64,
}

/// An offcut that goes on the shelf.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Its short name on label and ticket: `T12 left 1`, `T12r2 left 1`.
    pub name: String,
    /// What it is called in `offcuts.csv`, and so by the job that it is put beside.
    pub listed: String,
    /// Where it starts along the roll.
    pub from: Length,
    /// Size across.
    pub width: Length,
    /// Size along, as the ticket is set out.
    pub length: Length,
}

impl Kept {
    /// Its size in words, not larger than it is.
    #[must_use]
    pub fn size_in_words(&self, measure: Measure) -> String {
        size_left(self.width, self.length, measure)
    }
}

/// The size of what is left.
fn size_left(width: Length, length: Length, measure: Measure) -> String {
    format!("{} × {}", measure.down(width), measure.down(length))
}

/// In what a ticket's dimensions are, and how inches are rounded.
#[must_use]
const fn dimensions_in_words(measure: Measure) -> &'static str {
    match measure {
        Measure::Millimetres => "All dimensions in mm",
        Measure::Inches => {
            "All dimensions in inches (~ before one: rounded to 1/64, a piece's size up, what is left down)"
        }
        Measure::RoundedInches => {
            "All dimensions in inches, rounded to 1/64: a piece's size up, what is left down"
        }
    }
}

impl Ticket {
    /// In what its dimensions are; said also where a roll had no room for sixty-fourths.
    #[must_use]
    pub fn dimensions_in_words(&self, measure: Measure) -> String {
        let words = dimensions_in_words(measure);
        let odd = |length: &Length| !measure.is_even(*length);
        let block = |block: &Block| {
            let lines = block.rips.iter().chain(&block.crosses);
            odd(&block.length) || lines.map(|line| line.at).any(|at| odd(&at))
        };
        if measure == Measure::Millimetres || !self.blocks.iter().any(block) {
            return words.to_owned();
        }
        format!(
            "{words}; places with a point are in thousandths of an inch, where the roll has no room for rounding"
        )
    }
}

/// What stands above the kit lists.
#[must_use]
pub fn kits_in_words(measure: Measure) -> String {
    format!(
        "A kit is all that one item needs, listed with the inner layer first, as it is wrapped: stack it from the \
         end of its list, so that the inner layer comes to lie on top. {}.",
        dimensions_in_words(measure)
    )
}

/// The handling cautions that stand on every ticket and sheet of labels.
pub const CAUTIONS: [&str; 3] = [
    "Dust: mask, eye protection, gloves, long sleeves; extraction at the table; vacuum, never sweep.",
    "Knives: sharp blade, cut away from yourself, cut-resistant gloves. Rolls are heavy: two people.",
    "The project's specification and the product's safety data sheet come before this sheet.",
];

#[cfg(test)]
mod tests {
    use super::*;

    /// A piece that lies turned tells its template's side, and its size in the order of its label.
    #[test]
    fn a_turned_piece_tells_its_side_and_the_size_on_its_label() {
        let words = |template: u8, turned: bool, along: i64| {
            let piece = BlockPiece {
                code: "A1".to_owned(),
                across: Length::from_mm(209),
                along: Length::from_mm(along),
                outlined: true,
                turned,
                template,
                count: 1,
                goes: Vec::new(),
            };
            piece.lies_in_words(Measure::Millimetres)
        };
        assert_eq!(words(0, false, 216), "");
        assert_eq!(words(0, true, 216), "lies turned (label: 216 × 209)");
        assert_eq!(words(1, true, 216), "template turned a quarter to the left (label: 216 × 209)");
        assert_eq!(words(2, false, 216), "template turned end for end");
        assert_eq!(words(3, true, 209), "template turned a quarter to the right");
    }

    /// A quarter turn is told with its side: a half gore that is turned to the wrong one has its straight edge where
    /// the curved one belongs.
    #[test]
    fn a_shared_blank_tells_how_each_template_is_turned() {
        let mm = Length::from_mm;
        let member = |quarters: u8| InBlank {
            code: "A1".to_owned(),
            across: mm(10 * i64::from(quarters)),
            along: Length::ZERO,
            shape: Shape::Curved { quarters },
        };
        let blank = SharedBlank {
            across: (mm(5), mm(405)),
            along: (Length::ZERO, mm(800)),
            open: Vec::new(),
            pieces: (0..4).map(member).collect(),
        };
        assert_eq!(
            blank.in_words(Measure::Millimetres),
            "Blank 5 to 405 across, 0 to 800 along, shared by 4 curved pieces. Lay their templates from the blank's \
             near left corner: A1 at 0 across, 0 along; A1 at 10 across, 0 along, turned a quarter to the left; A1 \
             at 20 across, 0 along, turned end for end; A1 at 30 across, 0 along, turned a quarter to the right. An \
             edge that two share is one cut."
        );
    }

    /// In a free layout the box round pieces is no blank where something else lies beside it uncut.
    #[test]
    fn a_box_that_is_not_cut_all_round_is_called_one_and_says_where() {
        let mm = Length::from_mm;
        let member = |along: i64| InBlank {
            code: "A1".to_owned(),
            across: Length::ZERO,
            along: mm(along),
            shape: Shape::Curved { quarters: 0 },
        };
        let blank = |open: Vec<Side>| SharedBlank {
            across: (Length::ZERO, mm(400)),
            along: (Length::ZERO, mm(800)),
            open,
            pieces: vec![member(0), member(300)],
        };
        assert_eq!(
            blank(vec![Side::Right, Side::Far]).in_words(Measure::Millimetres),
            "Box 0 to 400 across, 0 to 800 along, round 2 curved pieces. The box is to measure by: along its right and \
             far sides nothing is cut, and only the pieces are cut out of the sheet. Lay their templates from the \
             box's near left corner: A1 at 0 across, 0 along; A1 at 0 across, 300 along. An edge that two share is \
             one cut."
        );
        let one = blank(vec![Side::Left]).in_words(Measure::Millimetres);
        assert!(one.contains("along its left side nothing is cut"), "{one}");
        assert!(
            blank(Vec::new()).in_words(Measure::Millimetres).starts_with("Blank 0 to 400 across, ")
        );
    }
}
