//! All states of the hand at one layer, in buckets by what they hold.

use std::ops::Range;

use crate::geometry::STRINGS;
use crate::limits::POSITIONS;
use crate::postures::{Faults, Played};
use crate::state::State;

/// What is sounding across a cut: for each string twelve bits, the slot of the
/// sound among the next layer's held ones plus 1, and the finger.
pub(crate) type Sounding = u128;

const BITS: usize = 12;
/// Sounds that may be held into one layer.
pub(crate) const MOST_HELD: usize = 510;
/// What one string of a [`Sounding`] says.
pub(crate) fn entry(string: u8, slot: u16, finger: u8) -> Sounding {
    (Sounding::from(slot + 1) << 3 | Sounding::from(finger)) << (BITS * usize::from(string))
}

/// String, slot and finger of everything sounding.
pub(crate) fn entries(code: Sounding) -> impl Iterator<Item = (u8, u16, u8)> {
    (0..STRINGS).filter_map(move |string| {
        let bits = (code >> (BITS * string)) as u16 & 0xfff;
        (bits != 0).then(|| (string as u8, (bits >> 3) - 1, bits as u8 & 7))
    })
}

/// When the hand in the air last stopped something, and where it was.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Tag {
    /// 0 before the first stopped layer.
    pub position: u8,
    /// The last stopped layer; [`Tag::LONG_AGO`] when no hurry can be left.
    pub layer: u32,
}

impl Tag {
    pub const LONG_AGO: u32 = u32::MAX;
    pub const NONE: Self = Self { position: 0, layer: Self::LONG_AGO };
}

/// One way of playing the struck sounds while holding certain others.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Grip {
    /// Where its sounds stand in [`Stage::played`].
    pub played: u32,
    pub bucket: u32,
    /// Which of the next stage's inlets it leads to.
    pub onward: u32,
}

/// States that hold the same sounds in the same places.
#[derive(Clone, Debug)]
pub(crate) struct Bucket {
    pub held: Sounding,
    pub stopped: Range<u32>,
    /// The same by position, once they are priced.
    pub groups: Range<u32>,
    pub air: Range<u32>,
    /// The least that any of its states still costs to the end.
    pub least: i64,
}

/// States of one bucket in one position, the cheapest first.
#[derive(Clone, Debug)]
pub(crate) struct Group {
    pub position: u8,
    pub states: Range<u32>,
    /// The least that any of them still costs to the end.
    pub least: i64,
}

/// All that comes into a stage with the same sounds still wanted.
#[derive(Clone, Debug)]
pub(crate) struct Inlet {
    /// The buckets it may go on to and what letting go costs.
    pub ways: Vec<(u32, i64)>,
}

/// A state of a stage, by index; in the air with the number of its tag.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Choice {
    Stopped(u32),
    Air(u32, u16),
}

/// One layer of the search.
#[derive(Clone, Debug)]
pub(crate) struct Stage {
    pub faults: Faults,
    pub states: Vec<State>,
    /// The least cost from any state, itself included, to the end, less the
    /// same of the next stage.
    pub rise: i64,
    /// Cost from each state, itself included, to the end, above the least.
    pub total: Vec<i64>,
    pub air: Vec<State>,
    /// The same for states in the air: by state, then by tag.
    pub air_total: Vec<i64>,
    pub grips: Vec<Grip>,
    pub played: Vec<Played>,
    pub buckets: Vec<Bucket>,
    pub groups: Vec<Group>,
    pub inlets: Vec<Inlet>,
    /// What comes in by each inlet.
    pub incoming: Vec<Sounding>,
    pub tags: Vec<Tag>,
    /// Tag here of a hand stopped in the layer before, by its position.
    pub tag_of_position: [u16; POSITIONS],
    /// Tag here of each tag of the layer before.
    pub tag_after: Vec<u16>,
}

impl Bucket {
    pub fn is_empty(&self) -> bool {
        self.stopped.is_empty() && self.air.is_empty()
    }
}

impl Stage {
    pub fn empty(faults: Faults) -> Self {
        Self {
            faults,
            states: Vec::new(),
            rise: 0,
            total: Vec::new(),
            air: Vec::new(),
            air_total: Vec::new(),
            grips: Vec::new(),
            played: Vec::new(),
            buckets: Vec::new(),
            groups: Vec::new(),
            inlets: Vec::new(),
            incoming: Vec::new(),
            tags: Vec::new(),
            tag_of_position: [0; POSITIONS],
            tag_after: Vec::new(),
        }
    }

    pub fn state(&self, choice: Choice) -> &State {
        match choice {
            Choice::Stopped(index) => &self.states[index as usize],
            Choice::Air(index, _) => &self.air[index as usize],
        }
    }

    pub fn grip(&self, choice: Choice) -> &Grip {
        &self.grips[self.state(choice).grip as usize]
    }

    /// Cost from a state, itself included, to the end, above the least.
    pub fn to_end(&self, choice: Choice) -> i64 {
        match choice {
            Choice::Stopped(index) => self.total[index as usize],
            Choice::Air(index, tag) => {
                self.air_total[index as usize * self.tags.len() + usize::from(tag)]
            }
        }
    }

    /// The position of a state, remembered while in the air; 0 if none.
    pub fn position(&self, choice: Choice) -> u8 {
        match choice {
            Choice::Stopped(index) => self.states[index as usize].position,
            Choice::Air(_, tag) => self.tags[usize::from(tag)].position,
        }
    }

    pub fn played_by(&self, grip: &Grip, struck: usize) -> &[Played] {
        &self.played[grip.played as usize..grip.played as usize + struck]
    }
}
