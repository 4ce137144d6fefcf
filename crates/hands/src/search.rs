//! The exact search: costs to the end backwards, then the cheapest way
//! forwards, the smallest where several are as cheap (model §5).

use std::cmp::Ordering;

use crate::clock::hurry;
use crate::postures::{Faults, Played, TooMany};
use crate::stage::{Ground, Group, MOST_HELD, Sounding, Stage, Tag, entries};
use crate::state::{State, Step};

/// The hand at one layer of the chosen way.
#[derive(Clone, Debug)]
pub(crate) struct Chosen {
    /// Its position is that remembered while it is in the air, 0 if none.
    pub state: State,
    pub played: Vec<Played>,
    /// What it holds: slot among the layer's held sounds, string and finger.
    pub held: Vec<(u16, Played)>,
}

/// The layer at which the search had to give up.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct GaveUp(pub usize);

/// A state of a stage with what it remembers.
#[derive(Clone, Copy)]
struct Standing<'a> {
    state: &'a State,
    /// Position for the shift, 0 if unknown.
    position: u8,
    step: Step,
    /// Its tag in the next stage, should the hand be in the air there.
    tag: usize,
}

const NEVER: i64 = i64::MAX / 4;

/// What was found.
#[derive(Clone, Debug)]
pub(crate) struct Found {
    /// The hand at every layer.
    pub way: Vec<Chosen>,
    /// The least faults there, which it has.
    pub faults: Vec<Faults>,
    /// The effort of the whole.
    pub effort: i64,
}

/// The cheapest way through all layers and its effort.
///
/// Faults never depend on what went before: letting go of everything is always
/// possible, and holding something only takes choices away. So the least faults
/// of a piece are the least of each layer added up, and only postures with just
/// these need to be looked at.
pub(crate) fn search(ground: &Ground<'_>) -> Result<Found, GaveUp> {
    let mut stages = lay_out(ground)?;
    for layer in (0..stages.len()).rev() {
        let (here, after) = stages.split_at_mut(layer + 1);
        if let Some(stage) = here.last_mut() {
            price(ground, layer, stage, after.first());
        }
    }
    let (way, effort) = walk(ground, &stages);
    Ok(Found { way, faults: stages.iter().map(|s| s.faults).collect(), effort })
}

fn lay_out(ground: &Ground<'_>) -> Result<Vec<Stage>, GaveUp> {
    let mut stages: Vec<Stage> = Vec::with_capacity(ground.music.layers.len());
    let mut incoming: Vec<Sounding> = vec![0];
    for layer in 0..ground.music.layers.len() {
        if ground.music.layers[layer].held.len() > MOST_HELD {
            return Err(GaveUp(layer));
        }
        let (stage, onward) =
            ground.stage(layer, &incoming, stages.last()).map_err(|TooMany| GaveUp(layer))?;
        stages.push(stage);
        incoming = onward;
    }
    Ok(stages)
}

fn standing_stopped<'a>(
    ground: &Ground<'_>,
    layer: usize,
    state: &'a State,
    next: &Stage,
) -> Standing<'a> {
    let step = ground.steps[layer];
    let tag = usize::from(next.tag_of_position[usize::from(state.position)]);
    Standing { state, position: state.position, step, tag }
}

fn standing_in_air<'a>(
    ground: &Ground<'_>,
    layer: usize,
    stage: &Stage,
    state: &'a State,
    tag: usize,
    next: &Stage,
) -> Standing<'a> {
    let Tag { position, layer: last } = stage.tags[tag];
    let mut step = ground.steps[layer];
    step.since_stopped =
        if last == Tag::LONG_AGO { 1 } else { hurry((ground.time)(last as usize, layer + 1)) };
    Standing { state, position, step, tag: usize::from(next.tag_after[tag]) }
}

/// What a shift costs, ease taken off.
fn shift(ground: &Ground<'_>, s: &Standing<'_>, n: &State) -> i64 {
    let whole =
        ground.costs.shift[usize::from(s.position)][usize::from(n.position)] * s.step.since_stopped;
    if whole == 0 {
        return 0;
    }
    whole - whole * ground.costs.ease_percent(s.state, n, s.step.rest) / 100
}

fn fingers(ground: &Ground<'_>, s: &Standing<'_>, n: &State) -> i64 {
    let mut sum = 0;
    ground.costs.fingers(s.state, n, s.step.hurry, &mut |_, amount| sum += amount);
    sum
}

