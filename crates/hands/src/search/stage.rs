//! All states of the hand at one layer, laid out for the search.

use std::ops::{Deref, Range};
use std::sync::Arc;

use crate::hand::holding::LOW;
use crate::hand::{Hold, POSITIONS, Played, STRINGS, Shape, Stays};

use super::grips::Faults;
use super::laid::Laid;
use super::sheet::{Lanes, Sheet};

/// What is sounding across a cut: for each string twelve bits, the slot of the
/// sound among the next layer's held ones plus 1, and the finger; above them which
/// fingers are free to take something over (see `second`).
pub(crate) type Sounding = u128;

const BITS: usize = 12;
/// Sounds that may be held into one layer.
pub(crate) const MOST_HELD: usize = 254;

/// The finger that stops what sounds on, from 1; 0 if it is open.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Fingered {
    /// That with which it was struck.
    First(u8),
    /// Another, which has just taken it over.
    Now(u8),
    /// Another, since before.
    Second(u8),
}

/// The finger itself.
pub(crate) const fn of_finger(fingered: Fingered) -> u8 {
    match fingered {
        Fingered::First(finger) | Fingered::Now(finger) | Fingered::Second(finger) => finger,
    }
}

/// Added to the digit of a finger that has taken over. Only for finger 1 it matters
/// whether it has just done so, since then no barre lies.
const SECOND: u8 = 8;
const NOW: u8 = 8;

/// What one string of a [`Sounding`] says.
pub(crate) fn entry(string: u8, slot: u16, finger: Fingered) -> Sounding {
    let finger = match finger {
        Fingered::First(finger) => finger,
        Fingered::Now(1) => NOW,
        Fingered::Now(finger) | Fingered::Second(finger) => SECOND + finger,
    };
    (Sounding::from(slot + 1) << 4 | Sounding::from(finger)) << (BITS * usize::from(string))
}

/// String, slot and finger of everything sounding. A finger other than 1 that has just
/// taken over is told like one that has before.
pub(crate) fn fingered_entries(code: Sounding) -> impl Iterator<Item = (u8, u16, Fingered)> {
    ordered_entries(code).map(|(string, slot, finger)| {
        let fingered = match finger {
            NOW => Fingered::Now(1),
            _ if finger > SECOND => Fingered::Second(finger - SECOND),
            _ => Fingered::First(finger),
        };
        (string, slot, fingered)
    })
}

/// The same with a number for the finger, in the order of ties: that with which it was
/// struck is smaller than any that takes over.
pub(crate) fn ordered_entries(code: Sounding) -> impl Iterator<Item = (u8, u16, u8)> {
    (0..STRINGS).filter_map(move |string| {
        let bits = (code >> (BITS * string)) as u16 & 0xfff;
        (bits != 0).then(|| (string as u8, (bits >> 4) - 1, bits as u8 & 15))
    })
}

/// String, slot and finger of everything sounding.
pub(crate) fn entries(code: Sounding) -> impl Iterator<Item = (u8, u16, u8)> {
    fingered_entries(code).map(|(string, slot, finger)| (string, slot, of_finger(finger)))
}

/// What an idle hand remembers.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Tag {
    /// Where it is, 0 if that is not known.
    pub position: u8,
    /// The last layer at which it was not idle; [`Tag::LONG_AGO`] when no hurry
    /// can be left.
    pub layer: u32,
    /// The first seam's end at which it has been idle since; [`Tag::NO_SEAM`]
    /// if none.
    pub open: u32,
}

impl Tag {
    pub const LONG_AGO: u32 = u32::MAX;
    pub const NO_SEAM: u32 = u32::MAX;
}

/// A finger and a string that it has just left, or nothing.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub(crate) struct Lifted(u8);

impl Lifted {
    pub const NONE: Self = Self(0);

    /// Finger and string, both from 0.
    pub const fn of(finger: u8, string: u8) -> Self {
        Self(1 + finger + 4 * string)
    }

