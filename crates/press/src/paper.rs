//! Sizes of paper, margins and the type area.

pub use apoyando_fretboard::Millimetres;

/// A page and its margins, the same on both pages of an opening, mirrored.
///
/// Margins are our house values: the inner is wide enough for a saddle stitch
/// (≥ 15 mm) and for a coil (≥ 20 mm).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Paper {
    /// Width of the page.
    pub width: Millimetres,
    /// Height of the page.
    pub height: Millimetres,
    /// At the spine.
    pub inner: Millimetres,
    /// Away from the spine.
    pub outer: Millimetres,
    /// Above the type area; the running head stands in it.
    pub top: Millimetres,
    /// Below the type area; the page number stands in it.
    pub bottom: Millimetres,
}

impl Paper {
    /// ISO 216 A4, 210 × 297 mm.
    pub const A4: Self = Self {
        width: Millimetres(210.0),
        height: Millimetres(297.0),
        inner: Millimetres(20.0),
        outer: Millimetres(15.0),
        top: Millimetres(16.0),
        bottom: Millimetres(18.0),
    };

    /// US Letter, 8.5 × 11 in.
    pub const LETTER: Self = Self {
        width: Millimetres(215.9),
        height: Millimetres(279.4),
        inner: Millimetres(20.0),
        outer: Millimetres(15.0),
        top: Millimetres(15.0),
        bottom: Millimetres(17.0),
    };

    /// The size of printed music, 9 × 12 in.
    pub const NINE_BY_TWELVE: Self = Self {
        width: Millimetres(228.6),
        height: Millimetres(304.8),
        inner: Millimetres(22.0),
        outer: Millimetres(18.0),
        top: Millimetres(18.0),
        bottom: Millimetres(20.0),
    };

    /// The paper of this name: `a4`, `letter`, `9x12`.
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "a4" | "A4" => Some(Self::A4),
            "letter" | "Letter" => Some(Self::LETTER),
            "9x12" | "9×12" => Some(Self::NINE_BY_TWELVE),
            _ => None,
        }
    }

    /// The same page with as much of its margins given to the lines as large notes need:
    /// on A4 a line of 181 mm. House values: the inner margin stays wide enough for a
    /// saddle stitch, the outer for a thumb.
    #[must_use]
    pub fn for_large_print(self) -> Self {
        Self {
            inner: Millimetres(self.inner.0 - 2.0),
            outer: Millimetres(self.outer.0 - 4.0),
            ..self
        }
    }

    /// Width of the type area: the longest line of music.
    pub fn type_width(&self) -> Millimetres {
        Millimetres(self.width.0 - self.inner.0 - self.outer.0)
    }

    /// Height of the type area.
    pub fn type_height(&self) -> Millimetres {
        Millimetres(self.height.0 - self.top.0 - self.bottom.0)
    }
}
