//! The left hand at one layer, as a posture tells it.

use apoyando_fingering::{Barre, LeftFinger, Placement, Position};
use apoyando_fretboard::{Fret, Place};

/// A sound that is being made.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sounding {
    /// Index of the sound.
    pub(crate) sound: usize,
    pub(crate) placement: Placement,
    /// Struck in this layer, not kept from an earlier one.
    pub(crate) struck: bool,
}

/// The left hand at one layer.
#[derive(Clone, Debug)]
pub(crate) struct Hand {
    pub(crate) position: Option<Position>,
    pub(crate) barre: Option<Barre>,
    /// Struck and kept sounds, by index of the sound.
    pub(crate) sounding: Vec<Sounding>,
    /// Sounds struck in this layer that are left out.
    pub(crate) left_out: Vec<usize>,
    /// Sounds that sounded in the layer before and are wanted on, but are not
    /// kept here.
    pub(crate) let_go: Vec<usize>,
}

/// A finger that is down.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Down {
    pub(crate) finger: LeftFinger,
    /// Where it is; under a barre the thinnest string that it stops.
    pub(crate) place: Place,
    /// Whether it lies as a barre.
    pub(crate) barre: bool,
    /// Whether it stops a sound struck in this layer.
    pub(crate) strikes: bool,
}

impl Hand {
    /// The sounds that are struck, with their placements.
    pub(crate) fn struck(&self) -> impl Iterator<Item = Sounding> + '_ {
        self.sounding.iter().copied().filter(|sounding| sounding.struck)
    }

    /// What one finger stops.
    pub(crate) fn stopped_by(&self, finger: LeftFinger) -> impl Iterator<Item = Sounding> + '_ {
        self.sounding.iter().copied().filter(move |s| s.placement.finger == Some(finger))
    }

    /// Where one finger is: on every string that it stops.
    pub(crate) fn places(&self, finger: LeftFinger) -> impl Iterator<Item = Place> + '_ {
        self.stopped_by(finger).map(|sounding| sounding.placement.place)
    }

    /// The fingers that are down, from 1 to 4.
    pub(crate) fn down(&self) -> Vec<Down> {
        LeftFinger::ALL.into_iter().filter_map(|finger| self.finger(finger)).collect()
    }

    fn finger(&self, finger: LeftFinger) -> Option<Down> {
        let place = self.places(finger).min_by_key(|place| place.string)?;
        let strikes = self.stopped_by(finger).any(|sounding| sounding.struck);
        Some(Down { finger, place, barre: self.lies_as_barre(finger).is_some(), strikes })
    }

    /// The barre, if this finger makes it.
    pub(crate) fn lies_as_barre(&self, finger: LeftFinger) -> Option<Barre> {
        self.barre.filter(|_| finger == LeftFinger::One)
    }

    /// Whether no finger is down.
    pub(crate) fn idle(&self) -> bool {
        self.sounding.iter().all(|sounding| sounding.placement.finger.is_none())
    }
}

impl Down {
    /// The fret it is at.
    pub(crate) const fn fret(&self) -> Fret {
        self.place.fret
    }

    /// Frets by which it lies above its own fret in a position.
    pub(crate) const fn offset(&self, position: Position) -> i64 {
        position.offset(self.finger, self.place.fret) as i64
    }

    /// Frets of extension in a position: outwards, 1 back and the others on.
    pub(crate) fn extension(&self, position: Position) -> i64 {
        let offset = self.offset(position);
        if self.finger == LeftFinger::One { (-offset).max(0) } else { offset.max(0) }
    }

    /// Frets of contraction in a position.
    pub(crate) fn contraction(&self, position: Position) -> i64 {
        self.offset(position).abs() - self.extension(position)
    }
}