    pub const fn get(self) -> Option<(u8, u8)> {
        match self.0 {
            0 => None,
            code => Some(((code - 1) % 4, (code - 1) / 4)),
        }
    }
}

/// What a stand remembers of the layers before.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct Remembered {
    /// For `leap`, the finger of the lone sound one layer ago and the string it left.
    pub lifted: Lifted,
    /// For `exchange`, the finger and the string of a note that comes again.
    pub recalled: Lifted,
}

/// A shape with fingers that stay and what is remembered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Stand {
    pub shape: u32,
    pub stays: Stays,
    /// The numbers of their places, by finger in their order.
    pub staying: [u16; 2],
    /// Fingers that stay prepared for a slur, as bits; they need not have been
    /// there before.
    pub prepared: u8,
    pub memory: Remembered,
    /// The place of the hand if it is away, else 0.
    pub away: u8,
    /// The lowest position; 0 if it is idle.
    pub low: u8,
    /// Positions from there on, or tags if it is idle.
    pub count: u16,
    /// Where its totals begin.
    pub at: u32,
}

impl Stand {
    /// Whether no finger is down.
    pub const fn is_idle(&self) -> bool {
        self.low == 0
    }

    /// The positions it may be in, as bits; none if it is idle.
    pub const fn positions(&self) -> u32 {
        if self.is_idle() { 0 } else { (((1u64 << self.count) - 1) << self.low) as u32 }
    }

    /// Where its numbers stand in tables like [`Stage::totals`].
    pub const fn lanes(&self) -> Range<usize> {
        self.at as usize..self.at as usize + self.count as usize
    }

    /// Whether its fingers may stay after a hold (M3).
    pub fn may_follow(&self, hold: &Hold) -> bool {
        self.stays.is_empty()
            || self
                .stays
                .iter()
                .all(|stay| self.prepared & (1 << stay.finger) != 0 || hold.lets_stay(stay))
    }
}

/// Shapes that hold the same sounds.
#[derive(Clone, Debug)]
pub(crate) struct Bucket {
    pub held: Sounding,
    pub sheet: Arc<Sheet>,
    /// The numbers of its shapes in the stage.
    pub shapes: Range<u32>,
}

/// All that comes into a stage with the same sounds still wanted.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Inlet {
    /// The buckets it may go on to and what letting go costs.
    pub ways: Vec<(u32, i64)>,
}

/// A state of a stage: a stand, and which of its positions or tags.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(crate) struct Choice {
    pub stand: u32,
    pub lane: u16,
}

/// One layer of the search.
#[derive(Clone, Debug)]
pub(crate) struct Stage {
    pub faults: Faults,
    /// What comes in by each inlet.
    pub incoming: Arc<[Sounding]>,
    /// Its states; like layers share them.
    pub laid: Arc<Laid>,
    pub tags: Vec<Tag>,
    /// Tag here of a hand that was not idle at the layer before, by position.
    pub tag_of_position: [u16; POSITIONS],
    /// Tag here of each tag of the layer before.
    pub tag_after: Vec<u16>,
    /// The least cost from any state, itself included, to the end, less the
    /// same of the next stage.
    pub rise: i64,
    /// Cost from each state, itself included, to the end, above the least.
    /// [`NEVER`](super::sheet::NEVER) where there is no way to the end. Empty
    /// until it is priced.
    pub totals: Arc<[i32]>,
}

impl Deref for Stage {
    type Target = Laid;

    fn deref(&self) -> &Laid {
        &self.laid
    }
}

impl Stage {
    pub fn bucket_of(&self, shape: u32) -> &Bucket {
        let after = self.buckets.partition_point(|bucket| bucket.shapes.start <= shape);
        // Buckets without shapes share their start with the next one.
        &self.buckets[after - 1]
    }

    pub fn shape(&self, shape: u32) -> &Shape {
        let bucket = self.bucket_of(shape);
        &bucket.sheet.shapes[(shape - bucket.shapes.start) as usize]
    }

