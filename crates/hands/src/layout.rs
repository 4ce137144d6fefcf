//! Lays out the stages: every state a layer may have, from what comes into it.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use crate::clock::UNHURRIED;
use crate::geometry::STRINGS;
use crate::ground::Ground;
use crate::limits::POSITIONS;
use crate::postures::{Faults, Held, Played, Postures, TooMany};
use crate::stage::{Bucket, Grip, Inlet, MOST_HELD, Sounding, Stage, Tag, entries, entry};
use crate::state::State;

/// States of one layer at most.
const MOST_STATES: usize = 3_000_000;

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

/// The layer at which the search had to give up.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct GaveUp(pub usize);

/// Lays out every layer.
///
/// Faults never depend on what went before: letting go of everything is always
/// possible, and holding something only takes choices away. So the least faults
/// of a piece are the least of each layer added up, and only postures with just
/// these need to be looked at.
pub(crate) fn lay_out(ground: &Ground) -> Result<Vec<Stage>, GaveUp> {
    let mut stages: Vec<Stage> = Vec::with_capacity(ground.music.layers.len());
    let mut incoming: Vec<Sounding> = vec![0];
    for layer in 0..ground.music.layers.len() {
        let (stage, onward) = lay(ground, layer, incoming, stages.last())?;
        stages.push(stage);
        incoming = onward;
    }
    Ok(stages)
}

fn lay(
    ground: &Ground,
    layer: usize,
    incoming: Vec<Sounding>,
    before: Option<&Stage>,
) -> Result<(Stage, Vec<Sounding>), GaveUp> {
    if ground.music.layers[layer].held.len() > MOST_HELD {
        return Err(GaveUp(layer));
    }
    ground.stage(layer, incoming, before).map_err(|TooMany| GaveUp(layer))
}

/// Lays out some layers again, given in order, and those after them as far as
/// something else comes into them than before. Gives all that were laid, in
/// order.
pub(crate) fn lay_again(
    ground: &Ground,
    stages: &mut [Stage],
    layers: &[usize],
) -> Result<Vec<usize>, GaveUp> {
    let mut laid: Vec<usize> = Vec::new();
    for first in layers {
        let mut layer = *first;
        if laid.last().is_some_and(|last| *last >= layer) {
            continue;
        }
        let mut incoming = std::mem::take(&mut stages[layer].incoming);
        loop {
            let (before, after) = stages.split_at_mut(layer);
            let (stage, onward) = lay(ground, layer, incoming, before.last())?;
            after[0] = stage;
            laid.push(layer);
            let [stage, next, ..] = after else { break };
            layer += 1;
            let mut tagged = Stage::empty(next.faults);
            tagged.tag(ground, layer, Some(stage));
            let same = next.incoming == onward
                && next.tags == tagged.tags
                && next.tag_of_position == tagged.tag_of_position
                && next.tag_after == tagged.tag_after;
            if same {
                break;
            }
            incoming = onward;
        }
    }
    Ok(laid)
}

impl Ground {
    /// Per string, the frets that give a sound struck at a layer or in the
    /// next eight.
    pub fn gives(&self, layer: usize) -> [u32; STRINGS] {
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
        incoming: Vec<Sounding>,
        before: Option<&Stage>,
    ) -> Result<(Stage, Vec<Sounding>), TooMany> {
        let gives = self.gives(layer);
        let mut postures =
            Postures::new(&self.costs, &self.limits[layer], self.level_extension, gives);
        let faults = postures.least_faults()?;
        let mut stage = Stage::empty(faults);
        stage.tag(self, layer, before);
        let mut bucket_of: HashMap<Sounding, u32, Quick> = HashMap::default();
        let mut held_sets: Vec<Sounding> = Vec::new();
        let contested = self.contested(layer, &gives, faults);
        for code in &incoming {
            let ways = self.ways(layer, *code, contested, |held| {
                *bucket_of.entry(held).or_insert_with(|| {
                    held_sets.push(held);
                    held_sets.len() as u32 - 1
                })
            });
            stage.inlets.push(Inlet { ways });
        }
        stage.incoming = incoming;
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
                let list = if state.idle() { &mut stage.air } else { &mut stage.states };
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

impl Stage {
    /// Numbers the memories a hand in the air may bring here. Those whose
    /// hurry cannot differ any more are one.
    fn tag(&mut self, ground: &Ground, layer: usize, before: Option<&Self>) {
        let Some(before) = before else {
            self.tags.push(Tag::NONE);
            return;
        };
        let last = ground.music.layers.len() - 1;
        let mut number = |tag: Tag| {
            let over = tag.layer == Tag::LONG_AGO
                || layer == last
                || ground.time(tag.layer as usize, layer + 1) >= UNHURRIED;
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
}
