//! The left hand at one layer, as a posture tells it.

use std::ops::RangeInclusive;

use apoyando_fingering::{Barre, Hinge, LeftFinger, Placement, Position};
use apoyando_fretboard::{Fret, Place};
use apoyando_music::JoinKind;

/// A sound that is being made.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sounding {
    /// Index of the sound.
    pub(crate) sound: usize,
    pub(crate) placement: Placement,
    /// Struck in this layer, not kept from an earlier one.
    pub(crate) struck: bool,
    /// A natural harmonic that is struck: its finger touches and stops nothing.
    pub(crate) touched: bool,
}

impl Sounding {
    /// Whether a finger stops it.
    pub(crate) const fn stopped(&self) -> bool {
        self.placement.finger.is_some() && !self.touched
    }
}

/// The left hand at one layer.
#[derive(Clone, Debug)]
pub(crate) struct Hand {
    pub(crate) position: Option<Position>,
    /// Where the hand is while it is away from its position.
    pub(crate) away: Option<Position>,
    pub(crate) barre: Option<Barre>,
    pub(crate) hinge: Option<Hinge>,
    /// Struck and kept sounds, by index of the sound.
    pub(crate) sounding: Vec<Sounding>,
    /// Fingers that stay down and stop nothing.
    pub(crate) staying: Vec<(LeftFinger, Place)>,
    /// Fingers that an ornament needs.
    pub(crate) bound: Vec<(LeftFinger, Place)>,
    /// Sounds struck in this layer that are left out.
    pub(crate) left_out: Vec<usize>,
    /// Sounds that sounded in the layer before and are wanted on, but are not
    /// kept here.
    pub(crate) let_go: Vec<usize>,
    /// Sounds struck in this layer that are played joined, and how.
    pub(crate) joined: Vec<(usize, JoinKind)>,
}

/// A finger on the fingerboard.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Down {
    pub(crate) finger: LeftFinger,
    /// Where it is; under a barre the thinnest string that it stops.
    pub(crate) place: Place,
    /// Whether it lies as a barre.
    pub(crate) barre: bool,
    /// Whether it has a sound struck in this layer.
    pub(crate) strikes: bool,
}

