//! All states of a layer but for what is remembered, laid out from what comes
//! into it. Layers made from the same are laid out once.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::hand::{Played, STRINGS};
use crate::heard::{Kind, Sound};

use super::grips::{Faults, Held, TooMany};
use super::ground::Ground;
use super::known::COMPARED;
use super::offers::{Offered, Offers};
use super::second::{self, Second};
use super::sheets::Sheets;
use super::stage::{Bucket, Fingered, Inlet, Sounding, Stand, entry, fingered_entries, of_finger};
use super::stands;
use super::tags::Tags;

/// Shapes of one layer at most.
const MOST_SHAPES: usize = 1_000_000;

/// The states of a layer.
#[derive(Clone, Debug, Default)]
pub(crate) struct Laid {
    pub inlets: Vec<Inlet>,
    pub buckets: Vec<Bucket>,
    /// By shape, which of the next stage's inlets it leads to.
    pub onward: Vec<u32>,
    pub stands: Vec<Stand>,
    /// By shape, the number of its first stand; one more at the end.
    pub first_stand: Vec<u32>,
    /// How many states there are.
    pub states: u32,
    /// What comes into the next stage by each of its inlets.
    pub leads_to: Arc<[Sounding]>,
    /// What its stands offer to the next stage's.
    pub offers: Offers,
}

/// All that a layer is laid out from: of two layers with the same recipe the
/// states are the same.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Recipe {
    rules: u32,
    incoming: Vec<Sounding>,
    /// By sound held, what it is, what it costs to let it go, its slot among those
    /// held by the next layer, whether it may leave its string to a finger, and what
    /// may become of its own.
    held: Vec<(i16, Kind, i64, Option<u16>, bool, Second)>,
    /// By sound that sounds on, the fingers that may take it over in the next layer.
    onward: Vec<u8>,
    /// The slots of the sounds struck.
    struck: Vec<Option<u16>>,
    /// Slurs downwards from sounds struck and held, and to what.
    pulled_off: Vec<(Result<usize, usize>, i16, Kind)>,
    /// The keys struck in the next two layers.
    ahead: Vec<i16>,
    offered: Offered,
    tags: Tags,
}

impl Recipe {
    fn of(
        ground: &Ground,
        layer: usize,
        incoming: &[Sounding],
        (offered, tags): (&Offered, Tags),
    ) -> Self {
        let music = &ground.music;
        let here = &music.layers[layer];
        let slots = Slots::of(ground, layer);
        let what = |sound: &Sound| (sound.key, sound.kind);
        let held = here.held.iter().zip(&slots.held).map(|(sound, slot)| {
            let (key, kind) = what(&music.sounds[*sound]);
            let leaves = may_leave_its_string(ground, layer, *sound);
            let second = ground.second(*sound, layer);
            (key, kind, ground.let_go(*sound, layer), *slot, leaves, second)
        });
        let pulled_off = stands::pulled_off(ground, layer).into_iter().map(|pulled| {
            let (key, kind) = what(&music.sounds[pulled.to]);
            (pulled.sound, key, kind)
        });
        let mut ahead: Vec<i16> = stands::ahead(ground, layer).map(|sound| sound.key).collect();
        ahead.sort_unstable();
        ahead.dedup();
        Self {
            rules: ground.rules[layer],
            incoming: incoming.to_vec(),
            held: held.collect(),
            onward: slots.onward(ground, layer),
            pulled_off: pulled_off.collect(),
            struck: slots.struck,
            ahead,
            offered: offered.clone(),
            tags,
        }
    }
}

/// Lays out a layer, or finds one that was laid out from the same.
pub(crate) fn lay(
    ground: &Ground,
    sheets: &mut Sheets,
    (layer, faults): (usize, Faults),
    incoming: &[Sounding],
    (offered, tags): (&Offered, Tags),
) -> Result<Arc<Laid>, TooMany> {
    let recipe = Recipe::of(ground, layer, incoming, (offered, tags));
    if let Some(laid) = sheets.laid.get(&recipe) {
        let laid = Arc::clone(laid);
        let compares = cfg!(debug_assertions) && ground.music.layers.len() <= COMPARED;
        assert!(
            !compares
                || lay_anew(ground, sheets, (layer, faults), incoming, (offered, tags))
                    .is_ok_and(|anew| anew.is_like(&laid)),
            "the recipe says all"
        );
        return Ok(laid);
    }
    let laid = lay_anew(ground, sheets, (layer, faults), incoming, (offered, tags))?;
    let laid = Arc::new(laid);
    sheets.laid.insert(recipe, Arc::clone(&laid));
    Ok(laid)
}

