//! Which fingering marks are printed: from a score, a fingering and a density
//! to the digits, letters, circles, numerals and brackets of a page. The
//! engraver and the MusicXML writer both read [`Marks`], so a page and a file
//! never say different things.
//!
//! [`mark`] decides; the rules stand in the modules that apply them: left-hand
//! digits in [`digits`], circled strings in [`strings`], where the hand is seen to be in
//! [`seen`], position numerals in [`positions`], barre marks in [`barres`], hold lines in
//! [`holds`], right-hand letters in [`letters`], where what a reader
//! would carry on by himself is left out.
//! They are house rules made from common practice, no source: print what the
//! player needs and no more.

pub mod again;
mod barres;
mod broken;
pub mod caption;
mod carried;
pub mod digits;
mod gaps;
pub mod holds;
mod hops;
pub mod letters;
mod like;
mod lying;
pub mod mark;
pub mod marks;
mod one_fret;
pub mod positions;
mod prepared;
pub mod seen;
mod shapes;
mod slides;
mod sounds;
pub mod strings;
mod together;
#[cfg(test)]
mod trial;

pub use caption::{Caption, CaptionText};
pub use mark::mark;
pub use marks::{
    BarreMark, Density, HoldMark, LeftMark, Marks, Nudge, Nudged, PositionMark, StringMark,
};
pub use together::numerals_together;
