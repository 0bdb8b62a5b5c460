//! Codes of findings on measured wraps.

use super::Code;

/// All of them.
pub const ALL: &[&Code] =
    &[&MISSING, &UNREAD, &RANGE, &LAYERS, &IMPOSSIBLE, &OUTLIER, &FEW, &BEYOND, &UNUSED, &SCATTER];

/// Nothing where something is needed.
pub const MISSING: Code = Code::error(
    "W001",
    "value missing",
    "Every measured wrap needs the pipe's size, the blanket's thickness and the length from edge to \
     mark. Fill the cell in.",
);
/// Not readable as what it should be.
pub const UNREAD: Code = Code::error(
    "W002",
    "value not understood",
    "The cell cannot be read as what its column holds. The finding says how to write it.",
);
/// Readable, but out of range.
pub const RANGE: Code = Code::error(
    "W003",
    "value out of range",
    "The value can be read but is too small or too large to be meant, most often because of a wrong \
     unit or a slipped decimal point.",
);
/// Layer number and layers beneath do not agree.
pub const LAYERS: Code = Code::error(
    "W004",
    "layer and layers beneath do not agree",
    "The third layer has two layers beneath it. Correct one of the two columns, or leave one empty.",
);
/// A length that the layer cannot have.
pub const IMPOSSIBLE: Code = Code::error(
    "W005",
    "length is no wrap of this layer",
    "A wrap is between the girth of its inner and of its outer face; this length is far outside. The \
     size, the layer, what is beneath it, the thickness or the unit is wrong.",
);
/// A wrap that is left out of the fit.
pub const OUTLIER: Code = Code::warning(
    "W006",
    "measured wrap left out",
    "The length is further from the other wraps of its thickness than their spread explains (three \
     standard deviations from the median, and more than a tape's 2 mm), so the factor is fitted \
     without it. Measure it again: a loose wrap or a slip in the size or layer is likely.",
);
/// Few wraps.
pub const FEW: Code = Code::warning(
    "W007",
    "few measured wraps of a thickness",
    "Fewer than three wraps of a thickness are there to go by, those left out apart, so a slip could not be told \
     from the blanket's own way. Measure at least three, on different sizes and layers.",
);
/// A factor beyond what the faces allow.
pub const BEYOND: Code = Code::warning(
    "W008",
    "fitted factor cut off at 0 or 1",
    "The wraps are on the average shorter than the inner face is round, or longer than the outer \
     face. The factor is set to 0 or 1; the blanket is perhaps stretched when wrapped, thinner or \
     thicker than its nominal size, or the pipe is not of the size given.",
);
/// A thickness that the job does not use.
pub const UNUSED: Code = Code::note(
    "W009",
    "thickness not in this job",
    "Wraps of a thickness were measured that no layer of this job has, so their factor changes \
     nothing here.",
);
/// Wraps that fit no one factor.
pub const SCATTER: Code = Code::warning(
    "W010",
    "measured wraps contradict each other",
    "The factors of single wraps of a thickness differ by more than a tenth (standard deviation), which is several \
     times what reading a mark is off by. No one factor fits them: some were measured wrongly, or size, layer or \
     thickness is not what was written.",
);
