//! Text and tables that flow over pages: a head on every page, below it what comes, at the
//! foot the bar to measure a print by and the page's number.

use super::{Anchor, Page, Setting, lines, shortened_to, width};
use crate::units::{Measure, SheetSize};

/// Width between the margins: that of A4 less 12 mm on either side, so that papers look alike on every sheet.
pub(super) const ROOM: f64 = 186.0;
/// Nothing but the foot stands below this.
const BOTTOM: f64 = 22.0;
/// Paragraphs up to this height are kept on one page.
const KEPT: f64 = 80.0;
/// Free above the first line.
const ABOVE: f64 = 13.0;

/// A column of a table.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub(super) heading: &'static str,
    pub(super) width: f64,
    pub(super) right: bool,
    pub(super) setting: Setting,
}

/// Pages in the making.
pub(super) struct Flow {
    sheet: SheetSize,
    /// Free at either side.
    margin: f64,
    done: Vec<Page>,
    page: Page,
    y: f64,
    left: String,
    right: String,
    /// What is under way, named again on a page that begins in the middle of it.
    about: String,
}

/// A row of a table: boxes to tick, then the words of its columns.
pub(super) struct Row {
    pub(super) ticks: u64,
    pub(super) words: Vec<String>,
}

/// Boxes side by side in a row of a table.
const BESIDE: u64 = 3;
/// Side of such a box, and from one to the next.
const BOX: f64 = 3.4;
const BOX_STEP: f64 = 4.4;

impl Flow {
    /// Begins on a new page.
    pub(super) fn new(sheet: SheetSize) -> Self {
        let page = Page::of(sheet);
        Self {
            sheet,
            margin: (page.width() - ROOM) / 2.0,
            done: Vec::new(),
            y: page.height() - ABOVE,
            page,
            left: String::new(),
            right: String::new(),
            about: String::new(),
        }
    }

    /// Begins a part on a page of its own, under a head that stands on all its pages.
    pub(super) fn part(&mut self, left: &str, right: &str) {
        if !self.left.is_empty() {
            self.next_page();
        }
        left.clone_into(&mut self.left);
        right.clone_into(&mut self.right);
        self.about.clear();
        self.head(false);
    }

    fn next_page(&mut self) {
        let full = std::mem::replace(&mut self.page, Page::of(self.sheet));
        self.done.push(full);
        self.y = self.page.height() - ABOVE;
    }

    fn head(&mut self, again: bool) {
        let left = if again { format!("{}, continued", self.left) } else { self.left.clone() };
        let big = if again { Setting::bold(5.0) } else { Setting::bold(8.0) };
        let left = shortened_to(&left, big.face, big.size, ROOM * 0.66);
        let small = Setting { anchor: Anchor::End, ..Setting::plain(4.0) };
        let right = shortened_to(&self.right, small.face, small.size, ROOM * 0.32);
        self.y -= big.size * 0.8;
        self.page.words((self.margin, self.y), big, &left);
        self.page.words((self.margin + ROOM, self.y), small, &right);
        self.y -= 2.0;
        self.page.line((self.margin, self.y), (self.margin + ROOM, self.y), 0.8);
        self.y -= 1.5;
        if again && !self.about.is_empty() {
            let bold = Setting::bold(4.2);
            let text = format!("{}, continued", self.about);
            let text = shortened_to(&text, bold.face, bold.size, ROOM);
            self.y -= bold.size * 1.25;
            self.page.words((self.margin, self.y), bold, &text);
            self.y -= 1.5;
        }
    }

    /// Says what comes now, up to the next such call; empty: nothing that has a name.
    pub(super) fn about(&mut self, what: &str) {
        what.clone_into(&mut self.about);
    }

    /// Sees that so much room is left on the page.
    pub(super) fn need(&mut self, height: f64) {
        if self.y - height < BOTTOM {
            self.next_page();
            self.head(true);
        }
    }

    /// How high something is on an empty page; nothing where one page does not hold it.
    pub(super) fn height(&self, draw: impl FnOnce(&mut Self)) -> Option<f64> {
        let mut empty = Self::new(self.sheet);
        let top = empty.y;
        draw(&mut empty);
        empty.done.is_empty().then_some(top - empty.y)
    }

    /// Leaves some room.
    pub(super) fn gap(&mut self, height: f64) {
        self.y -= height;
    }

    /// A line across.
    pub(super) fn rule(&mut self, thickness: f64) {
        self.gap(1.0);
        self.page.line((self.margin, self.y), (self.margin + ROOM, self.y), thickness);
        self.gap(1.0);
    }

    /// A paragraph; with a box to tick before its first line.
    pub(super) fn paragraph(&mut self, setting: Setting, tick: bool, text: &str) {
        let step = setting.size * 1.25;
        let indent = if tick { setting.size * 1.4 } else { 0.0 };
        let lines = lines(text, setting.face, setting.size, ROOM - indent);
        // Places that belong together are read on one page.
        let whole = lines.iter().map(|_| step).sum::<f64>();
        if whole <= KEPT {
            self.need(whole);
        }
        for (at, line) in lines.into_iter().enumerate() {
            self.need(step);
            self.y -= step;
            if tick && at == 0 {
                let side = setting.size * 0.9;
                self.page.frame((self.margin, self.y - 0.3), side, side, 0.4);
            }
            self.page.words((self.margin + indent, self.y + setting.size * 0.1), setting, &line);
        }
    }

