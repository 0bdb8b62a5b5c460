//! The layers of a build: `5+10+10`.

use super::desk::Desk;
use super::domain::Build;
use crate::finding::codes::takeoff as codes;
use crate::stock::limits::THICKNESS;
use crate::table::{Cell, quoted};
use crate::units::Length;

/// More layers than anybody wraps.
pub const MOST_LAYERS: usize = 30;
/// More insulation than any pipe carries.
const MOST: Length = Length::from_mm(600);

/// What can be wrong with a build.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BuildError {
    /// No thicknesses joined by plus signs.
    Text,
    /// A layer that is too thin or too thick.
    Layer(Length),
    /// Too many layers, or too thick together.
    Whole(usize, Length),
}

impl BuildError {
    /// What is wrong with this text.
    #[must_use]
    pub fn what(&self, text: &str) -> String {
        match self {
            Self::Text => format!("{} is not a build", quoted(text)),
            Self::Layer(layer) => {
                format!("a layer of {layer} mm in {} is not possible", quoted(text))
            }
            Self::Whole(layers, total) => format!("{layers} layers of {total} mm in all"),
        }
    }

    /// What to do.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Text => {
                "write the layers from the inside out, in mm, joined by +, such as 5+10+10".into()
            }
            Self::Layer(_) => {
                format!("give layers from {} to {} mm", THICKNESS.start(), THICKNESS.end())
            }
            Self::Whole(..) => format!("give at most {MOST_LAYERS} layers and {MOST} mm in all"),
        }
    }
}

impl Build {
    /// Reads layers from the inside out, joined by plus signs, each a length.
    ///
    /// # Errors
    /// See [`BuildError`].
    pub fn parse(text: &str) -> Result<Self, BuildError> {
        let mut layers = Vec::new();
        for part in text.split('+') {
            match Length::parse(part) {
                Ok(layer) if THICKNESS.contains(&layer) => layers.push(layer),
                Ok(layer) => return Err(BuildError::Layer(layer)),
                Err(_) => return Err(BuildError::Text),
            }
        }
        let build = Self(layers);
        if build.layers().len() > MOST_LAYERS || build.total() > MOST {
            return Err(BuildError::Whole(build.layers().len(), build.total()));
        }
        Ok(build)
    }
}

/// Reads a build.
pub(super) fn read(cell: &Cell<'_>, desk: &mut Desk<'_, '_>) -> Option<Build> {
    let text = desk.reader.text(cell)?;
    Build::parse(text)
        .map_err(|error| {
            let code = if error == BuildError::Text { &codes::BUILD } else { &codes::RANGE };
            desk.reader.tell(code, cell, error.what(text), error.remedy());
        })
        .ok()
}
