//! Breath marks and caesuras: which there are, and when.

use apoyando_music::{EventMark, Moment};

use super::StaffBar;
use crate::font::{Glyph, table};

/// Clear space at both sides of them. House.
pub const CLEAR: f64 = 0.4;

/// A sign between two onsets.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Sign {
    /// A comma.
    Breath,
    /// Two strokes.
    Caesura,
}

impl Sign {
    const fn of(mark: EventMark) -> Option<Self> {
        match mark {
            EventMark::Breath => Some(Self::Breath),
            EventMark::Caesura => Some(Self::Caesura),
            _ => None,
        }
    }

    pub const fn glyph(self) -> &'static Glyph {
        match self {
            Self::Breath => &table::BREATH_MARK_COMMA,
            Self::Caesura => &table::CAESURA,
        }
    }
}

/// The signs of a bar at the moments before which they stand. All voices halt together: one
/// sign serves them, and a caesura says more than a breath.
pub fn of(bar: &StaffBar) -> Vec<(Moment, Sign)> {
    let chords = bar.chords.iter().map(|chord| (chord.onset + chord.duration, &chord.marks));
    let rests = bar.rests.iter().filter(|rest| rest.drawn).map(|rest| (rest.end, &rest.marks));
    let mut signs: Vec<(Moment, Sign)> = chords
        .chain(rests)
        .flat_map(|(at, marks)| marks.iter().filter_map(move |mark| Some((at, Sign::of(*mark)?))))
        .collect();
    signs.sort_by_key(|(at, sign)| (*at, std::cmp::Reverse(*sign)));
    signs.dedup_by_key(|(at, _)| *at);
    signs
}
