//! The table of costs from the start, filled from the first layer onwards.
//!
//! With the table of costs to the end it gives the price of the best way
//! through any state: what it costs to get there, the state itself, and what
//! it costs from there.

use std::ops::Range;

use crate::ground::Ground;
use crate::moves::{NEVER, Standing, own};
use crate::stage::{Choice, Stage};
use crate::state::{State, Step};

/// The costs from the start to every state of a stage, itself left out.
#[derive(Clone, Debug)]
pub(crate) struct FromStart {
    stopped: Vec<i64>,
    /// By state, then by tag; [`NEVER`] for memories no way brings there.
    air: Vec<i64>,
    tags: usize,
}

impl FromStart {
    pub fn to(&self, choice: Choice) -> i64 {
        match choice {
            Choice::Stopped(index) => self.stopped[index as usize],
            Choice::Air(index, tag) => self.air[index as usize * self.tags + usize::from(tag)],
        }
    }
}

/// States of one outlet in one position, the cheapest first; never none.
struct Group {
    position: u8,
    states: Range<usize>,
    least: i64,
}

/// All states of a stage that go on with the same sounds still wanted.
#[derive(Default)]
struct Outlet<'a> {
    groups: Vec<Group>,
    /// Hands in the air with their costs.
    air: Vec<(i64, Standing<'a>)>,
    /// By the tag in the next stage.
    least_by_tag: Vec<i64>,
    least: i64,
}

/// A stage seen from the next one.
struct Behind<'a> {
    /// Costs from the start, the state included, with the states.
    states: Vec<(i64, Standing<'a>)>,
    outlets: Vec<Outlet<'a>>,
    step: Step,
}

/// Fills the table of every stage.
pub(crate) fn price_all(ground: &Ground, stages: &[Stage]) -> Vec<FromStart> {
    let mut tables: Vec<FromStart> = Vec::with_capacity(stages.len());
    for (layer, stage) in stages.iter().enumerate() {
        let table = match (layer.checked_sub(1).map(|l| &stages[l]), tables.last()) {
            (Some(before), Some(table)) => price(ground, layer, (before, table), stage),
            _ => first(stage),
        };
        tables.push(table);
    }
    tables
}

fn first(stage: &Stage) -> FromStart {
    let tags = stage.tags.len();
    FromStart { stopped: vec![0; stage.states.len()], air: vec![0; stage.air.len() * tags], tags }
}

fn price(
    ground: &Ground,
    layer: usize,
    (before, table): (&Stage, &FromStart),
    stage: &Stage,
) -> FromStart {
    let behind = behind(ground, layer, (before, table), stage);
    let tags = stage.tags.len();
    let mut stopped = vec![NEVER; stage.states.len()];
    let mut air = vec![NEVER; stage.air.len() * tags];
    let mut sources: Vec<Vec<(usize, i64)>> = vec![Vec::new(); stage.buckets.len()];
    for (inlet, into) in stage.inlets.iter().enumerate() {
        for (bucket, cut) in &into.ways {
            sources[*bucket as usize].push((inlet, *cut));
        }
    }
    for (bucket, mut sources) in stage.buckets.iter().zip(sources) {
        sources.sort_unstable_by_key(|(inlet, cut)| behind.outlets[*inlet].least + cut);
        for index in bucket.stopped.clone() {
            let state = &stage.states[index as usize];
            stopped[index as usize] = behind.least_to(ground, state, &sources);
        }
        for (inlet, cut) in &sources {
            for (tag, least) in behind.outlets[*inlet].least_by_tag.iter().enumerate() {
                for index in bucket.air.clone() {
                    let cost = &mut air[index as usize * tags + tag];
                    *cost = (*cost).min(least + cut);
                }
            }
        }
    }
    FromStart { stopped, air, tags }
}

