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
    #[derive(Clone, Copy, PartialEq)]
    enum State {
        RecordStart,
        CellStart,
        Plain,
        Quoted { line: u64, column: u64 },
        Closed { line: u64, column: u64 },
    }
    let mut faults = Vec::new();
    let mut starts = Vec::new();
    let mut state = State::RecordStart;
    let (mut line, mut column) = (1_u64, 1_u64);
    for byte in text.bytes() {
        if state == State::RecordStart {
            column = 1;
            if byte != b'\n' {
                starts.push(line);
                state = State::CellStart;
            }
        }
        state = match (state, byte) {
            (State::Quoted { line, column }, b'"') => State::Closed { line, column },
            // The second of two quotes: still inside.
            (State::Closed { line, column }, b'"') => State::Quoted { line, column },
            (State::Quoted { .. }, _) => state,
            (_, b'\n') => State::RecordStart,
            (_, b',') => {
                column += 1;
                State::CellStart
            }
            (State::CellStart, b'"') => State::Quoted { line, column },
            (State::Closed { .. }, _) => {
                faults.push(Fault::TextAfter(line, column));
                State::Plain
            }
            (State::Plain | State::CellStart | State::RecordStart, _) => State::Plain,
        };
        if byte == b'\n' {
            line += 1;
        }
    }
    if let State::Quoted { line, column } = state {
        faults.push(Fault::Open(line, column));
    }
    (faults, starts)
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
