//! Double quotes that do not match, and the line on which each record starts.
//!
//! A cell that starts with `"` runs to the next single `"`; `""` inside it stands for one `"`. A
//! `"` inside a cell that does not start with one is an ordinary character (an inch mark).

/// What is wrong with a quotation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// Opened on this line, in this column, and never closed.
    Open(u64, u64),
    /// Closed on this line, in this column, with text after it.
    TextAfter(u64, u64),
}

/// The faults, and each record's first line; empty lines are no records.
pub(super) fn scan(text: &str) -> (Vec<Fault>, Vec<u64>) {
    let mut scan = Scan::new();
    text.bytes().for_each(|byte| scan.step(byte));
    if let State::Quoted { line, column } = scan.state {
        scan.faults.push(Fault::Open(line, column));
    }
    (scan.faults, scan.starts)
}

/// The cell in which the next character after a text stands: the first line of its record, and its number there.
pub(super) fn cell_after(text: &str) -> (u64, u64) {
    let mut scan = Scan::new();
    text.bytes().for_each(|byte| scan.step(byte));
    match scan.state {
        State::RecordStart => (scan.line, 1),
        _ => (scan.starts.last().copied().unwrap_or(1), scan.column),
    }
}

#[derive(Clone, Copy, PartialEq)]
enum State {
    RecordStart,
    CellStart,
    Plain,
    Quoted { line: u64, column: u64 },
    Closed { line: u64, column: u64 },
}

/// How far a text is gone through, byte by byte.
struct Scan {
    faults: Vec<Fault>,
    starts: Vec<u64>,
    state: State,
    line: u64,
    column: u64,
}

impl Scan {
    const fn new() -> Self {
        Self {
            faults: Vec::new(),
            starts: Vec::new(),
            state: State::RecordStart,
            line: 1,
            column: 1,
        }
    }

    fn step(&mut self, byte: u8) {
        if self.state == State::RecordStart {
            self.column = 1;
            if byte != b'\n' {
                self.starts.push(self.line);
                self.state = State::CellStart;
            }
        }
        self.state = match (self.state, byte) {
            (State::Quoted { line, column }, b'"') => State::Closed { line, column },
            // The second of two quotes: still inside.
            (State::Closed { line, column }, b'"') => State::Quoted { line, column },
            (State::Quoted { .. }, _) => self.state,
            (_, b'\n') => State::RecordStart,
            (_, b',') => {
                self.column += 1;
                State::CellStart
            }
            (State::CellStart, b'"') => State::Quoted { line: self.line, column: self.column },
            (State::Closed { line, column }, _) => {
                self.faults.push(Fault::TextAfter(line, column));
                State::Plain
            }
            (State::Plain | State::CellStart | State::RecordStart, _) => State::Plain,
        };
        if byte == b'\n' {
            self.line += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn records_start_where_they_start() {
        let (faults, starts) = scan("a,b\n\n1,\"x\ny\"\n\n\n2,3\n");
        assert_eq!((faults, starts), (vec![], vec![1, 3, 7]));
    }

    #[test]
    fn inch_marks_are_no_quotations() {
        assert_eq!(scan("a,7'-6 1/2\",c\n").0, vec![]);
        assert_eq!(scan("a,\"6 1/2\"\"\",c\n").0, vec![]);
    }

    #[test]
    fn faults_name_line_and_column() {
        assert_eq!(scan("a,b\n1,\"x\n2,3\n").0, vec![Fault::Open(2, 2)]);
        assert_eq!(scan("a,b\n\"x\"y,3\n").0, vec![Fault::TextAfter(2, 1)]);
    }
}