fn lay_anew(
    ground: &Ground,
    sheets: &mut Sheets,
    (layer, faults): (usize, Faults),
    incoming: &[Sounding],
    (offered, tags): (&Offered, Tags),
) -> Result<Laid, TooMany> {
    let mut laid = Laid { inlets: Vec::with_capacity(incoming.len()), ..Laid::default() };
    let mut bucket_of: FxHashMap<Sounding, u32> = FxHashMap::default();
    let mut held_sets: Vec<Sounding> = Vec::new();
    let contested = contested(ground, layer, faults);
    for code in incoming {
        let ways = ways(ground, layer, *code, contested, |held| {
            *bucket_of.entry(held).or_insert_with(|| {
                held_sets.push(held);
                held_sets.len() as u32 - 1
            })
        });
        laid.inlets.push(Inlet { ways });
    }
    fill(ground, sheets, layer, faults, (&mut laid, &held_sets))?;
    let buckets = &laid.buckets;
    for inlet in &mut laid.inlets {
        inlet.ways.retain(|(b, _)| !buckets[*b as usize].shapes.is_empty());
    }
    stands::set(ground, &mut sheets.places, layer, &mut laid, (offered, tags));
    laid.offers = Offers::of(&laid);
    Ok(laid)
}

impl Laid {
    /// Whether the hand may be idle.
    pub fn may_be_idle(&self) -> bool {
        self.stands.iter().any(Stand::is_idle)
    }

    fn is_like(&self, other: &Self) -> bool {
        let same = |(a, b): (&Bucket, &Bucket)| {
            a.held == b.held && a.shapes == b.shapes && Arc::ptr_eq(&a.sheet, &b.sheet)
        };
        self.inlets == other.inlets
            && self.onward == other.onward
            && self.stands == other.stands
            && self.first_stand == other.first_stand
            && self.states == other.states
            && self.leads_to == other.leads_to
            && self.buckets.len() == other.buckets.len()
            && self.buckets.iter().zip(&other.buckets).all(same)
    }
}

/// The slots among those held by the next layer of what sounds at one; none if
/// it does not sound on.
struct Slots {
    struck: Vec<Option<u16>>,
    held: Vec<Option<u16>>,
}

impl Slots {
    fn of(ground: &Ground, layer: usize) -> Self {
        let here = &ground.music.layers[layer];
        let goes_on = ground.music.is_reached(layer + 1);
        let next = ground.music.layers.get(layer + 1).filter(|_| goes_on);
        let held = next.map_or(&[][..], |next| &next.held);
        let slot = |sound: usize| held.iter().position(|s| *s == sound).map(|slot| slot as u16);
        Self {
            struck: here.struck().map(slot).collect(),
            held: here.held.iter().map(|sound| slot(*sound)).collect(),
        }
    }

    /// By slot, the fingers that may take the sound over in the next layer.
    fn onward(&self, ground: &Ground, layer: usize) -> Vec<u8> {
        let next = ground.music.layers.get(layer + 1).filter(|_| ground.seconds.are_taught());
        let all = next.map_or(&[][..], |next| &next.held);
        all.iter().map(|sound| ground.second(*sound, layer + 1).fingers).collect()
    }
}

