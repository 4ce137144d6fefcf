//! What the press must know of the figures and the gaps between them.

/// A gap that can grow when the page has room left, and shrink a little where it has not
/// quite enough.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Gap {
    /// Its natural height in points.
    pub height: f64,
    /// How much it may grow, in points.
    pub stretch: f64,
    /// How far it can shrink.
    pub shrink: f64,
    /// Whether the author wants a new page instead of it.
    pub new_page: bool,
}

/// How a figure goes on after the one before it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Begin {
    /// Below it.
    Below,
    /// On a page begun on purpose.
    NextPage,
    /// On a page that lies on the right, or after one.
    Recto,
}

/// A system that could be set.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Size {
    /// The gap before it; for the first of a casting it is counted with the
    /// words above.
    pub gap: Gap,
    /// Its height in points.
    pub height: f64,
    /// Beats at its end in which the page can be turned.
    pub free_beats: f64,
}

/// Systems that music could be set in.
#[derive(Clone, PartialEq, Debug)]
pub struct Choice {
    /// Which of the document's castings they are.
    pub casting: usize,
    /// What its lines cost.
    pub cost: f64,
    /// The systems; never empty.
    pub systems: Vec<Size>,
}

/// A figure on the pages, in reading order.
#[derive(Clone, Copy, Debug)]
pub struct Figure {
    /// The gaps between it and the figure before it.
    pub first_gap: usize,
    /// One past the last of them.
    pub end_gap: usize,
    /// Whether a page was begun on purpose since the figure before it.
    pub begin: Begin,
    /// Whether words that are no head stand between it and the one before it.
    pub words_before: bool,
    /// What it is.
    pub role: Role,
    /// Its height in points.
    pub height: f64,
    /// Of a system, the first line of its first staff and the last of its last,
    /// in points from the top.
    pub staves: Option<(f64, f64)>,
}

/// What a figure is.
#[derive(Clone, Copy, Debug)]
pub enum Role {
    /// A system of music, by its index among those of its music.
    System {
        /// From 0.
        index: usize,
        /// The head above the first.
        head: Option<Head>,
        /// Which music it belongs to, from 0.
        music: usize,
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
    /// Whether it is a piece and no exercise.
    pub piece: bool,
}
