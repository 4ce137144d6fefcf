//! All states of the hand at one layer, in buckets by what they hold.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};
use std::ops::Range;

use crate::clock::UNHURRIED;
use crate::geometry::STRINGS;
use crate::limits::{LayerLimits, POSITIONS};
use crate::music::{Music, Role};
use crate::postures::{Faults, Held, Played, Postures, TooMany};
use crate::state::{Costs, State, Step};

/// What is sounding across a cut: for each string twelve bits, the slot of the
/// sound among the next layer's held ones plus 1, and the finger.
pub(crate) type Sounding = u128;

/// Hashes such codes, which are well mixed once multiplied.
#[derive(Clone, Copy, Debug, Default)]
struct Mix(u64);

type Quick = BuildHasherDefault<Mix>;

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u128(u128::from(*byte));
        }
    }

    fn write_u128(&mut self, code: u128) {
        // Knuth's multiplicative hashing with the golden ratio of 64 bits.
        let folded = (code >> 64) as u64 ^ (code as u64).rotate_left(32) ^ self.0;
        let mixed = folded.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 32);
    }
}

const BITS: usize = 12;
/// Sounds that may be held into one layer.
pub(crate) const MOST_HELD: usize = 510;
/// States of one layer at most.
const MOST_STATES: usize = 3_000_000;

fn entry(string: u8, slot: u16, finger: u8) -> Sounding {
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

/// One layer of the search.
#[derive(Clone, Debug)]
pub(crate) struct Stage {
    pub faults: Faults,
    pub states: Vec<State>,
    /// Cost from each state, itself included, to the end.
    pub total: Vec<i64>,
    pub air: Vec<State>,
    /// The same for states in the air: by state, then by tag.
    pub air_total: Vec<i64>,
    pub grips: Vec<Grip>,
    pub played: Vec<Played>,
    pub buckets: Vec<Bucket>,
    pub groups: Vec<Group>,
    pub inlets: Vec<Inlet>,
    pub tags: Vec<Tag>,
    /// Tag here of a hand stopped in the layer before, by its position.
    pub tag_of_position: [u16; POSITIONS],
    /// Tag here of each tag of the layer before.
    pub tag_after: Vec<u16>,
}

/// What all stages need.
pub(crate) struct Ground<'a> {
    pub music: &'a Music,
    pub costs: &'a Costs,
    pub limits: &'a [LayerLimits],
    pub steps: &'a [Step],
    pub level_extension: u8,
    /// Milliseconds between two layers.
    pub time: &'a dyn Fn(usize, usize) -> i64,
}

