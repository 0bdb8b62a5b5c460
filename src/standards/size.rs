//! A pipe size as a takeoff writes it: `NPS 6`, `DN 150`, `OD 168.3`.

use super::figure::Figure;
use super::nominal::{nps_64ths, nps_text};
use super::pipe::{Diameters, PipeRow, pipe_rows};
use crate::units::{Length, UnitError};

/// A size as the takeoff gave it, with its outside diameter.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Size {
    /// As written, for people: `NPS 6`, `DN 150`, `OD 168.3`.
    pub text: String,
    /// Outside diameter of the bare pipe.
    pub od: Length,
    /// Nominal size in sixty-fourths of an inch, where it is a standard one.
    pub nps_64ths: Option<u32>,
}

/// Why a text is no size.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SizeError {
    /// Neither `NPS`, `DN` nor `OD` before it.
    #[error("it does not say whether it is NPS, DN or OD")]
    NoSystem,
    /// No number after the word.
    #[error("{0} must be followed by a number and nothing else")]
    NoNumber(&'static str),
    /// Not in the table.
    #[error("there is no {0} in the tables; near it: {1}")]
    NotInTable(String, String),
    /// Not a length.
    #[error("the diameter cannot be read: {0}")]
    Diameter(UnitError),
    /// Too small or too large.
    #[error("an outside diameter is from {0} to {1} mm")]
    Range(Length, Length),
}

impl SizeError {
    /// What to do about it.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::NoSystem | Self::NoNumber(_) => {
                "write `NPS 6`, `NPS 1-1/2`, `DN 150`, `OD 168.3` or `OD 6 5/8 in`"
            }
            Self::NotInTable(..) => {
                "correct the size, or give the measured outside diameter, such as `OD 168.3`"
            }
            Self::Diameter(_) | Self::Range(..) => {
                "give the outside diameter in millimetres or with its unit, such as `OD 168.3` or \
                 `OD 6 5/8 in`"
            }
        }
    }
}

impl Size {
    /// Smallest outside diameter: 5 mm, below any pipe.
    pub const LEAST: Length = Length::from_mm(5);
    /// Largest outside diameter: 20 m, above vessels that are wrapped in blanket.
    pub const MOST: Length = Length::from_mm(20_000);

    /// Reads a size, and gives the table's figure where one was used.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str, dn_means: Diameters) -> Result<(Self, Option<Figure>), SizeError> {
        let text = text.trim();
        let letters = text.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(text.len());
        let (word, rest) = text.split_at(letters);
        let rest = rest.trim_start_matches([' ', '\u{A0}', ':', '=']).trim();
        match word.to_ascii_uppercase().as_str() {
            "NPS" => Self::nominal(rest),
            "DN" => Self::metric(rest, dn_means),
            "OD" => Self::measured(rest).map(|size| (size, None)),
            _ => Err(SizeError::NoSystem),
        }
    }

    fn nominal(rest: &str) -> Result<(Self, Option<Figure>), SizeError> {
        let bare = rest.trim_end_matches(['"', '″']);
        let bare = bare.strip_suffix("in").unwrap_or(bare).trim_end();
        let size = nps_64ths(bare).ok_or(SizeError::NoNumber("NPS"))?;
        let row = pipe_rows().iter().find(|row| row.nps_64ths == size).ok_or_else(|| {
            let near = neighbours(|row| row.nps_64ths < size, |row| nps_text(row.nps_64ths));
            SizeError::NotInTable(format!("NPS {}", nps_text(size)), near)
        })?;
        Ok(Self::of_row(format!("NPS {}", nps_text(size)), row, row.asme))
    }

    fn metric(rest: &str, dn_means: Diameters) -> Result<(Self, Option<Figure>), SizeError> {
        let bare = rest.strip_suffix("mm").unwrap_or(rest).trim_end();
        let dn: u32 = bare.parse().map_err(|_| SizeError::NoNumber("DN"))?;
        let row = pipe_rows().iter().find(|row| row.dn == dn).ok_or_else(|| {
            let near = neighbours(|row| row.dn < dn, |row| row.dn.to_string());
            SizeError::NotInTable(format!("DN {dn}"), near)
        })?;
        Ok(Self::of_row(format!("DN {dn}"), row, row.diameter(dn_means)))
    }

    fn of_row(text: String, row: &PipeRow, figure: Figure) -> (Self, Option<Figure>) {
        (Self { text, od: figure.value, nps_64ths: Some(row.nps_64ths) }, Some(figure))
    }

    /// A measured diameter; where it is exactly that of a standard pipe, fittings of that nominal
    /// size apply.
    fn measured(rest: &str) -> Result<Self, SizeError> {
        if rest.is_empty() {
            return Err(SizeError::NoNumber("OD"));
        }
        let od = Length::parse(rest).map_err(SizeError::Diameter)?;
        if od < Self::LEAST || od > Self::MOST {
            return Err(SizeError::Range(Self::LEAST, Self::MOST));
        }
        let same = |figure: fn(&PipeRow) -> Length| pipe_rows().iter().find(|r| figure(r) == od);
        let row = same(|row| row.asme.value).or_else(|| same(|row| row.en.value));
        Ok(Self { text: format!("OD {rest}"), od, nps_64ths: row.map(|row| row.nps_64ths) })
    }
}

