//! What the press must know of the figures and the gaps between them.

/// A gap that can grow when the page has room left.
#[derive(Clone, Copy, Debug)]
pub struct Gap {
    /// Its natural height in points.
    pub height: f64,
    /// How much it may grow, in points.
    pub stretch: f64,
}

/// A figure on the pages, in reading order.
#[derive(Clone, Copy, Debug)]
pub struct Figure {
    /// The gaps between it and the figure before it.
    pub first_gap: usize,
    /// One past the last of them.
    pub end_gap: usize,
    /// Whether a page was begun on purpose since the figure before it.
    pub fresh: bool,
    /// Whether words that are no head stand between it and the one before it.
    pub words_before: bool,
    /// What it is.
    pub role: Role,
    /// Its height in points.
    pub height: f64,
}

/// What a figure is.
#[derive(Clone, Copy, Debug)]
pub enum Role {
    /// A system of music, by its index among so many.
    System {
        /// From 0.
        index: usize,
        /// How many.
        count: usize,
        /// The head above the first.
        head: Option<Head>,
    },
    /// A diagram between a head and its music.
    BeforeMusic,
    /// A diagram among words.
    Loose,
}

/// The head of an exercise or a piece.
#[derive(Clone, Copy, Debug)]
pub struct Head {
    /// Which one, from 0.
    pub ordinal: usize,
    /// The gap above it.
    pub gap: usize,
}
