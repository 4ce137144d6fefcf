//! The music font and the text faces: boxes, anchors, outlines and widths.
//!
//! Boxes and anchors of the music glyphs are baked from the font's own SMuFL
//! metadata into a table; outlines are read from the font file, which is
//! part of the program. All lengths are staff spaces at scale 1, where the em
//! of the music font is four of them.

mod outline;
#[rustfmt::skip]
#[allow(missing_docs, dead_code)]
pub mod table;
mod text;

pub use outline::{Profile, outline, profile};
pub use text::{text_ascent, text_data, text_outline, text_width};

/// The music font file, for whoever sets its glyphs on a page.
pub const MUSIC_FONT: &[u8] = include_bytes!("../../../../assets/bravura/Bravura.otf");

/// A glyph of the music font: its box about its origin, and where a stem
/// joins it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Glyph {
    /// Its SMuFL name.
    pub name: &'static str,
    /// Its code point.
    pub code: char,
    /// Left side of its box.
    pub left: f64,
    /// Lower side of its box.
    pub low: f64,
    /// Right side of its box.
    pub right: f64,
    /// Upper side of its box.
    pub high: f64,
    /// Advance width.
    pub advance: f64,
    /// For a head, where the right edge of an upward stem ends; for a flag,
    /// where the upper left corner of its stem's end lies.
    pub stem_up: Option<(f64, f64)>,
    /// For a head, where the left edge of a downward stem begins; for a flag,
    /// where the lower left corner of its stem's end lies.
    pub stem_down: Option<(f64, f64)>,
}

impl Glyph {
    /// Width of its box.
    #[must_use]
    pub const fn width(&self) -> f64 {
        self.right - self.left
    }
}

/// The glyph with a code point, if it is in the table.
#[must_use]
pub fn glyph(code: char) -> Option<&'static Glyph> {
    table::ALL.binary_search_by_key(&code, |glyph| glyph.code).ok().map(|at| &table::ALL[at])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_in_order_of_code_points() {
        assert!(table::ALL.windows(2).all(|pair| pair[0].code < pair[1].code));
        assert_eq!(glyph('\u{E0A4}').map(|g| g.name), Some("noteheadBlack"));
        assert_eq!(glyph('x'), None);
    }
}