fn behind<'a>(
    ground: &Ground,
    layer: usize,
    (before, table): (&'a Stage, &FromStart),
    stage: &Stage,
) -> Behind<'a> {
    let onward = |state: &State| before.grips[state.grip as usize].onward as usize;
    let stand = |state| Standing::stopped(ground, layer - 1, state, stage);
    let mut states: Vec<(i64, Standing<'_>)> = before
        .states
        .iter()
        .zip(&table.stopped)
        .map(|(state, cost)| (cost + own(ground, state), stand(state)))
        .collect();
    states.sort_unstable_by_key(|(cost, s)| (onward(s.state), s.position, *cost));
    let mut outlets: Vec<Outlet<'a>> = Vec::new();
    outlets.resize_with(stage.inlets.len(), || Outlet {
        least_by_tag: vec![NEVER; stage.tags.len()],
        least: NEVER,
        ..Outlet::default()
    });
    let mut start = 0;
    let same = |a: &(i64, Standing<'_>), b: &(i64, Standing<'_>)| {
        a.1.position == b.1.position && onward(a.1.state) == onward(b.1.state)
    };
    for group in states.chunk_by(same) {
        let (cost, standing) = group[0];
        let outlet = &mut outlets[onward(standing.state)];
        let least = &mut outlet.least_by_tag[standing.tag];
        *least = (*least).min(cost);
        outlet.least = outlet.least.min(cost);
        let states = start..start + group.len();
        start = states.end;
        outlet.groups.push(Group { position: standing.position, states, least: cost });
    }
    for (index, state) in before.air.iter().enumerate() {
        let outlet = &mut outlets[onward(state)];
        for tag in 0..before.tags.len() {
            let cost = table.air[index * table.tags + tag];
            if cost < NEVER {
                let standing = Standing::in_air(ground, layer - 1, before, (state, tag), stage);
                let least = &mut outlet.least_by_tag[standing.tag];
                *least = (*least).min(cost);
                outlet.least = outlet.least.min(cost);
                outlet.air.push((cost, standing));
            }
        }
    }
    for outlet in &mut outlets {
        outlet.groups.sort_by_key(|group| group.least);
    }
    Behind { states, outlets, step: ground.steps[layer - 1] }
}

impl Behind<'_> {
    /// The least it can cost to get to a state.
    fn least_to(&self, ground: &Ground, n: &State, sources: &[(usize, i64)]) -> i64 {
        let mut best = NEVER;
        let (shifts, to) = (ground.costs.shifts_from_stopped(self.step), usize::from(n.position));
        for (inlet, cut) in sources {
            let outlet = &self.outlets[*inlet];
            if outlet.least + cut >= best {
                break;
            }
            // Staying in the position is most often cheapest, so it sets the
            // mark for the others.
            for group in outlet.groups.iter().filter(|g| g.position == n.position) {
                best = best.min(self.through_group(ground, n, group, *cut, best));
            }
            for group in &outlet.groups {
                if group.least + cut >= best {
                    break;
                }
                if group.position != n.position
                    && group.least + cut + shifts[usize::from(group.position)][to].least < best
                {
                    best = best.min(self.through_group(ground, n, group, *cut, best));
                }
            }
            for (cost, standing) in &outlet.air {
                let sum = cost + cut;
                if sum < best {
                    let shift = standing.shift_to(ground, n.position);
                    best = best.min(sum + standing.below(ground, n, &shift, best - sum));
                }
            }
        }
        best
    }

    /// The least it can cost through a group of states, if that is less than
    /// what is known.
    fn through_group(
        &self,
        ground: &Ground,
        n: &State,
        group: &Group,
        cut: i64,
        mut best: i64,
    ) -> i64 {
        let states = &self.states[group.states.clone()];
        let shift = states[0].1.shift_to(ground, n.position);
        for (cost, standing) in states {
            let sum = cost + cut;
            if sum + shift.least >= best {
                break;
            }
            best = best.min(sum + standing.below(ground, n, &shift, best - sum));
        }
        best
    }
}