    /// A table: boxes to tick at the left, as many columns of them as `ticks` is wide; rows with rules between them, words wrapped within their columns and begun anew at
    /// line ends, the headings again
    /// on every page.
    pub(super) fn table(&mut self, ticks: f64, columns: &[Column], rows: &[Row]) {
        self.need(12.0);
        self.headings(ticks, columns);
        for row in rows {
            let cells: Vec<Vec<String>> = columns
                .iter()
                .zip(&row.words)
                .map(|(column, text)| {
                    let Setting { face, size, .. } = column.setting;
                    text.split('\n')
                        .flat_map(|text| lines(text, face, size, column.width - 2.0))
                        .collect()
                })
                .collect();
            let high = |(column, lines): (&Column, &Vec<String>)| {
                lines.iter().map(|_| column.setting.size * 1.2).sum::<f64>()
            };
            let boxes = (0..row.ticks.div_ceil(BESIDE)).map(|_| BOX_STEP).sum::<f64>();
            let height = columns.iter().zip(&cells).map(high).fold(boxes.max(4.0), f64::max) + 1.2;
            // A row that is higher than a page is cut: nobody reads so much in a cell.
            if self.y - height < BOTTOM {
                self.next_page();
                self.head(true);
                self.headings(ticks, columns);
            }
            let (mut x, mut y) = (self.margin, self.y);
            for at in 0..row.ticks {
                if at % BESIDE == 0 {
                    (x, y) = (self.margin, y - BOX_STEP);
                }
                self.page.frame((x, y), BOX, BOX, 0.4);
                x += BOX_STEP;
            }
            let mut x = self.margin + ticks;
            for (column, lines) in columns.iter().zip(&cells) {
                let mut y = self.y;
                for line in lines {
                    y -= column.setting.size * 1.2;
                    if y < BOTTOM - 2.0 {
                        break;
                    }
                    self.cell((x, y + 0.6), column, line);
                }
                x += column.width;
            }
            self.y = (self.y - height).max(BOTTOM - 3.0);
            self.page.line((self.margin, self.y), (self.margin + ROOM, self.y), 0.18);
        }
        self.gap(2.0);
    }

    fn cell(&mut self, (x, y): (f64, f64), column: &Column, text: &str) {
        if column.right {
            let setting = Setting { anchor: Anchor::End, ..column.setting };
            self.page.words((x + column.width - 2.0, y), setting, text);
        } else {
            self.page.words((x, y), column.setting, text);
        }
    }

    fn headings(&mut self, ticks: f64, columns: &[Column]) {
        self.y -= 4.0;
        let mut x = self.margin + ticks;
        for column in columns {
            let head = Column { setting: Setting::plain(2.9), ..*column };
            self.cell((x, self.y), &head, column.heading);
            x += column.width;
        }
        self.y -= 1.0;
        self.page.line((self.margin, self.y), (self.margin + ROOM, self.y), 0.35);
    }

    /// Short words beside each other, each with a box to tick, on as many lines as it takes.
    pub(super) fn ticks(&mut self, setting: Setting, words: &[String]) {
        let (step, side) = (setting.size * 1.45, setting.size * 0.9);
        let widest = words
            .iter()
            .map(|text| width(text, setting.face, setting.size))
            .fold(0.0, f64::max)
            .min(ROOM - side - 2.0);
        let mut x = self.margin;
        self.need(step);
        self.y -= step;
        for text in words {
            let text = shortened_to(text, setting.face, setting.size, ROOM - side - 2.0);
            let wide = side + 1.5 + widest;
            if x > self.margin && x + wide > self.margin + ROOM {
                self.need(step);
                self.y -= step;
                x = self.margin;
            }
            self.page.frame((x, self.y), side, side, 0.4);
            self.page.words((x + side + 1.5, self.y + setting.size * 0.12), setting, &text);
            x += wide + 5.0;
        }
        self.y -= 1.0;
    }

    /// The cautions in a frame.
    pub(super) fn cautions(&mut self, cautions: &[&str]) {
        let setting = Setting::plain(3.0);
        let text: Vec<String> = cautions
            .iter()
            .flat_map(|text| lines(text, setting.face, setting.size, ROOM - 4.0))
            .collect();
        let step = 3.7;
        let height = text.iter().map(|_| step).sum::<f64>() + 2.0;
        self.need(height + 2.0);
        self.y -= 1.5;
        self.page.frame((self.margin, self.y - height), ROOM, height, 0.3);
        let mut y = self.y - 0.4;
        for line in text {
            y -= step;
            self.page.words((self.margin + 2.0, y), setting, &line);
        }
        self.y -= height + 1.5;
    }

    /// All pages, each with its foot.
    pub(super) fn pages(self, measure: Measure) -> Vec<Page> {
        self.pages_before(0, measure)
    }

    /// As [`Flow::pages`], with so many more behind them in the same file.
    pub(super) fn pages_before(mut self, more: usize, measure: Measure) -> Vec<Page> {
        self.done.push(self.page);
        let count = self.done.len() + more;
        for (at, page) in self.done.iter_mut().enumerate() {
            page.bar((self.margin, 12.0), measure);
            let setting = Setting { anchor: Anchor::End, ..Setting::plain(3.2) };
            let text = format!("page {} of {count}", at + 1);
            page.words((self.margin + ROOM, 8.5), setting, &text);
        }
        self.done
    }
}