/// Works out the cost to the end from every state of a stage and sorts the
/// states of each bucket by it.
fn price(ground: &Ground<'_>, layer: usize, stage: &mut Stage, next: Option<&Stage>) {
    let own = |state: &State| {
        let mut sum = 0;
        ground.costs.posture(state, &mut |_, amount| sum += amount);
        sum
    };
    let mut total: Vec<i64> = Vec::with_capacity(stage.states.len());
    let mut air_total = Vec::with_capacity(stage.air.len() * stage.tags.len());
    for state in &stage.states {
        let onward = next.map_or(0, |next| {
            let standing = standing_stopped(ground, layer, state, next);
            onward(ground, &standing, next, stage.grips[state.grip as usize].onward)
        });
        total.push(own(state) + onward);
    }
    for state in &stage.air {
        for tag in 0..stage.tags.len() {
            air_total.push(next.map_or(0, |next| {
                let standing = standing_in_air(ground, layer, stage, state, tag, next);
                onward(ground, &standing, next, stage.grips[state.grip as usize].onward)
            }));
        }
    }
    sort(stage, &total, air_total);
}

/// Puts states in groups by position and the cheapest states, groups and
/// buckets first, so that the search may stop early without missing anything.
fn sort(stage: &mut Stage, total: &[i64], air_total: Vec<i64>) {
    let mut order: Vec<u32> = (0..total.len() as u32).collect();
    let tags = stage.tags.len();
    for bucket in &mut stage.buckets {
        let range = bucket.stopped.start as usize..bucket.stopped.end as usize;
        let own = &mut order[range.clone()];
        own.sort_unstable_by_key(|i| (stage.states[*i as usize].position, total[*i as usize]));
        let first_group = stage.groups.len();
        let mut start = range.start;
        for group in own.chunk_by(|a, b| {
            stage.states[*a as usize].position == stage.states[*b as usize].position
        }) {
            stage.groups.push(Group {
                position: stage.states[group[0] as usize].position,
                states: start as u32..(start + group.len()) as u32,
                least: total[group[0] as usize],
            });
            start += group.len();
        }
        stage.groups[first_group..].sort_by_key(|g| g.least);
        bucket.groups = first_group as u32..stage.groups.len() as u32;
        let air = bucket.air.start as usize * tags..bucket.air.end as usize * tags;
        let stopped = stage.groups.get(first_group).map_or(NEVER, |g| g.least);
        let in_air = air_total[air].iter().copied().min().unwrap_or(NEVER);
        bucket.least = stopped.min(in_air);
    }
    stage.states = order.iter().map(|i| stage.states[*i as usize]).collect();
    stage.total = order.iter().map(|i| total[*i as usize]).collect();
    stage.air_total = air_total;
    for inlet in &mut stage.inlets {
        inlet.ways.sort_unstable_by_key(|(b, cut)| stage.buckets[*b as usize].least + cut);
    }
}

/// The least it can cost from a state to the end, the state itself left out.
fn onward(ground: &Ground<'_>, s: &Standing<'_>, next: &Stage, inlet: u32) -> i64 {
    let mut best = NEVER;
    let tags = next.tags.len();
    for (bucket, cut) in &next.inlets[inlet as usize].ways {
        let bucket = &next.buckets[*bucket as usize];
        if bucket.least + cut >= best {
            break;
        }
        for air in bucket.air.clone() {
            best = best.min(cut + next.air_total[air as usize * tags + s.tag]);
        }
        let groups = &next.groups[bucket.groups.start as usize..bucket.groups.end as usize];
        // Staying in the position is most often cheapest, so it sets the mark
        // for the others.
        for group in groups.iter().filter(|g| g.position == s.position) {
            best = best.min(through_group(ground, s, next, group, *cut, best));
        }
        for group in groups {
            if group.least + cut >= best {
                break;
            }
            if group.position != s.position {
                best = best.min(through_group(ground, s, next, group, *cut, best));
            }
        }
    }
    best
}

/// The least it can cost through a group of states in one position, if that is
/// less than what is known.
fn through_group(
    ground: &Ground<'_>,
    s: &Standing<'_>,
    next: &Stage,
    group: &Group,
    cut: i64,
    mut best: i64,
) -> i64 {
    let costs = ground.costs;
    let whole =
        costs.shift[usize::from(s.position)][usize::from(group.position)] * s.step.since_stopped;
    let least_shift = whole - whole * costs.best_ease / 100;
    let states = group.states.start as usize..group.states.end as usize;
    for (n, total) in next.states[states.clone()].iter().zip(&next.total[states]) {
        let rest = cut + total;
        if rest + least_shift >= best {
            break;
        }
        let mut cost = rest;
        if whole > 0 {
            cost += whole - whole * costs.ease_percent(s.state, n, s.step.rest) / 100;
        }
        if cost < best {
            best = best.min(cost + fingers(ground, s, n));
        }
    }
    best
}

