//! Follows the cheapest way, the smallest where several are as cheap (model §5).

use std::cmp::Ordering;

use rustc_hash::FxHashMap;

use crate::hand::shape::Stays;
use crate::hand::{Hinged, Played, Shape};

use super::ground::Ground;
use super::known::{COMPARED, Case};
use super::moves::Mover;
use super::seams::Fixed;
use super::sheet::NEVER;
use super::stage::{Choice, Stage, entries, ordered_entries};
use super::to_end::begins_anew;

/// The hand at one layer of the chosen way.
#[derive(Clone, Debug)]
pub(crate) struct Chosen {
    pub shape: Shape,
    /// That remembered while it is idle, 0 if none.
    pub position: u8,
    /// The place of the hand while it is away.
    pub away: Option<u8>,
    pub stays: Stays,
    pub played: Vec<Played>,
    pub strings: crate::hand::shape::Strings,
    /// What it holds: slot among the layer's held sounds, string, fret and finger.
    pub held: Vec<(u16, Played)>,
}

impl Chosen {
    pub const fn hand(&self) -> u8 {
        match self.away {
            Some(hand) => hand,
            None => self.position,
        }
    }
}

/// Goes on from a beginning of the cheapest way to its end.
///
/// Where music comes again that costs the same on to the end, the hand goes on
/// as it did.
pub(crate) fn finish(kit: (&Ground, &Fixed), stages: &[Stage], way: &mut Vec<Choice>) {
    let compares = cfg!(debug_assertions) && stages.len() <= COMPARED;
    let mut known: FxHashMap<(Case, Choice), Choice> = FxHashMap::default();
    while way.len() < stages.len() {
        let layer = way.len();
        let before = way.last().copied();
        let case = before.and_then(|before| {
            let pair = (&stages[layer - 1], &stages[layer]);
            Some((Case::of(kit, layer - 1, pair, &stages[layer].totals)?, before))
        });
        let found = case.as_ref().and_then(|case| known.get(case)).copied();
        let anew = match found {
            Some(_) if !compares => None,
            _ => next(kit, stages, layer, before),
        };
        assert!(!compares || found.is_none() || found == anew, "the case says all");
        let Some(choice) = found.or(anew) else { break };
        if let (None, Some(case)) = (found, case) {
            known.insert(case, choice);
        }
        way.push(choice);
    }
}

/// The cheapest way after the tables of some layers changed, the first and the
/// last of them given: up to the first it stays, and from where it meets the
/// old one after the last it is the old one.
pub(crate) fn again(
    kit: (&Ground, &Fixed),
    stages: &[Stage],
    old: &[Choice],
    (first, last): (usize, usize),
) -> Vec<Choice> {
    let mut way = old[..first.min(old.len())].to_vec();
    while way.len() < stages.len() {
        let layer = way.len();
        let Some(choice) = next(kit, stages, layer, way.last().copied()) else { break };
        way.push(choice);
        if layer > last && old.get(layer) == Some(&choice) {
            way.extend(&old[layer + 1..]);
            break;
        }
    }
    way
}

/// The smallest of the cheapest states at a layer after the one chosen before.
fn next(
    kit: (&Ground, &Fixed),
    stages: &[Stage],
    layer: usize,
    before: Option<Choice>,
) -> Option<Choice> {
    let stage = &stages[layer];
    let mut best = i64::MAX;
    let mut picked: Option<Choice> = None;
    let mut consider = |choice: Choice, cost: i64| {
        let total = stage.to_end(choice);
        if total == NEVER || i64::from(total) + cost > best {
            return;
        }
        let sum = i64::from(total) + cost;
        let smaller = |old: Choice| compare(kit.0, layer, stage, choice, old) == Ordering::Less;
        if sum < best || picked.is_none_or(smaller) {
            best = sum;
            picked = Some(choice);
        }
    };
    match before {
        None => {
            let first = stage.choices().filter(|choice| begins_anew(stage, *choice));
            first.for_each(|choice| consider(choice, 0));
        }
        Some(before) => {
            let last = &stages[layer - 1];
            // What is left to pay is known.
            let own = last.own(before).unwrap_or(0) + kit.1.leaving(kit.0, layer - 1, last, before);
            let left = i64::from(last.to_end(before)) + last.rise - own;
            Mover::new(kit, layer - 1, (last, stage), before).each_below(left, consider);
        }
    }
    picked
}

