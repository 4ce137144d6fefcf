//! A staff of one system with everything `place` has put on it: what the
//! fingering marks find their room on.

use std::ops::Range;

use apoyando_music::{BarIndex, Moment, NoteId, PartIndex, VoiceNumber};

use super::{Rect, Skyline, strips};
use crate::drawing::{Kind, Owner, Stain};

/// Width of the shelves obstacles are kept on.
const SHELF: f64 = 4.0;

/// The side of the staff on which a voice has its stems, rests and marks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    /// Upwards.
    Upper,
    /// Downwards.
    Lower,
}

impl Side {
    /// 1 upwards, −1 downwards.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Upper => 1.0,
            Self::Lower => -1.0,
        }
    }
}

/// A stem as it is drawn.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlacedStem {
    /// Whether it points up.
    pub up: bool,
    /// Its middle.
    pub x: f64,
    /// Where it ends away from the heads.
    pub tip: f64,
    /// Whether it ends in a beam.
    pub beamed: bool,
}

/// A note head as it is drawn.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlacedHead {
    /// The note. Of two notes that share a head each has its own entry.
    pub note: NoteId,
    /// Its voice.
    pub voice: VoiceNumber,
    /// Its bar.
    pub bar: BarIndex,
    /// Its onset.
    pub onset: Moment,
    /// Box of the head.
    pub head: Rect,
    /// Steps above the middle line; one per line or space.
    pub step: i32,
    /// The stem, shared by the heads of a chord.
    pub stem: Option<PlacedStem>,
    /// Place in its chord, from 0 at the bottom.
    pub order: u8,
    /// Number of heads in its chord.
    pub of: u8,
    /// Left side of its accidental, or of the head where it has none.
    pub left: f64,
    /// Left side of the leftmost ink of all that is struck at this onset on
    /// this staff, accidentals included.
    pub left_of_all: f64,
    /// Whether another voice sounds in this bar, so that this one has a side of its own.
    pub side: Option<Side>,
    /// Right side of the last dot, or of the head where it has none.
    pub right: f64,
    /// Whether a tie leads here: such a head is never fingered anew.
    pub tied_from: bool,
    /// Whether a tie leads on from here.
    pub tied_to: bool,
}

/// A piece of ink with its meaning.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Obstacle {
    /// Where it is.
    pub area: Rect,
    /// What it is.
    pub kind: Kind,
    /// Whom it belongs to.
    pub owner: Owner,
}

/// A staff of one system. Its y counts from its own middle line; staves are
/// moved to their places when everything is on them.
#[derive(Clone, Debug)]
pub struct Stage {
    /// The part on the staff.
    pub part: PartIndex,
    /// The bars of the system.
    pub bars: Range<u32>,
    /// Whether this is the first system of the score.
    pub first: bool,
    /// Left end of the staff.
    pub left: f64,
    /// Where clef and signatures at the beginning end.
    pub music: f64,
    /// Right end of the staff.
    pub right: f64,
    /// For every onset of the system, in order, the left edge of a normally
    /// placed head.
    pub columns: Vec<(Moment, f64)>,
    /// The heads, in order of their notes.
    pub heads: Vec<PlacedHead>,
    /// Where the notes of each bar lie: from the barline before to the one
    /// after.
    pub bar_extents: Vec<(f64, f64)>,
    /// The ink, in painting order.
    pub stains: Vec<Stain>,
    /// Ink above the staff.
    pub above: Skyline,
    /// Ink below the staff.
    pub below: Skyline,
    shelves: Vec<Vec<Obstacle>>,
}

impl Stage {
    /// An empty staff.
    #[must_use]
    pub fn new(part: PartIndex, bars: Range<u32>, first: bool, right: f64) -> Self {
        Self {
            part,
            bars,
            first,
            left: 0.0,
            music: 0.0,
            right,
            columns: Vec::new(),
            heads: Vec::new(),
            bar_extents: Vec::new(),
            stains: Vec::new(),
            above: Skyline::of_staff(right, true),
            below: Skyline::of_staff(right, false),
            shelves: vec![Vec::new(); (right.clamp(0.0, 1e5) / SHELF) as usize + 1],
        }
    }

    /// Puts ink on the staff. Staff lines are no obstacle.
    pub fn add(&mut self, stain: Stain) {
        if !matches!(stain.kind, Kind::StaffLine | Kind::Halo) {
            for area in strips(&stain.ink) {
                self.above.add(area);
                self.below.add(area);
                let shelves = self.shelf(area.left)..=self.shelf(area.right);
                for shelf in shelves {
                    let obstacle = Obstacle { area, kind: stain.kind, owner: stain.owner };
                    self.shelves[shelf].push(obstacle);
                }
            }
        }
        self.stains.push(stain);
    }

    fn shelf(&self, x: f64) -> usize {
        ((x / SHELF).max(0.0) as usize).min(self.shelves.len() - 1)
    }

    /// Ink less than `gap` away from a rectangle.
    pub fn near(&self, area: Rect, gap: f64) -> impl Iterator<Item = &Obstacle> {
        let (first, last) = (self.shelf(area.left - gap), self.shelf(area.right + gap));
        self.shelves[first..=last].iter().flatten().filter(move |obstacle| {
            obstacle.area.meets(area) || obstacle.area.distance(area) < gap - 1e-9
        })
    }

    /// Left edge of a normally placed head at an onset of this system.
    #[must_use]
    pub fn column(&self, onset: Moment) -> Option<f64> {
        let at = self.columns.binary_search_by_key(&onset, |column| column.0).ok()?;
        Some(self.columns[at].1)
    }

    /// The head of a note, if it stands on this staff in this system.
    #[must_use]
    pub fn head(&self, note: NoteId) -> Option<&PlacedHead> {
        let at = self.heads.binary_search_by_key(&note, |head| head.note).ok()?;
        Some(&self.heads[at])
    }

    /// The onsets of this system, first to last, if it has any.
    #[must_use]
    pub fn onsets(&self) -> Option<(Moment, Moment)> {
        Some((self.columns.first()?.0, self.columns.last()?.0))
    }
}
