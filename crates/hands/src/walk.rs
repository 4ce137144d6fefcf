//! Follows the cheapest way, the smallest where several are as cheap (model §5).

use std::cmp::Ordering;

use crate::ground::Ground;
use crate::moves::{Standing, own};
use crate::postures::Played;
use crate::stage::{Choice, Stage, entries};
use crate::state::State;

/// The hand at one layer of the chosen way.
#[derive(Clone, Debug)]
pub(crate) struct Chosen {
    /// Its position is that remembered while it is in the air, 0 if none.
    pub state: State,
    pub played: Vec<Played>,
    /// What it holds: slot among the layer's held sounds, string and finger.
    pub held: Vec<(u16, Played)>,
}

/// Goes on from a beginning of the cheapest way to its end.
pub(crate) fn finish(ground: &Ground, stages: &[Stage], way: &mut Vec<Choice>) {
    while way.len() < stages.len() {
        let layer = way.len();
        let Some(choice) = next(ground, stages, layer, way.last().copied()) else { break };
        way.push(choice);
    }
}

/// The cheapest way after the tables of some layers changed, the first and the
/// last of them given: up to the first it stays, and from where it meets the
/// old one after the last it is the old one.
pub(crate) fn again(
    ground: &Ground,
    stages: &[Stage],
    old: &[Choice],
    (first, last): (usize, usize),
) -> Vec<Choice> {
    let mut way = old[..first.min(old.len())].to_vec();
    while way.len() < stages.len() {
        let layer = way.len();
        let Some(choice) = next(ground, stages, layer, way.last().copied()) else { break };
        way.push(choice);
        if layer > last && old.get(layer) == Some(&choice) {
            way.extend(&old[layer + 1..]);
            break;
        }
    }
    way
}

/// The smallest of the cheapest states at a layer after the one chosen before.
fn next(ground: &Ground, stages: &[Stage], layer: usize, before: Option<Choice>) -> Option<Choice> {
    let stage = &stages[layer];
    let before = before.map(|choice| {
        let last = &stages[layer - 1];
        let standing = Standing::of(ground, layer - 1, last, choice, stage);
        // What is left to pay is known.
        let left = last.to_end(choice) + last.rise - own(ground, standing.state);
        (standing, last.grip(choice).onward, left)
    });
    let (inlet, tag, left) = before.as_ref().map_or((0, 0, 0), |(s, i, l)| (*i, s.tag, *l));
    let mut picked: Option<Choice> = None;
    let mut consider = |choice: Choice| {
        if picked.is_none_or(|old| compare(ground, layer, stage, choice, old) == Ordering::Less) {
            picked = Some(choice);
        }
    };
    for (bucket, cut) in &stage.inlets[inlet as usize].ways {
        let bucket = &stage.buckets[*bucket as usize];
        if bucket.least + cut > left {
            break;
        }
        for air in bucket.air.clone() {
            let choice = Choice::Air(air, tag as u16);
            if cut + stage.to_end(choice) == left {
                consider(choice);
            }
        }
        for group in &stage.groups[bucket.groups.start as usize..bucket.groups.end as usize] {
            for index in group.states.clone() {
                let rest = cut + stage.total[index as usize];
                if rest > left {
                    break;
                }
                let n = &stage.states[index as usize];
                if rest + before.as_ref().map_or(0, |(s, ..)| s.to(ground, n)) == left {
                    consider(Choice::Stopped(index));
                }
            }
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
            let grip = stage.grip(*choice);
            let struck = ground.music.layers[layer].struck().len();
            let mut held: Vec<(u16, Played)> = entries(stage.buckets[grip.bucket as usize].held)
                .map(|(string, slot, finger)| (slot, Played { string, finger }))
                .collect();
            held.sort_unstable_by_key(|(slot, _)| *slot);
            Chosen {
                state: State { position: stage.position(*choice), ..*stage.state(*choice) },
                played: stage.played_by(grip, struck).to_vec(),
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
    let kept = |choice: Choice| {
        let held = stage.buckets[stage.grip(choice).bucket as usize].held;
        let mut slots: Vec<u16> = entries(held).map(|(_, slot, _)| slot).collect();
        slots.sort_unstable();
        slots
    };
    let barre = |choice: Choice| {
        let state = stage.state(choice);
        (state.thin, state.thick)
    };
    stage
        .played_by(stage.grip(a), struck)
        .cmp(stage.played_by(stage.grip(b), struck))
        .then(stage.position(a).cmp(&stage.position(b)))
        .then_with(|| kept_first(&kept(a), &kept(b)))
        .then(barre(a).cmp(&barre(b)))
}

/// Compares two sets of kept sounds, the lowest first, kept before let go.
fn kept_first(a: &[u16], b: &[u16]) -> Ordering {
    for (x, y) in a.iter().zip(b) {
        match x.cmp(y) {
            Ordering::Equal => {}
            // The smaller number is kept on one side only.
            different => return different,
        }
    }
    b.len().cmp(&a.len())
}
