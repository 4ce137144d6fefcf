//! Lays out the stages: every state a layer may have, from what comes into it.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};
use std::sync::Arc;

use crate::hand::STRINGS;
use crate::heard::clock::UNHURRIED;

use super::grips::{Faults, Grips, Held, TooMany};
use super::ground::Ground;
use super::meets::Places;
use super::sheet::Sheet;
use super::stage::{Bucket, Inlet, MOST_HELD, Sounding, Stage, Stand, Tag, entries, entry};
use super::stands;
use crate::hand::{POSITIONS, Played};

/// Shapes of one layer at most.
const MOST_SHAPES: usize = 1_000_000;

/// Hashes codes, which are well mixed once multiplied.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Mix(u64);

pub(crate) type Quick = BuildHasherDefault<Mix>;

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u128(u128::from(*byte));
        }
    }

    fn write_u32(&mut self, code: u32) {
        self.write_u128(u128::from(code));
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

/// What is held, as far as postures depend on it: eight bits a string.
type HeldCode = u128;

/// The sheets made so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sheets {
    /// By the number of rules, the least faults under them.
    least: HashMap<u32, Faults, Quick>,
    made: HashMap<(u32, HeldCode), Arc<Sheet>, Quick>,
    /// Where the fingers are in them.
    pub places: Places,
}

impl Sheets {
    fn least_faults(&mut self, ground: &Ground, rules: u32) -> Result<Faults, TooMany> {
        if let Some(faults) = self.least.get(&rules) {
            return Ok(*faults);
        }
        let of = &ground.rule_book[rules as usize];
        let mut grips = Grips::new(ground.pricing(), of);
        let mut sheet = grips.sheet(&[], (0, 0))?;
        let faults = if sheet.shapes.is_empty() { grips.least_faults()? } else { (0, 0) };
        if faults == (0, 0) {
            sheet.finish(&mut self.places);
            self.made.insert((rules, 0), Arc::new(sheet));
        }
        self.least.insert(rules, faults);
        Ok(faults)
    }

    fn sheet(
        &mut self,
        ground: &Ground,
        rules: u32,
        held: &[Held],
        faults: Faults,
    ) -> Result<Arc<Sheet>, TooMany> {
        let code = held.iter().fold(0, |code, sound| {
            let bits = u128::from(sound.fret + 1) << 3 | u128::from(sound.finger);
            code | bits << (8 * sound.string)
        });
        // Where a barre may end depends on what is held as well as where it is;
        // only a harmonic sounds another key there.
        if let Some(sheet) = self.made.get(&(rules, code)) {
            return Ok(Arc::clone(sheet));
        }
        let of = &ground.rule_book[rules as usize];
        let mut grips = Grips::new(ground.pricing(), of);
        let mut sheet = grips.sheet(held, faults)?;
        sheet.finish(&mut self.places);
        let sheet = Arc::new(sheet);
        self.made.insert((rules, code), Arc::clone(&sheet));
        Ok(sheet)
    }
}

/// Lays out every layer.
///
/// Faults never depend on what went before: letting go of everything is always
/// possible, and holding something only takes choices away. So the least faults
/// of a piece are the least of each layer added up, and only postures with just
/// these need to be looked at.
pub(crate) fn lay_out(ground: &Ground, sheets: &mut Sheets) -> Result<Vec<Stage>, GaveUp> {
    let mut stages: Vec<Stage> = Vec::with_capacity(ground.music.layers.len());
    let mut incoming: Vec<Sounding> = vec![0];
    for layer in 0..ground.music.layers.len() {
        let (stage, onward) = lay(ground, sheets, layer, incoming, stages.last())?;
        stages.push(stage);
        incoming = onward;
    }
    Ok(stages)
}

/// Lays out some layers again, given in order, and those after them as far as
/// something else comes into them than before. Gives all that were laid, in
/// order.
pub(crate) fn lay_again(
    ground: &Ground,
    sheets: &mut Sheets,
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
            let (stage, onward) = lay(ground, sheets, layer, incoming, before.last())?;
            let same = stage.offers_the_same(&after[0], layer, ground);
            after[0] = stage;
            laid.push(layer);
            let [_, next, ..] = after else { break };
            if same && next.incoming == onward {
                break;
            }
            layer += 1;
            incoming = onward;
        }
    }
    Ok(laid)
}