impl Ground<'_> {
    /// What letting go of a sound at a layer costs.
    pub fn let_go(&self, sound: usize, layer: usize) -> i64 {
        let (cut, ring) = self.let_go_terms(sound, layer);
        cut.1 + ring
    }

    /// The same as the cut, with the role it is for, and the ring.
    pub fn let_go_terms(&self, sound: usize, layer: usize) -> ((Role, i64), i64) {
        let sound = &self.music.sounds[sound];
        let table = &self.costs.table;
        let value = i64::from(match sound.role {
            Role::Melody => table.cut_melody,
            Role::Bass => table.cut_bass,
            Role::Inner => table.cut_inner,
        });
        let cut = if layer >= sound.written_until {
            0
        } else if layer >= sound.tail_from {
            value * i64::from(table.cut_tail) / 100
        } else {
            value
        };
        let rings = sound.wanted_end > sound.written_end && layer < sound.wanted_until;
        ((sound.role, cut), if rings { i64::from(table.ring) } else { 0 })
    }

    /// Per string, the frets that give a sound struck at a layer or in the
    /// next eight.
    fn gives(&self, layer: usize) -> [u32; STRINGS] {
        let past = (layer + 9).min(self.music.layers.len());
        let sounds = self.music.layers[layer].first..self.music.layers[past - 1].past;
        let mut gives = [0; STRINGS];
        for sound in &self.music.sounds[sounds] {
            self.add_given(&mut gives, sound.key);
        }
        gives
    }

    fn add_given(&self, gives: &mut [u32; STRINGS], key: i16) {
        for (string, frets) in gives.iter_mut().enumerate().take(self.costs.geometry.strings) {
            if let Some(fret) = self.costs.geometry.fret(string, key) {
                *frets |= 1 << fret;
            }
        }
    }

    /// Strings on which an open sound may have to be let go at a layer: those
    /// that a struck sound may take and those that a barre may cover. Any
    /// other open sound is kept, since that never costs more.
    fn contested(&self, layer: usize, gives: &[u32; STRINGS], faults: Faults) -> u16 {
        let limits = &self.limits[layer];
        let struck = limits.candidates.iter().flatten().fold(0, |set, c| set | 1 << c.string);
        if faults.1 == 0 && limits.barre[2] > 0 {
            return struck;
        }
        let mut gives = *gives;
        for held in &self.music.layers[layer].held {
            self.add_given(&mut gives, self.music.sounds[*held].key);
        }
        (1..=self.costs.geometry.frets).fold(struck, |set, fret| {
            let strings =
                (0..STRINGS).fold(0u16, |set, s| set | (((gives[s] >> fret & 1) as u16) << s));
            if strings.count_ones() < 2 {
                return set;
            }
            let (thin, thick) = (strings.trailing_zeros(), 15 - strings.leading_zeros());
            set | ((1 << (thick + 1)) - (1 << thin)) as u16
        })
    }

    /// Builds the stage of a layer from what comes into it; gives what goes on
    /// from it.
    pub fn stage(
        &self,
        layer: usize,
        incoming: &[Sounding],
        before: Option<&Stage>,
    ) -> Result<(Stage, Vec<Sounding>), TooMany> {
        let gives = self.gives(layer);
        let mut postures =
            Postures::new(self.costs, &self.limits[layer], self.level_extension, gives);
        let faults = postures.least_faults()?;
        let mut stage = Stage::empty(faults);
        stage.tag(self, layer, before);
        let mut bucket_of: HashMap<Sounding, u32, Quick> = HashMap::default();
        let mut held_sets: Vec<Sounding> = Vec::new();
        let contested = self.contested(layer, &gives, faults);
        for code in incoming {
            let ways = self.ways(layer, *code, contested, |held| {
                *bucket_of.entry(held).or_insert_with(|| {
                    held_sets.push(held);
                    held_sets.len() as u32 - 1
                })
            });
            stage.inlets.push(Inlet { ways });
        }
        let onward = self.fill(layer, &mut stage, &mut postures, &held_sets)?;
        for inlet in &mut stage.inlets {
            inlet.ways.retain(|(b, _)| !stage.buckets[*b as usize].is_empty());
        }
        Ok((stage, onward))
    }

    /// Every choice of what to keep of what comes in, with its cost.
    fn ways(
        &self,
        layer: usize,
        code: Sounding,
        contested: u16,
        mut bucket: impl FnMut(Sounding) -> u32,
    ) -> Vec<(u32, i64)> {
        let mut fixed = 0;
        let mut loose: Vec<(Sounding, i64)> = Vec::with_capacity(6);
        for (string, slot, finger) in entries(code) {
            let bits = entry(string, slot, finger);
            if finger == 0 && contested & (1 << string) == 0 {
                fixed |= bits;
            } else {
                let sound = self.music.layers[layer].held[usize::from(slot)];
                loose.push((bits, self.let_go(sound, layer)));
            }
        }
        (0..1u32 << loose.len())
            .map(|choice| {
                let mut held = fixed;
                let mut cost = 0;
                for (index, (bits, let_go)) in loose.iter().enumerate() {
                    if choice & (1 << index) != 0 {
                        cost += let_go;
                    } else {
                        held |= bits;
                    }
                }
                (bucket(held), cost)
            })
            .collect()
    }

    fn fill(
        &self,
        layer: usize,
        stage: &mut Stage,
        postures: &mut Postures<'_>,
        held_sets: &[Sounding],
    ) -> Result<Vec<Sounding>, TooMany> {
        let here = &self.music.layers[layer];
        let next_held = self.music.layers.get(layer + 1).map_or(&[][..], |l| &l.held);
        let slot_of =
            |sound: usize| next_held.iter().position(|s| *s == sound).map(|slot| slot as u16);
        let struck_slots: Vec<Option<u16>> = here.struck().map(slot_of).collect();
        let held_slots: Vec<Option<u16>> = here.held.iter().map(|s| slot_of(*s)).collect();
        let mut onward: Vec<Sounding> = Vec::new();
        let mut onward_of: HashMap<Sounding, u32, Quick> = HashMap::default();
        for (index, code) in held_sets.iter().enumerate() {
            let mut held = Vec::with_capacity(6);
            let mut still = 0;
            for (string, slot, finger) in entries(*code) {
                let sound = here.held[usize::from(slot)];
                let key = self.music.sounds[sound].key;
                let Some(fret) = self.costs.geometry.fret(usize::from(string), key) else {
                    continue;
                };
                held.push(Held { slot, string, fret, finger });
                if let Some(slot) = held_slots[usize::from(slot)] {
                    still |= entry(string, slot, finger);
                }
            }
            let (first, first_air) = (stage.states.len() as u32, stage.air.len() as u32);
            postures.each(&held, stage.faults, &mut |state, played, fresh| {
                if fresh {
                    let mut code = still;
                    for (sound, slot) in played.iter().zip(&struck_slots) {
                        if let (true, Some(slot)) = (*sound != Played::OUT, slot) {
                            code |= entry(sound.string, *slot, sound.finger);
                        }
                    }
                    let onward = *onward_of.entry(code).or_insert_with(|| {
                        onward.push(code);
                        onward.len() as u32 - 1
                    });
                    stage.grips.push(Grip {
                        played: stage.played.len() as u32,
                        bucket: index as u32,
                        onward,
                    });
                    stage.played.extend_from_slice(played);
                }
                let state = State { grip: stage.grips.len() as u32 - 1, ..*state };
                let list = if state.in_the_air() { &mut stage.air } else { &mut stage.states };
                list.push(state);
            })?;
            if stage.states.len() > MOST_STATES {
                return Err(TooMany);
            }
            stage.buckets.push(Bucket {
                held: *code,
                stopped: first..stage.states.len() as u32,
                groups: 0..0,
                air: first_air..stage.air.len() as u32,
                least: 0,
            });
        }
        Ok(onward)
    }
}