    pub fn played(&self, shape: u32, struck: usize) -> &[Played] {
        let bucket = self.bucket_of(shape);
        bucket.sheet.played((shape - bucket.shapes.start) as usize, struck)
    }

    pub fn stands_of(&self, shape: u32) -> Range<usize> {
        let shape = shape as usize;
        self.first_stand[shape] as usize..self.first_stand[shape + 1] as usize
    }

    pub fn stand(&self, choice: Choice) -> &Stand {
        &self.stands[choice.stand as usize]
    }

    pub fn hold(&self, stand: &Stand) -> Hold {
        self.shape(stand.shape).hold().staying(stand.stays)
    }

    /// Whether no finger is down.
    pub fn is_idle(&self, choice: Choice) -> bool {
        self.stand(choice).is_idle()
    }

    /// The position of a state, remembered while it is idle; 0 if none.
    pub fn position(&self, choice: Choice) -> u8 {
        let stand = self.stand(choice);
        if stand.is_idle() {
            self.tags[usize::from(choice.lane)].position
        } else {
            stand.low + choice.lane as u8
        }
    }

    /// The place of the hand while it is away.
    pub fn away(&self, choice: Choice) -> Option<u8> {
        Some(self.stand(choice).away).filter(|hand| *hand > 0)
    }

    /// Where the numbers of a state stand in tables like [`Stage::totals`].
    pub fn index(&self, choice: Choice) -> usize {
        self.stand(choice).at as usize + usize::from(choice.lane)
    }

    /// Cost from a state, itself included, to the end, above the least.
    pub fn to_end(&self, choice: Choice) -> i32 {
        self.totals[self.index(choice)]
    }

    /// What a state costs by itself; `None` if there is none.
    pub fn own(&self, choice: Choice) -> Option<i64> {
        let stand = self.stand(choice);
        let bucket = self.bucket_of(stand.shape);
        let index = (stand.shape - bucket.shapes.start) as usize;
        self.own_in(&bucket.sheet, index, stand, choice.lane)
    }

    /// The same where the sheet and the number of the shape in it are known.
    pub fn own_in(&self, sheet: &Sheet, shape: usize, stand: &Stand, lane: u16) -> Option<i64> {
        match sheet.lanes[shape] {
            Lanes::Idle { low, high } => {
                let position = self.tags[usize::from(lane)].position;
                let own = if position > LOW { high } else { low };
                stays_fit(stand.stays, position).then_some(i64::from(own))
            }
            Lanes::Positions { low, at, .. } if stand.away == 0 => {
                let lane = at as usize + usize::from(stand.low - low) + usize::from(lane);
                let own = sheet.own[lane];
                (own != super::sheet::NEVER).then_some(i64::from(own))
            }
            Lanes::Positions { .. } => {
                let away = sheet.aways(shape).iter().find(|away| away.hand == stand.away)?;
                Some(i64::from(away.own))
            }
        }
    }

    /// Every state.
    pub fn choices(&self) -> impl Iterator<Item = Choice> + '_ {
        (0u32..).zip(&self.stands).flat_map(move |(stand, of)| {
            (0..of.count)
                .map(move |lane| Choice { stand, lane })
                .filter(move |choice| self.own(*choice).is_some())
        })
    }
}

/// The positions in which a finger may stay: without extension (P9), and no
/// nearer than it can (P7).
pub(crate) fn positions_of(stay: crate::hand::shape::Stay) -> std::ops::RangeInclusive<u8> {
    match stay.finger {
        0 => stay.fret.saturating_sub(1).max(1)..=stay.fret,
        finger => stay.fret.saturating_sub(finger).max(1)..=stay.fret,
    }
}

/// Whether fingers may stay in a position; an unknown one has none.
pub(crate) fn stays_fit(stays: Stays, position: u8) -> bool {
    stays.iter().all(|stay| positions_of(stay).contains(&position))
}