fn lay(
    ground: &Ground,
    sheets: &mut Sheets,
    layer: usize,
    mut incoming: Vec<Sounding>,
    before: Option<&Stage>,
) -> Result<(Stage, Vec<Sounding>), GaveUp> {
    if ground.music.layers[layer].held.len() > MOST_HELD {
        return Err(GaveUp(layer));
    }
    if !ground.music.is_reached(layer) {
        incoming = vec![0];
    }
    stage(ground, sheets, layer, incoming, before).map_err(|TooMany| GaveUp(layer))
}

/// Builds the stage of a layer from what comes into it; gives what goes on from
/// it.
fn stage(
    ground: &Ground,
    sheets: &mut Sheets,
    layer: usize,
    incoming: Vec<Sounding>,
    before: Option<&Stage>,
) -> Result<(Stage, Vec<Sounding>), TooMany> {
    let rules = ground.rules[layer];
    let faults = sheets.least_faults(ground, rules)?;
    let mut stage = Stage {
        faults,
        incoming: Vec::new(),
        inlets: Vec::with_capacity(incoming.len()),
        buckets: Vec::new(),
        onward: Vec::new(),
        stands: Vec::new(),
        first_stand: Vec::new(),
        tags: Vec::new(),
        tag_of_position: [0; POSITIONS],
        tag_after: Vec::new(),
        rise: 0,
        totals: Vec::new(),
    };
    stage.tag(ground, layer, before);
    let mut bucket_of: HashMap<Sounding, u32, Quick> = HashMap::default();
    let mut held_sets: Vec<Sounding> = Vec::new();
    let contested = contested(ground, layer, faults);
    for code in &incoming {
        let ways = ways(ground, layer, *code, contested, |held| {
            *bucket_of.entry(held).or_insert_with(|| {
                held_sets.push(held);
                held_sets.len() as u32 - 1
            })
        });
        stage.inlets.push(Inlet { ways });
    }
    stage.incoming = incoming;
    let onward = fill(ground, sheets, layer, &mut stage, &held_sets)?;
    for inlet in &mut stage.inlets {
        inlet.ways.retain(|(b, _)| !stage.buckets[*b as usize].shapes.is_empty());
    }
    stands::set(ground, &mut sheets.places, layer, &mut stage, before);
    Ok((stage, onward))
}

/// Strings on which an open sound may have to be let go at a layer: those
/// that a struck sound may take and those that a barre may cover. Any
/// other open sound is kept, since that never costs more.
fn contested(ground: &Ground, layer: usize, faults: Faults) -> u16 {
    let rules = ground.rules_on(layer);
    let candidates = rules.struck.iter().flat_map(|struck| &struck.candidates);
    let struck = candidates.fold(0, |set, c| set | 1 << c.string);
    if faults.1 == 0 && rules.barre[2] > 0 {
        return struck;
    }
    let mut ends = rules.ends;
    for held in &ground.music.layers[layer].held {
        ground.geometry.add_ends(&mut ends, ground.music.sounds[*held].key);
    }
    (1..=ground.geometry.frets).fold(struck, |set, fret| {
        let strings = (0..STRINGS).fold(0u16, |set, s| set | (((ends[s] >> fret & 1) as u16) << s));
        if strings.count_ones() < 2 {
            return set;
        }
        let (thin, thick) = (strings.trailing_zeros(), 15 - strings.leading_zeros());
        set | ((1 << (thick + 1)) - (1 << thin)) as u16
    })
}

