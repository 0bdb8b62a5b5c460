//! What the engine cannot do.

use thiserror::Error;

/// Why there is no answer to an instance.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum NestError {
    /// There is nothing to lay pieces on.
    #[error("there is no roll to cut from")]
    NoRolls,
    /// A piece is larger than what any roll leaves after its trims, in every turn allowed.
    #[error("piece {piece} fits no roll after edge trim, square cut and pull limit")]
    PieceFitsNoRoll {
        /// The piece's name.
        piece: String,
    },
    /// No layout was found that cuts all pieces from the rolls on hand.
    #[error(
        "no way was found to cut all pieces from the rolls there are; pieces left over: {missing}"
    )]
    NotEnoughRolls {
        /// How many pieces the best attempt left over.
        missing: u64,
    },
    /// The least number of rolls or the least price of a roll without end has no meaning.
    #[error("roll {roll} has no end: only the least length can be asked of it")]
    EndlessRoll {
        /// The roll's name.
        roll: String,
    },
    /// The least length can be asked only of one roll without end.
    #[error("the least length needs exactly one roll, without end")]
    LengthNeedsOneEndlessRoll,
    /// A number is too great to compute with.
    #[error("{what} is too great to compute with")]
    TooLarge {
        /// What is too great.
        what: String,
    },
}