impl Hand {
    /// The sounds that are struck, with their placements.
    pub(crate) fn struck(&self) -> impl Iterator<Item = Sounding> + '_ {
        self.sounding.iter().copied().filter(|sounding| sounding.struck)
    }

    /// What one finger stops or touches.
    pub(crate) fn played_by(&self, finger: LeftFinger) -> impl Iterator<Item = Sounding> + '_ {
        self.sounding.iter().copied().filter(move |s| s.placement.finger == Some(finger))
    }

    /// What one finger stops.
    pub(crate) fn stopped_by(&self, finger: LeftFinger) -> impl Iterator<Item = Sounding> + '_ {
        self.played_by(finger).filter(Sounding::stopped)
    }

    /// Where one finger is bound by an ornament.
    pub(crate) fn bound_at(&self, finger: LeftFinger) -> impl Iterator<Item = Place> + '_ {
        self.bound.iter().filter(move |(own, _)| *own == finger).map(|(_, place)| *place)
    }

    /// Where one finger stays without stopping anything.
    pub(crate) fn stays_at(&self, finger: LeftFinger) -> impl Iterator<Item = Place> + '_ {
        self.staying.iter().filter(move |(own, _)| *own == finger).map(|(_, place)| *place)
    }

    /// Where one finger is down: on every string that it stops or touches, and
    /// where it is bound.
    pub(crate) fn places(&self, finger: LeftFinger) -> impl Iterator<Item = Place> + '_ {
        let plays = self.played_by(finger).map(|sounding| sounding.placement.place);
        plays.chain(self.bound_at(finger))
    }

    /// Where one finger is down or stays.
    pub(crate) fn all_places(&self, finger: LeftFinger) -> impl Iterator<Item = Place> + '_ {
        self.places(finger).chain(self.stays_at(finger))
    }

    /// The fingers that are down, from 1 to 4.
    pub(crate) fn down(&self) -> Vec<Down> {
        LeftFinger::ALL.into_iter().filter_map(|finger| self.finger(finger)).collect()
    }

    /// The fingers that are down or stay, from 1 to 4.
    pub(crate) fn on_the_board(&self) -> Vec<Down> {
        let mut fingers = self.down();
        fingers.extend(self.staying.iter().map(|(finger, place)| Down {
            finger: *finger,
            place: *place,
            barre: false,
            strikes: false,
        }));
        fingers.sort_by_key(|finger| finger.finger);
        fingers
    }

    fn finger(&self, finger: LeftFinger) -> Option<Down> {
        let plays = self.played_by(finger).map(|sounding| sounding.placement.place);
        let place = plays.min_by_key(|place| place.string).or(self.bound_at(finger).next())?;
        let strikes = self.played_by(finger).any(|sounding| sounding.struck);
        Some(Down { finger, place, barre: self.lies_as_barre(finger).is_some(), strikes })
    }

    /// The barre, if this finger makes it.
    pub(crate) fn lies_as_barre(&self, finger: LeftFinger) -> Option<Barre> {
        self.barre.filter(|_| finger == LeftFinger::One)
    }

    /// Numbers of the strings on which the barre lies, without the part that is
    /// lifted.
    pub(crate) fn laid(&self) -> Option<RangeInclusive<u8>> {
        let barre = self.barre?;
        let (thin, thick) = (barre.thin.get(), barre.thick.get());
        let stopped = self.stopped_by(LeftFinger::One).map(|s| s.placement.place.string);
        let mut stopped: Vec<u8> =
            stopped.filter(|string| barre.covers(*string)).map(|string| string.get()).collect();
        stopped.sort_unstable();
        Some(match self.hinge {
            None => thin..=thick,
            Some(Hinge::Thin) => stopped.first().copied().unwrap_or(thin)..=thick,
            Some(Hinge::Thick) => thin..=stopped.last().copied().unwrap_or(thick),
        })
    }

    /// Whether the barre covers a place, but for the part that is lifted.
    pub(crate) fn lays_over(&self, place: Place) -> bool {
        let lies = |laid: RangeInclusive<u8>| laid.contains(&place.string.get());
        self.barre.is_some_and(|barre| barre.fret == place.fret) && self.laid().is_some_and(lies)
    }

    /// Whether no finger is down.
    pub(crate) fn idle(&self) -> bool {
        self.bound.is_empty()
            && self.sounding.iter().all(|sounding| sounding.placement.finger.is_none())
    }

    /// The place of the hand: its position and the frets that it is away.
    pub(crate) fn place(&self) -> Option<Position> {
        self.away.or(self.position)
    }

    /// How many frets it is away, if its position is known.
    pub(crate) fn away_by(&self) -> Option<i64> {
        let away = i64::from(self.away?.get());
        Some(away - i64::from(self.position?.get()))
    }
}

impl Down {
    /// The fret it is at.
    pub(crate) const fn fret(&self) -> Fret {
        self.place.fret
    }

    /// Frets by which it lies above its own fret at a place of the hand.
    pub(crate) const fn offset(&self, hand: Position) -> i64 {
        hand.offset(self.finger, self.place.fret) as i64
    }

    /// Frets of extension: outwards, 1 back and the others on.
    pub(crate) fn extension(&self, hand: Position) -> i64 {
        let offset = self.offset(hand);
        if self.finger == LeftFinger::One { (-offset).max(0) } else { offset.max(0) }
    }

    /// Whether it is extended over a fret that a higher finger has: so a hand leans in
    /// which no lower one is down and more than one sound is made.
    pub(crate) fn may_lean(&self, hand: Position) -> bool {
        let outwards = self.finger != LeftFinger::One && self.offset(hand) > 0;
        outwards && self.fret() <= hand.fret_of(LeftFinger::Four)
    }

    /// Frets of contraction.
    pub(crate) fn contraction(&self, hand: Position) -> i64 {
        self.offset(hand).abs() - self.extension(hand)
    }
}