/// A state the way may take next, for comparing.
struct Choice {
    stopped: bool,
    index: usize,
    tag: usize,
}

/// Follows the cheapest way, at each layer the smallest of its states.
fn walk(ground: &Ground<'_>, stages: &[Stage]) -> (Vec<Chosen>, i64) {
    let mut way: Vec<Chosen> = Vec::with_capacity(stages.len());
    let mut effort = 0;
    let mut from: Option<Choice> = None;
    for (layer, stage) in stages.iter().enumerate() {
        let mut best = NEVER;
        let mut picked: Option<Choice> = None;
        let mut consider = |cost: i64, option: Choice| {
            let better = match &picked {
                _ if cost != best => cost < best,
                Some(old) => compare(ground, layer, stage, &option, old) == Ordering::Less,
                None => true,
            };
            if better {
                best = cost;
                picked = Some(option);
            }
        };
        let before = from.as_ref().map(|option| {
            let stage_before = &stages[layer - 1];
            let (state, standing) = if option.stopped {
                let state = &stage_before.states[option.index];
                (state, standing_stopped(ground, layer - 1, state, stage))
            } else {
                let state = &stage_before.air[option.index];
                let tag = option.tag;
                (state, standing_in_air(ground, layer - 1, stage_before, state, tag, stage))
            };
            (standing, stage_before.grips[state.grip as usize].onward)
        });
        let inlet = before.as_ref().map_or(0, |(_, inlet)| *inlet);
        for (bucket, cut) in &stage.inlets[inlet as usize].ways {
            let bucket = &stage.buckets[*bucket as usize];
            let tag = before.as_ref().map_or(0, |(s, _)| s.tag);
            for air in bucket.air.clone() {
                let index = air as usize;
                let cost = cut + stage.air_total[index * stage.tags.len() + tag];
                consider(cost, Choice { stopped: false, index, tag });
            }
            for index in bucket.stopped.start as usize..bucket.stopped.end as usize {
                let n = &stage.states[index];
                let moved =
                    before.as_ref().map_or(0, |(s, _)| shift(ground, s, n) + fingers(ground, s, n));
                let cost = cut + stage.total[index] + moved;
                consider(cost, Choice { stopped: true, index, tag: 0 });
            }
        }
        let Some(option) = picked else { break };
        if layer == 0 {
            effort = best;
        }
        way.push(chosen(ground, layer, stage, &option));
        from = Some(option);
    }
    (way, effort)
}

fn state_of<'a>(stage: &'a Stage, option: &Choice) -> &'a State {
    if option.stopped { &stage.states[option.index] } else { &stage.air[option.index] }
}

fn chosen(ground: &Ground<'_>, layer: usize, stage: &Stage, option: &Choice) -> Chosen {
    let mut state = *state_of(stage, option);
    let grip = &stage.grips[state.grip as usize];
    if !option.stopped {
        state.position = stage.tags[option.tag].position;
    }
    let struck = ground.music.layers[layer].struck().len();
    let mut held: Vec<(u16, Played)> = entries(stage.buckets[grip.bucket as usize].held)
        .map(|(string, slot, finger)| (slot, Played { string, finger }))
        .collect();
    held.sort_unstable_by_key(|(slot, _)| *slot);
    Chosen { state, played: stage.played_by(grip, struck).to_vec(), held }
}

/// The order of ties among the states of a layer that follow the same one.
fn compare(ground: &Ground<'_>, layer: usize, stage: &Stage, a: &Choice, b: &Choice) -> Ordering {
    let struck = ground.music.layers[layer].struck().len();
    let key = |option: &Choice| {
        let state = state_of(stage, option);
        let grip = &stage.grips[state.grip as usize];
        let position =
            if option.stopped { state.position } else { stage.tags[option.tag].position };
        (grip, position, (state.thin, state.thick), stage.buckets[grip.bucket as usize].held)
    };
    let (a, b) = (key(a), key(b));
    let kept = |held: Sounding| {
        let mut slots: Vec<u16> = entries(held).map(|(_, slot, _)| slot).collect();
        slots.sort_unstable();
        slots
    };
    stage
        .played_by(a.0, struck)
        .cmp(stage.played_by(b.0, struck))
        .then(a.1.cmp(&b.1))
        .then_with(|| kept_first(&kept(a.3), &kept(b.3)))
        .then(a.2.cmp(&b.2))
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
