//! What stands before a chord as tall as it is: the wavy line of a spread one, the arrow
//! of a strum, the bracket of one that is struck together.

use apoyando_music::{EventMark, Sweep};

use super::{StaffBar, height};

/// Which sign it is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Sign {
    /// A wavy line, with the head of an arrow where a way is given.
    Wave(Option<Sweep>),
    /// A straight arrow.
    Arrow(Sweep),
    /// A bracket that opens to the chord.
    Bracket,
}

/// A sign before a chord.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Beside {
    pub sign: Sign,
    /// Its left side.
    pub x: f64,
    pub low: f64,
    pub high: f64,
}

/// Widths of the wavy line, of the head of an arrow and of the bracket. House.
pub const WAVE_WIDTH: f64 = 0.5;
pub const ARROW_WIDTH: f64 = 0.8;
pub const BRACKET_WIDTH: f64 = 0.45;
/// Its distance to the ink at its right.
const GAP: f64 = 0.3;
/// How far it reaches past the middle of the outer heads: at an arrow's tip it reaches
/// farther, so that the head stands clear of the notes.
const PAST: f64 = 0.5;
const TIP: f64 = 1.2;
/// A shorter arrow is all head.
const SHORTEST_ARROW: f64 = 3.0;

impl Sign {
    /// The sign of a mark.
    pub const fn of(mark: EventMark) -> Option<Self> {
        match mark {
            EventMark::Arpeggio(sweep) => Some(Self::Wave(sweep)),
            EventMark::Strum(sweep) => Some(Self::Arrow(sweep)),
            EventMark::Together => Some(Self::Bracket),
            _ => None,
        }
    }

    /// Whether it stands for one of some marks.
    pub fn is_of(self, marks: &[EventMark]) -> bool {
        marks.iter().any(|mark| Self::of(*mark) == Some(self))
    }

    /// Where its arrow points.
    const fn sweep(self) -> Option<Sweep> {
        match self {
            Self::Wave(sweep) => sweep,
            Self::Arrow(sweep) => Some(sweep),
            Self::Bracket => None,
        }
    }

    const fn width(self) -> f64 {
        match self {
            Self::Wave(None) => WAVE_WIDTH,
            Self::Wave(Some(_)) | Self::Arrow(_) => ARROW_WIDTH,
            Self::Bracket => BRACKET_WIDTH,
        }
    }
}

impl Beside {
    /// Its width.
    pub const fn width(&self) -> f64 {
        self.sign.width()
    }

    /// The sign along what lies between two heights, reaching so far past it, and so far at
    /// the tip of its arrow.
    #[must_use]
    pub fn along(self, low: f64, high: f64, (past, tip): (f64, f64)) -> Self {
        let sweep = self.sign.sweep();
        let reach = |towards: Sweep| if sweep == Some(towards) { tip } else { past };
        let (mut low, mut high) = (low - reach(Sweep::ToBass), high + reach(Sweep::ToTreble));
        let missing = sweep.map_or(0.0, |_| (SHORTEST_ARROW - (high - low)).max(0.0));
        match sweep {
            Some(Sweep::ToTreble) => low -= missing,
            Some(Sweep::ToBass) => high += missing,
            None => {}
        }
        Self { low, high, ..self }
    }

    /// Its right side.
    pub const fn right(&self) -> f64 {
        self.x + self.sign.width()
    }

    /// One sign for all chords of an onset that have it, along the heads that are struck:
    /// one that a tie leads to is not (common practice, no source). It stands left of
    /// ink that begins at `left`.
    pub fn of(bar: &StaffBar, chords: &[usize], left: f64) -> Option<Self> {
        let chords = || chords.iter().map(|index| &bar.chords[*index]);
        let sign = chords().flat_map(|chord| &chord.marks).find_map(|mark| Sign::of(*mark))?;
        let heads = || {
            chords().filter(move |chord| sign.is_of(&chord.marks)).flat_map(|chord| &chord.heads)
        };
        let all_tied = heads().all(|head| head.tied_from.is_some());
        let (low, high) = heads()
            .filter(|head| all_tied || head.tied_from.is_none())
            .map(|head| height(head.step))
            .fold((f64::MAX, f64::MIN), |all, y| (all.0.min(y), all.1.max(y)));
        if low > high {
            return None;
        }
        let x = left - GAP - sign.width();
        Some(Self { sign, x, low, high }.along(low, high, (PAST, TIP)))
    }
}
