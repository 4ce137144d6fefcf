//! The table of costs to the end, filled from the last layer backwards.

use crate::ground::Ground;
use crate::moves::{NEVER, Standing, own};
use crate::stage::{Group, Stage};

/// Fills the table of every stage.
pub(crate) fn price_all(ground: &Ground, stages: &mut [Stage]) {
    for layer in (0..stages.len()).rev() {
        let (here, after) = stages.split_at_mut(layer + 1);
        if let Some(stage) = here.last_mut() {
            price(ground, layer, stage, after.first());
        }
    }
}

/// Fills the tables again after some stages were laid out again, from the last
/// of these backwards as far as anything changes. Gives the first layer whose
/// table is not as it was.
pub(crate) fn price_again(ground: &Ground, stages: &mut [Stage], laid: &[usize]) -> usize {
    let mut first = stages.len();
    let mut changed = false;
    let (Some(lowest), Some(highest)) = (laid.iter().min(), laid.iter().max()) else {
        return first;
    };
    for layer in (0..=*highest).rev() {
        let fresh = laid.binary_search(&layer).is_ok();
        if fresh || changed {
            let (here, after) = stages.split_at_mut(layer + 1);
            changed = price(ground, layer, &mut here[layer], after.first()) || fresh;
            if changed {
                first = layer;
            }
        }
        if !changed && layer < *lowest {
            break;
        }
    }
    first
}

/// Works out the cost to the end from every state of a stage and sorts the
/// states of each bucket by it. Says whether that changed anything.
///
/// Costs are kept above the least of the stage, so that a change far off does
/// not change them.
fn price(ground: &Ground, layer: usize, stage: &mut Stage, next: Option<&Stage>) -> bool {
    let mut total: Vec<i64> = Vec::with_capacity(stage.states.len());
    let mut air_total = Vec::with_capacity(stage.air.len() * stage.tags.len());
    for state in &stage.states {
        let onward = next.map_or(0, |next| {
            let standing = Standing::stopped(ground, layer, state, next);
            onward(ground, &standing, next, stage.grips[state.grip as usize].onward)
        });
        total.push(own(ground, state) + onward);
    }
    for state in &stage.air {
        for tag in 0..stage.tags.len() {
            air_total.push(next.map_or(0, |next| {
                let standing = Standing::in_air(ground, layer, stage, (state, tag), next);
                onward(ground, &standing, next, stage.grips[state.grip as usize].onward)
            }));
        }
    }
    let least = total.iter().chain(&air_total).copied().min().unwrap_or(0);
    for cost in total.iter_mut().chain(&mut air_total) {
        *cost -= least;
    }
    stage.rise = least;
    if total == stage.total && air_total == stage.air_total {
        return false;
    }
    stage.groups.clear();
    sort(stage, &total, air_total);
    true
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
fn onward(ground: &Ground, s: &Standing<'_>, next: &Stage, inlet: u32) -> i64 {
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
            if group.position != s.position
                && group.least + cut + s.shift_to(ground, group.position).least < best
            {
                best = best.min(through_group(ground, s, next, group, *cut, best));
            }
        }
    }
    best
}

/// The least it can cost through a group of states in one position, if that is
/// less than what is known.
fn through_group(
    ground: &Ground,
    s: &Standing<'_>,
    next: &Stage,
    group: &Group,
    cut: i64,
    mut best: i64,
) -> i64 {
    let shift = s.shift_to(ground, group.position);
    let states = group.states.start as usize..group.states.end as usize;
    for (n, total) in next.states[states.clone()].iter().zip(&next.total[states]) {
        let rest = cut + total;
        if rest + shift.least >= best {
            break;
        }
        best = best.min(rest + s.below(ground, n, &shift, best - rest));
    }
    best
}