/// Every choice of what to keep of what comes in, with its cost.
fn ways(
    ground: &Ground,
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
            let sound = ground.music.layers[layer].held[usize::from(slot)];
            loose.push((bits, ground.let_go(sound, layer)));
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
    ground: &Ground,
    sheets: &mut Sheets,
    layer: usize,
    stage: &mut Stage,
    held_sets: &[Sounding],
) -> Result<Vec<Sounding>, TooMany> {
    let here = &ground.music.layers[layer];
    let goes_on = ground.music.is_reached(layer + 1);
    let next_held = ground.music.layers.get(layer + 1).filter(|_| goes_on);
    let next_held = next_held.map_or(&[][..], |l| &l.held);
    let slot_of = |sound: usize| next_held.iter().position(|s| *s == sound).map(|slot| slot as u16);
    let struck_slots: Vec<Option<u16>> = here.struck().map(slot_of).collect();
    let held_slots: Vec<Option<u16>> = here.held.iter().map(|s| slot_of(*s)).collect();
    let touched: Vec<bool> =
        ground.rules_on(layer).struck.iter().map(|struck| struck.touched).collect();
    let mut onward: Vec<Sounding> = Vec::new();
    let mut onward_of: HashMap<Sounding, u32, Quick> = HashMap::default();
    for code in held_sets {
        let mut held = Vec::with_capacity(6);
        let mut still = 0;
        for (string, slot, finger) in entries(*code) {
            let sound = &ground.music.sounds[here.held[usize::from(slot)]];
            let Some(fret) = ground.geometry.kept_fret(usize::from(string), sound) else {
                continue;
            };
            held.push(Held { string, fret, finger, key: sound.key });
            if let Some(slot) = held_slots[usize::from(slot)] {
                still |= entry(string, slot, finger);
            }
        }
        let sheet = sheets.sheet(ground, ground.rules[layer], &held, stage.faults)?;
        let first = stage.onward.len() as u32;
        let mut last: Option<(u32, u32)> = None;
        for played_at in &sheet.played_at {
            if let Some((at, inlet)) = last
                && at == *played_at
            {
                stage.onward.push(inlet);
                continue;
            }
            let from = *played_at as usize;
            let mut code = still;
            for (index, sound) in sheet.played[from..from + here.struck().len()].iter().enumerate()
            {
                if let (true, Some(slot)) = (*sound != Played::OUT, struck_slots[index]) {
                    let finger = if touched[index] { 0 } else { sound.finger };
                    code |= entry(sound.string, slot, finger);
                }
            }
            let inlet = *onward_of.entry(code).or_insert_with(|| {
                onward.push(code);
                onward.len() as u32 - 1
            });
            last = Some((*played_at, inlet));
            stage.onward.push(inlet);
        }
        if stage.onward.len() > MOST_SHAPES {
            return Err(TooMany);
        }
        let shapes = first..stage.onward.len() as u32;
        stage.buckets.push(Bucket { held: *code, sheet, shapes });
    }
    Ok(onward)
}

impl Stage {
    /// Numbers the memories an idle hand may bring here. Those whose hurry
    /// cannot differ any more are one.
    fn tag(&mut self, ground: &Ground, layer: usize, before: Option<&Self>) {
        let here = ground.seam_end(layer);
        let fresh = Tag { position: 0, layer: Tag::LONG_AGO, open: here };
        let Some(before) = before else {
            self.tags.push(fresh);
            return;
        };
        let reached = ground.music.is_reached(layer);
        let last = ground.music.layers.len() - 1;
        let mut number = |tag: Tag| {
            let open = tag.open.min(here);
            let over = tag.layer == Tag::LONG_AGO
                || layer == last
                || ground.time(tag.layer as usize, layer + 1) >= UNHURRIED;
            let tag = match (reached, over) {
                (false, _) => Tag { open, ..fresh },
                (true, true) => Tag { layer: Tag::LONG_AGO, open, ..tag },
                (true, false) => Tag { open, ..tag },
            };
            self.tags.iter().position(|t| *t == tag).unwrap_or_else(|| {
                self.tags.push(tag);
                self.tags.len() - 1
            }) as u16
        };
        let mut positions: u32 = 0;
        for stand in &before.stands {
            positions |= stand.positions();
        }
        for position in 1..POSITIONS {
            if positions & (1 << position) != 0 {
                self.tag_of_position[position] = number(Tag {
                    position: position as u8,
                    layer: layer as u32 - 1,
                    open: Tag::NO_SEAM,
                });
            }
        }
        if before.stands.iter().any(Stand::is_idle) {
            self.tag_after = before.tags.iter().map(|tag| number(*tag)).collect();
        }
        // A stage without idle shapes still needs its numbers for none.
        if self.tags.is_empty() {
            self.tags.push(fresh);
        }
    }

    /// Whether what the next stage makes of this one is what it made of another:
    /// its memories and the fingers that may stay.
    fn offers_the_same(&self, other: &Self, layer: usize, ground: &Ground) -> bool {
        let next = layer + 1;
        if next >= ground.music.layers.len() {
            return true;
        }
        let idle = |stage: &Self| stage.stands.iter().any(Stand::is_idle);
        self.tags == other.tags
            && idle(self) == idle(other)
            && self.positions() == other.positions()
            && stands::offered(ground, next, self) == stands::offered(ground, next, other)
    }

    fn positions(&self) -> u32 {
        self.stands.iter().fold(0, |set, stand| set | stand.positions())
    }
}