impl Bucket {
    fn is_empty(&self) -> bool {
        self.stopped.is_empty() && self.air.is_empty()
    }
}

impl Stage {
    fn empty(faults: Faults) -> Self {
        Self {
            faults,
            states: Vec::new(),
            total: Vec::new(),
            air: Vec::new(),
            air_total: Vec::new(),
            grips: Vec::new(),
            played: Vec::new(),
            buckets: Vec::new(),
            groups: Vec::new(),
            inlets: Vec::new(),
            tags: Vec::new(),
            tag_of_position: [0; POSITIONS],
            tag_after: Vec::new(),
        }
    }

    /// Numbers the memories a hand in the air may bring here. Those whose
    /// hurry cannot differ any more are one.
    fn tag(&mut self, ground: &Ground<'_>, layer: usize, before: Option<&Self>) {
        let Some(before) = before else {
            self.tags.push(Tag::NONE);
            return;
        };
        let last = ground.music.layers.len() - 1;
        let mut number = |tag: Tag| {
            let over = tag.layer == Tag::LONG_AGO
                || layer == last
                || (ground.time)(tag.layer as usize, layer + 1) >= UNHURRIED;
            let tag = if over { Tag { layer: Tag::LONG_AGO, ..tag } } else { tag };
            self.tags.iter().position(|t| *t == tag).unwrap_or_else(|| {
                self.tags.push(tag);
                self.tags.len() - 1
            }) as u16
        };
        let mut positions: u32 = 0;
        for state in &before.states {
            positions |= 1 << state.position;
        }
        for position in 1..POSITIONS {
            if positions & (1 << position) != 0 {
                self.tag_of_position[position] =
                    number(Tag { position: position as u8, layer: layer as u32 - 1 });
            }
        }
        if !before.air.is_empty() {
            self.tag_after = before.tags.iter().map(|tag| number(*tag)).collect();
        }
    }

    pub fn played_by(&self, grip: &Grip, struck: usize) -> &[Played] {
        &self.played[grip.played as usize..grip.played as usize + struck]
    }
}
