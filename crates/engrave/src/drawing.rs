//! A drawing: where the ink goes, in staff spaces.

use std::ops::{Add, AddAssign, Mul, Neg, Sub};

use apoyando_music::{BarIndex, NoteId};

/// A length in staff spaces: the distance of two neighbouring staff lines.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Default)]
pub struct StaffSpaces(pub f64);

impl StaffSpaces {
    /// No length.
    pub const ZERO: Self = Self(0.0);

    /// The longer of two.
    #[must_use]
    pub fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }

    /// The shorter of two.
    #[must_use]
    pub fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }
}

impl Add for StaffSpaces {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for StaffSpaces {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for StaffSpaces {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for StaffSpaces {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for StaffSpaces {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self(self.0 * by)
    }
}

/// A point of a drawing: x to the right from its left edge, y *up* from the
/// middle line of its top staff (from the baseline where there is no staff).
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Point {
    /// To the right.
    pub x: StaffSpaces,
    /// Up.
    pub y: StaffSpaces,
}

impl Point {
    /// A point from two numbers of staff spaces.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x: StaffSpaces(x), y: StaffSpaces(y) }
    }
}

/// A typeface of the text on a drawing.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Face {
    /// The book's text face.
    Regular,
    /// Its italic.
    Italic,
    /// Its bold.
    Bold,
}

/// A step of an outline.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Outline {
    /// Begin a contour.
    Move(Point),
    /// A straight line.
    Line(Point),
    /// A cubic curve: two control points and its end.
    Curve(Point, Point, Point),
    /// Back to where the contour began.
    Close,
}

/// Something that leaves ink, or, as a halo, takes it away.
#[derive(Clone, PartialEq, Debug)]
pub enum Ink {
    /// A glyph of the music font by its SMuFL code point. At scale 1 its em is
    /// four staff spaces.
    Glyph {
        /// Code point.
        glyph: char,
        /// Size.
        scale: f64,
        /// Its origin.
        at: Point,
    },
    /// A straight stroke with square ends; dashed where `dash` gives the
    /// lengths of dash and gap.
    Line {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
        /// Thickness.
        thickness: StaffSpaces,
        /// Dash and gap.
        dash: Option<(StaffSpaces, StaffSpaces)>,
    },
    /// A filled shape: beams, ties, slurs.
    Shape(Vec<Outline>),
    /// A circle: filled, or as a ring of so much thickness.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius, to the middle of the ring.
        radius: StaffSpaces,
        /// Thickness of the ring; `None` is filled.
        ring: Option<StaffSpaces>,
    },
    /// A line of text.
    Text {
        /// What it says.
        text: String,
        /// Its typeface.
        face: Face,
        /// Its em.
        size: StaffSpaces,
        /// Left end of its baseline.
        at: Point,
        /// How wide it is set.
        width: StaffSpaces,
    },
    /// A white rectangle beneath what is drawn after it.
    Halo {
        /// Lower left corner.
        low: Point,
        /// Upper right corner.
        high: Point,
    },
}

