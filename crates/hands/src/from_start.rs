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

/// States of one outlet in one position, the cheapest first.
struct Group {
    position: u8,
    states: Range<usize>,
    least: i64,
}

/// All states of a stage that go on with the same sounds still wanted.
#[derive(Default)]
struct Outlet<'a> {
    groups: Vec<Group>,
    /// Hands in the air with their costs, the cheapest first.
    air: Vec<(i64, Standing<'a>)>,
    /// By the tag in the next stage.
    least_by_tag: Vec<i64>,
    least: i64,
}

/// A stage seen from the next one.
struct Behind<'a> {
    /// Costs from the start, the state included, with the states.
    states: Vec<(i64, &'a State)>,
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
            stopped[index as usize] =
                behind.least_to(ground, &stage.states[index as usize], &sources);
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
    let mut states: Vec<(i64, &State)> =
        before.states.iter().zip(&table.stopped).map(|(s, c)| (c + own(ground, s), s)).collect();
    states.sort_unstable_by_key(|(cost, state)| (onward(state), state.position, *cost));
    let mut outlets: Vec<Outlet<'a>> = Vec::new();
    outlets.resize_with(stage.inlets.len(), || Outlet {
        least_by_tag: vec![NEVER; stage.tags.len()],
        least: NEVER,
        ..Outlet::default()
    });
    let mut start = 0;
    let same = |a: &(i64, &State), b: &(i64, &State)| {
        a.1.position == b.1.position && onward(a.1) == onward(b.1)
    };
    for group in states.chunk_by(same) {
        let (least, state) = group[0];
        let outlet = &mut outlets[onward(state)];
        let tag = usize::from(stage.tag_of_position[usize::from(state.position)]);
        outlet.least = outlet.least.min(least);
        outlet.least_by_tag[tag] = outlet.least_by_tag[tag].min(least);
        let states = start..start + group.len();
        start = states.end;
        outlet.groups.push(Group { position: state.position, states, least });
    }
    for (index, state) in before.air.iter().enumerate() {
        let outlet = &mut outlets[onward(state)];
        for tag in 0..before.tags.len() {
            let cost = table.air[index * table.tags + tag];
            if cost < NEVER {
                let standing = Standing::in_air(ground, layer - 1, before, (state, tag), stage);
                outlet.least = outlet.least.min(cost);
                let least = &mut outlet.least_by_tag[standing.tag];
                *least = (*least).min(cost);
                outlet.air.push((cost, standing));
            }
        }
    }
    for outlet in &mut outlets {
        outlet.groups.sort_by_key(|group| group.least);
        outlet.air.sort_by_key(|(cost, _)| *cost);
    }
    Behind { states, outlets, step: ground.steps[layer - 1] }
}

impl Behind<'_> {
    /// The least it can cost to get to a state.
    fn least_to(&self, ground: &Ground, n: &State, sources: &[(usize, i64)]) -> i64 {
        let mut best = NEVER;
        for (inlet, cut) in sources {
            let outlet = &self.outlets[*inlet];
            if outlet.least + cut >= best {
                break;
            }
            for (cost, standing) in &outlet.air {
                if cost + cut >= best {
                    break;
                }
                best = best.min(cost + cut + standing.to(ground, n));
            }
            let stay = outlet.groups.iter().filter(|g| g.position == n.position);
            let leave = outlet.groups.iter().filter(|g| g.position != n.position);
            for group in stay.chain(leave) {
                best = best.min(self.through_group(ground, n, group, *cut, best));
            }
        }
        best
    }

    fn through_group(
        &self,
        ground: &Ground,
        n: &State,
        group: &Group,
        cut: i64,
        mut best: i64,
    ) -> i64 {
        let step = self.step;
        let costs = &ground.costs;
        let whole =
            costs.shift[usize::from(group.position)][usize::from(n.position)] * step.since_stopped;
        let least_shift = whole - whole * costs.best_ease / 100;
        for (cost, state) in &self.states[group.states.clone()] {
            if cost + cut + least_shift >= best {
                break;
            }
            let standing = Standing { state, position: state.position, step, tag: 0 };
            best = best.min(cost + cut + standing.to(ground, n));
        }
        best
    }
}