/// The sizes just below and just above, for people.
fn neighbours(below: impl Fn(&PipeRow) -> bool, name: impl Fn(&PipeRow) -> String) -> String {
    let rows = pipe_rows();
    let at = rows.partition_point(below);
    let from = at.saturating_sub(1);
    let near: Vec<String> = rows.iter().skip(from).take(at + 1 - from).map(name).collect();
    near.join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn od(text: &str) -> Result<i64, SizeError> {
        Size::parse(text, Diameters::Asme).map(|(size, _)| size.od.nm() / 100_000)
    }

    #[test]
    fn sizes_are_read_as_people_write_them() {
        // Tenths of a millimetre; ASME B36.10M.
        let cases = [
            ("NPS 6", 1683),
            ("nps 6", 1683),
            ("NPS6", 1683),
            ("NPS 6\"", 1683),
            ("NPS 6 in", 1683),
            ("NPS 1-1/2", 483),
            ("NPS 1 1/2", 483),
            ("NPS 1.5", 483),
            ("NPS 3/4", 267),
            ("DN 150", 1683),
            ("DN150", 1683),
            ("dn: 65", 730),
            ("OD 168.3", 1683),
            ("OD 168.3 mm", 1683),
            ("OD168.3", 1683),
            ("OD 1.5 m", 15_000),
        ];
        for (text, tenths) in cases {
            assert_eq!(od(text), Ok(tenths), "{text}");
        }
        // 6 5/8 in = 6.625 x 25.4 mm exactly.
        let (size, _) = Size::parse("OD 6 5/8 in", Diameters::Asme).unwrap();
        assert_eq!(size.od, Length::from_nm(168_275_000));
        assert_eq!(size.nps_64ths, None);
    }

    #[test]
    fn dn_means_what_the_rules_say() {
        let (asme, _) = Size::parse("DN 65", Diameters::Asme).unwrap();
        let (en, figure) = Size::parse("DN 65", Diameters::En).unwrap();
        assert_eq!((asme.od.nm(), en.od.nm()), (73_000_000, 76_100_000));
        assert!(figure.is_some_and(|f| f.is_weak()));
        let (nps, _) = Size::parse("NPS 2-1/2", Diameters::En).unwrap();
        assert_eq!(nps.od, asme.od);
        let (od, _) = Size::parse("OD 76.1", Diameters::Asme).unwrap();
        assert_eq!(od.nps_64ths, asme.nps_64ths);
    }

    #[test]
    fn what_is_no_size_says_why() {
        assert_eq!(od("6"), Err(SizeError::NoSystem));
        assert_eq!(od("150 mm"), Err(SizeError::NoSystem));
        assert_eq!(od("DN"), Err(SizeError::NoNumber("DN")));
        assert_eq!(od("NPS 7"), Err(SizeError::NotInTable("NPS 7".into(), "6 and 8".into())));
        assert_eq!(od("DN 1300"), Err(SizeError::NotInTable("DN 1300".into(), "1200".into())));
        let one = od("DN 1300").unwrap_err().to_string();
        assert!(one.ends_with("; near it: 1200"), "{one}");
        assert_eq!(od("NPS 1/4"), Err(SizeError::NotInTable("NPS 1/4".into(), "1/2".into())));
        assert!(matches!(od("OD 168,3"), Err(SizeError::Diameter(_))));
        assert!(matches!(od("OD -5"), Err(SizeError::Range(..))));
        assert!(matches!(od("OD 30 m"), Err(SizeError::Range(..))));
    }
}