/// What a stain is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Kind {
    StaffLine,
    LedgerLine,
    BarLine,
    Bracket,
    Clef,
    KeySignature,
    TimeSignature,
    Head,
    Accidental,
    Dot,
    Stem,
    Flag,
    Beam,
    Rest,
    /// The sign for a bar that is the same as the one before.
    BarRepeat,
    /// The thick bar of a long rest, and how many bars it lasts.
    LongRest,
    LongRestFigure,
    Tie,
    Slur,
    Tuplet,
    Articulation,
    Fermata,
    Dynamic,
    Hairpin,
    /// Words of expression and tone.
    Expression,
    /// Syllables and the hyphens between them.
    Lyric,
    /// The line after a word that is held.
    LyricLine,
    Ornament,
    /// The ring of a harmonic, and the word over it.
    Harmonic,
    /// What stands before a chord: the wavy line of a spread one, the arrow of a strum, the
    /// bracket of one that is not spread.
    Arpeggio,
    /// A breath mark or a caesura.
    Breath,
    /// A wave of a wavy line.
    WavyLine,
    /// Whose the small notes of a cue are, or that a small staff is an ossia.
    CueName,
    /// A line or barline of the small staff of an ossia.
    OssiaLine,
    /// Dashes after words to where they are over.
    Dashes,
    Ending,
    /// A segno or a coda sign.
    Landmark,
    /// Words that tell where play goes on, or how often a section is played.
    Jump,
    /// A rehearsal letter, and the strokes of its box.
    Rehearsal,
    RehearsalBox,
    RepeatDots,
    BarNumber,
    Tempo,
    PartName,
    LeftDigit,
    GuideDash,
    PreparedFinger,
    /// The finger that takes a note over, and the dash before it.
    SecondFinger,
    RightLetter,
    StringCircle,
    PositionMark,
    BarreMark,
    /// The digit of a finger that stays down, and its line.
    HoldLine,
    ChordName,
    Diagram,
    Degree,
    Words,
    Halo,
    /// The head of a grace note, or of a small note of a cue; so with what follows.
    GraceHead,
    GraceAccidental,
    GraceLedgerLine,
    /// Stem, flag, beam or slash of grace notes.
    GraceStem,
    Glissando,
    TabLine,
    TabFigure,
    /// The figure of a grace note.
    TabGrace,
    TabClef,
}

/// Whom a stain belongs to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Owner {
    /// The system as a whole.
    System,
    /// A bar.
    Bar(BarIndex),
    /// A note.
    Note(NoteId),
}

/// Ink with what it is and whom it belongs to.
#[derive(Clone, PartialEq, Debug)]
pub struct Stain {
    /// The ink.
    pub ink: Ink,
    /// What it is.
    pub kind: Kind,
    /// Whom it belongs to.
    pub owner: Owner,
}

/// Ink on a rectangle, painted in order.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Drawing {
    /// The ink.
    pub stains: Vec<Stain>,
    /// Width of the rectangle.
    pub width: StaffSpaces,
    /// How far it reaches above the origin.
    pub above: StaffSpaces,
    /// How far it reaches below the origin.
    pub below: StaffSpaces,
    /// What a reader who cannot see it is told.
    pub description: String,
}

impl Drawing {
    /// Its whole height.
    pub fn height(&self) -> StaffSpaces {
        self.above + self.below
    }
}

impl Point {
    /// The point moved to the right and up.
    #[must_use]
    pub fn moved(self, x: f64, y: f64) -> Self {
        Self::new(self.x.0 + x, self.y.0 + y)
    }
}

impl Outline {
    /// The step moved to the right and up.
    #[must_use]
    pub fn moved(self, x: f64, y: f64) -> Self {
        match self {
            Self::Move(to) => Self::Move(to.moved(x, y)),
            Self::Line(to) => Self::Line(to.moved(x, y)),
            Self::Curve(one, two, to) => {
                Self::Curve(one.moved(x, y), two.moved(x, y), to.moved(x, y))
            }
            Self::Close => Self::Close,
        }
    }
}

impl Stain {
    /// The stain moved to the right and up.
    #[must_use]
    pub fn moved(mut self, x: f64, y: f64) -> Self {
        match &mut self.ink {
            Ink::Glyph { at, .. } | Ink::Text { at, .. } => *at = at.moved(x, y),
            Ink::Line { from, to, .. } => {
                *from = from.moved(x, y);
                *to = to.moved(x, y);
            }
            Ink::Shape(outline) => {
                for step in outline {
                    *step = step.moved(x, y);
                }
            }
            Ink::Circle { centre, .. } => *centre = centre.moved(x, y),
            Ink::Halo { low, high } => {
                *low = low.moved(x, y);
                *high = high.moved(x, y);
            }
        }
        self
    }
}
