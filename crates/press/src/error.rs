//! What can go wrong at the press, and what is worth telling.

use std::fmt;

use thiserror::Error;

/// Why no pages came out.
#[derive(Clone, PartialEq, Debug, Error)]
pub enum PressError {
    /// The paper leaves no room for anything.
    #[error(
        "the paper leaves a type area of {width:.0} × {height:.0} mm; \
         choose larger paper or smaller margins (at least 60 × 60 mm are needed)"
    )]
    Paper {
        /// Width of the type area in mm.
        width: f64,
        /// Its height in mm.
        height: f64,
    },
    /// A staff of no size, or of an absurd one.
    #[error("{place}: a staff of {staff} mm cannot be printed; choose 3 to 30 mm")]
    Staff {
        /// Where.
        place: String,
        /// Its height in mm.
        staff: f64,
    },
    /// A drawing with a length that is not a number, or an absurd one.
    #[error("{place}: drawing {index} has a length that is not a number; this is a fault of ours")]
    Drawing {
        /// Where.
        place: String,
        /// Which drawing there, from 1.
        index: usize,
    },
    /// There is no such page.
    #[error("there is no page {page}; the document has {pages}")]
    NoSuchPage {
        /// The page asked for, from 1.
        page: usize,
        /// How many there are.
        pages: usize,
    },
    /// A resolution that gives no picture.
    #[error("{dpi} dots per inch give no picture; choose 10 to 1200")]
    Resolution {
        /// Dots per inch.
        dpi: f64,
    },
    /// The typesetter refused the document.
    #[error("the pages could not be set: {0}; this is a fault of ours")]
    Setting(String),
    /// The PDF could not be written.
    #[error("the PDF could not be written: {0}; this is a fault of ours")]
    Pdf(String),
    /// Whoever watched wanted no more steps.
    #[error("the setting of the pages was stopped")]
    Stopped,
    /// The picture could not be written.
    #[error("the picture could not be written: {0}; this is a fault of ours")]
    Picture(String),
}

/// Something the reader of the pages should not be the first to notice.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// Characters the typefaces of the book do not have; a box is printed.
    MissingCharacters {
        /// Where.
        place: String,
        /// Which, each once.
        characters: Vec<char>,
    },
    /// A system or a diagram did not fit the page and was made smaller.
    Scaled {
        /// Where.
        place: String,
        /// Which system or diagram there, from 1.
        index: usize,
        /// How much smaller: 0.9 is nine tenths of its size.
        by: f64,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::MissingCharacters { place, characters } => {
                write!(f, "{place}: the typeface has no ")?;
                for (i, c) in characters.iter().enumerate() {
                    let comma = if i == 0 { "" } else { ", " };
                    write!(f, "{comma}“{c}” (U+{:04X})", u32::from(*c))?;
                }
                f.write_str("; a box is printed instead, write it in other letters")
            }
            Self::Scaled { place, index, by } => write!(
                f,
                "{place}: system or diagram {index} does not fit the page and was printed at \
                 {:.0} % of its size; choose a smaller staff or larger paper",
                by * 100.0
            ),
        }
    }
}