/// The hand as it is at every layer of a way.
pub(crate) fn hands(ground: &Ground, stages: &[Stage], way: &[Choice]) -> Vec<Chosen> {
    way.iter()
        .zip(stages)
        .enumerate()
        .map(|(layer, (choice, stage))| {
            let stand = stage.stand(*choice);
            let struck = ground.music.layers[layer].struck().len();
            let bucket = stage.bucket_of(stand.shape);
            let index = (stand.shape - bucket.shapes.start) as usize;
            let strings = bucket.sheet.strings[index];
            let mut held: Vec<(u16, Played)> = entries(bucket.held)
                .map(|(string, slot, finger)| {
                    let fret = strings.fret[usize::from(string)];
                    (slot, Played { string, fret, finger })
                })
                .collect();
            held.sort_unstable_by_key(|(slot, _)| *slot);
            Chosen {
                shape: bucket.sheet.shapes[index],
                position: stage.position(*choice),
                away: stage.away(*choice),
                stays: stand.stays,
                played: stage.played(stand.shape, struck).to_vec(),
                strings,
                held,
            }
        })
        .collect()
}

/// The order of ties among the states of a layer that follow the same one.
pub(crate) fn compare(
    ground: &Ground,
    layer: usize,
    stage: &Stage,
    a: Choice,
    b: Choice,
) -> Ordering {
    let struck = ground.music.layers[layer].struck().len();
    let shape = |choice: Choice| stage.stand(choice).shape;
    let kept = |choice: Choice| {
        let held = stage.bucket_of(shape(choice)).held;
        let mut slots: Vec<(u16, u8)> =
            ordered_entries(held).map(|(_, slot, finger)| (slot, finger)).collect();
        slots.sort_unstable();
        slots
    };
    let barre = |choice: Choice| -> (u32, u32, Hinged) {
        let of = stage.shape(shape(choice));
        // None first; then by thinnest string, then by thickest.
        match of.span {
            0 => (0, 0, Hinged::No),
            span => (span.trailing_zeros() + 1, 16 - span.leading_zeros(), of.hinged),
        }
    };
    let besides = |choice: Choice| {
        let stand = stage.stand(choice);
        let of = stage.shape(stand.shape);
        [0u8, 1, 2, 3].map(|finger| {
            let index = usize::from(finger);
            if of.bound & (1 << finger) != 0 {
                Some((of.string(index) as u8, of.fret[index]))
            } else {
                stand.stays.of(finger).map(|stay| (stay.string, stay.fret))
            }
        })
    };
    let away = |choice: Choice| stage.away(choice).map_or(0, |hand| hand - stage.position(choice));
    stage
        .played(shape(a), struck)
        .cmp(stage.played(shape(b), struck))
        .then_with(|| stage.position(a).cmp(&stage.position(b)))
        .then_with(|| away(a).cmp(&away(b)))
        .then_with(|| kept_first(&kept(a), &kept(b)))
        .then_with(|| barre(a).cmp(&barre(b)))
        .then_with(|| besides(a).cmp(&besides(b)))
}

/// Compares two sets of kept sounds, the lowest first: kept by the finger it had, by
/// another, let go.
fn kept_first(a: &[(u16, u8)], b: &[(u16, u8)]) -> Ordering {
    for (x, y) in a.iter().zip(b) {
        match x.cmp(y) {
            Ordering::Equal => {}
            // The smaller number is kept on one side only, or by the finger it had.
            different => return different,
        }
    }
    b.len().cmp(&a.len())
}