/// Strings on which an open sound may have to be let go at a layer: those
/// that a struck sound may take, those that a barre may cover and those that are
/// silent in a shape of the house. Any other open sound is kept, since that never
/// costs more, but for one that may leave its string to a finger.
fn contested(ground: &Ground, layer: usize, faults: Faults) -> u16 {
    let rules = ground.rules_on(layer);
    let candidates = rules.struck.iter().flat_map(|struck| &struck.candidates);
    let places = candidates.map(|c| (c.string, c.fret));
    let silent = ground.house.silent_beside(places.clone());
    let struck = places.fold(silent, |set, (string, _)| set | 1 << string);
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

/// Whether a finger may have been bound on the string of a sound that sounds on
/// open, to stay there once the sound is let go.
fn may_leave_its_string(ground: &Ground, layer: usize, sound: usize) -> bool {
    let sound = &ground.music.sounds[sound];
    sound.layer + 1 == layer && !sound.auxiliaries.is_empty()
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
    let mut all = 0;
    let mut loose: Vec<Loose> = Vec::with_capacity(6);
    for (string, slot, finger) in fingered_entries(code) {
        let bits = entry(string, slot, finger);
        let sound = ground.music.layers[layer].held[usize::from(slot)];
        let free = contested & (1 << string) == 0 && !may_leave_its_string(ground, layer, sound);
        let second = match finger {
            Fingered::First(_) => ground.second(sound, layer),
            Fingered::Now(_) | Fingered::Second(_) => Second::default(),
        };
        if finger == Fingered::First(0) && free {
            fixed |= bits;
            all += second.kept;
        } else {
            let let_go = ground.let_go(sound, layer) + second.let_go;
            loose.push(Loose { bits, let_go, kept: second.kept });
        }
    }
    let mut ways = Vec::with_capacity(1 << loose.len());
    for choice in 0..1u32 << loose.len() {
        let mut held = fixed;
        let mut cost = all;
        for (index, sound) in loose.iter().enumerate() {
            if choice & (1 << index) != 0 {
                cost += sound.let_go;
            } else {
                held |= sound.bits;
                cost += sound.kept;
            }
        }
        ways.push((bucket(held), cost));
        for (was, is, price) in second::changes(ground, (layer, code), held) {
            let unchanged = loose.iter().find(|sound| sound.bits == was).map_or(0, |s| s.kept);
            ways.push((bucket(held & !was | is), cost - unchanged + price));
        }
    }
    ways
}

/// A sound that may be kept or let go, and what either costs.
struct Loose {
    bits: Sounding,
    let_go: i64,
    kept: i64,
}

fn fill(
    ground: &Ground,
    sheets: &mut Sheets,
    layer: usize,
    faults: Faults,
    (laid, held_sets): (&mut Laid, &[Sounding]),
) -> Result<(), TooMany> {
    let here = &ground.music.layers[layer];
    let slots = Slots::of(ground, layer);
    let touched: Vec<bool> =
        ground.rules_on(layer).struck.iter().map(|struck| struck.touched).collect();
    let mut onward: Vec<Sounding> = Vec::new();
    let mut onward_of: FxHashMap<Sounding, u32> = FxHashMap::default();
    for code in held_sets {
        let mut held = Vec::with_capacity(6);
        let mut still = 0;
        for (string, slot, fingered) in fingered_entries(*code) {
            let sound = &ground.music.sounds[here.held[usize::from(slot)]];
            let Some(fret) = ground.geometry.kept_fret(usize::from(string), sound) else {
                continue;
            };
            let finger = of_finger(fingered);
            let on_tip = fingered == Fingered::Now(1);
            held.push(Held { string, fret, finger, on_tip, key: sound.key });
            if let Some(slot) = slots.held[usize::from(slot)] {
                let fingered = if on_tip { Fingered::Second(1) } else { fingered };
                still |= entry(string, slot, fingered);
            }
        }
        let sheet = sheets.sheet(ground, ground.rules[layer], &held, faults)?;
        let first = laid.onward.len() as u32;
        let mut last: Option<(u32, u32)> = None;
        for (shape, played_at) in sheet.played_at.iter().enumerate() {
            if let Some((at, inlet)) = last
                && at == *played_at
                && !ground.seconds.are_taught()
            {
                laid.onward.push(inlet);
                continue;
            }
            let from = *played_at as usize;
            let mut code = still;
            for (index, sound) in sheet.played[from..from + here.struck().len()].iter().enumerate()
            {
                if let (true, Some(slot)) = (*sound != Played::OUT, slots.struck[index]) {
                    let finger = if touched[index] { 0 } else { sound.finger };
                    code |= entry(sound.string, slot, Fingered::First(finger));
                }
            }
            if code != 0 && ground.seconds.are_taught() {
                code |= second::free(ground, layer, code, &sheet.shapes[shape]);
            }
            let inlet = *onward_of.entry(code).or_insert_with(|| {
                onward.push(code);
                onward.len() as u32 - 1
            });
            last = Some((*played_at, inlet));
            laid.onward.push(inlet);
        }
        if laid.onward.len() > MOST_SHAPES {
            return Err(TooMany);
        }
        let shapes = first..laid.onward.len() as u32;
        laid.buckets.push(Bucket { held: *code, sheet, shapes });
    }
    laid.leads_to = onward.into();
    Ok(())
}
