//! Why no fingering could be worked out at all.

use apoyando_fretboard::Fret;

/// A question the search cannot answer. What it *can* answer with notes left
/// out or rules broken comes back as a fingering with findings instead.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum HandsError {
    /// The score has no such part.
    #[error("there is no part {part} in a score of {parts}; choose one of those it has")]
    NoSuchPart {
        /// The part asked for, from 1.
        part: u32,
        /// How many there are.
        parts: usize,
    },
    /// An instrument without frets to play on.
    #[error(
        "an instrument of {frets} frets with the capo at {capo} cannot be played; it may have up to 24 frets, the capo below the last"
    )]
    Instrument {
        /// Its last fret.
        frets: Fret,
        /// Where the capo lies.
        capo: Fret,
    },
    /// An effort value outside what the model can add up.
    #[error("effort {name} = {value} is out of range; give a whole number from 0 to {most}")]
    Effort {
        /// The term.
        name: &'static str,
        /// What was given.
        value: i32,
        /// The largest allowed.
        most: i32,
    },
    /// More at once than could be weighed.
    #[error(
        "bar {bar}, beat {beat}: {sounds} notes sound together, too many to try every way of playing them; take some out or share them between two parts"
    )]
    Crowded {
        /// Number of the bar as printed.
        bar: u32,
        /// Beat in the bar, from 1.
        beat: String,
        /// Notes struck or still held there.
        sounds: usize,
    },
}
