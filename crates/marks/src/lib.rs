//! Which fingering marks are printed: from a score, a fingering and a density
//! to the digits, letters, circles, numerals and brackets of a page. The
//! engraver and the MusicXML writer both read [`Marks`], so a page and a file
//! never say different things.

pub mod caption;
pub mod marks;

pub use caption::{Caption, CaptionText};
pub use marks::{BarreMark, Density, LeftMark, Marks, PositionMark, StringMark};
