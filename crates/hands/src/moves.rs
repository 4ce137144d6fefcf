//! What a move from a state of one stage to one of the next costs (model §5).

use crate::clock::hurry;
use crate::ground::Ground;
use crate::stage::{Choice, Stage, Tag};
use crate::state::{State, Step};

/// More than any way costs.
pub(crate) const NEVER: i64 = i64::MAX / 4;

/// A state of a stage with what it remembers.
#[derive(Clone, Copy)]
pub(crate) struct Standing<'a> {
    pub state: &'a State,
    /// Position for the shift, 0 if unknown.
    pub position: u8,
    pub step: Step,
    /// Its tag in the next stage, should the hand be in the air there.
    pub tag: usize,
}

impl<'a> Standing<'a> {
    /// A state with something stopped.
    pub fn stopped(ground: &Ground, layer: usize, state: &'a State, next: &Stage) -> Self {
        let step = ground.steps[layer];
        let tag = usize::from(next.tag_of_position[usize::from(state.position)]);
        Self { state, position: state.position, step, tag }
    }

    /// A hand in the air with one of its memories.
    pub fn in_air(
        ground: &Ground,
        layer: usize,
        stage: &Stage,
        (state, tag): (&'a State, usize),
        next: &Stage,
    ) -> Self {
        let Tag { position, layer: last } = stage.tags[tag];
        let mut step = ground.steps[layer];
        step.since_stopped =
            if last == Tag::LONG_AGO { 1 } else { hurry(ground.time(last as usize, layer + 1)) };
        Self { state, position, step, tag: usize::from(next.tag_after[tag]) }
    }

    pub fn of(
        ground: &Ground,
        layer: usize,
        stage: &'a Stage,
        choice: Choice,
        next: &Stage,
    ) -> Self {
        let state = stage.state(choice);
        match choice {
            Choice::Stopped(_) => Self::stopped(ground, layer, state, next),
            Choice::Air(_, tag) => {
                Self::in_air(ground, layer, stage, (state, usize::from(tag)), next)
            }
        }
    }

    /// What a shift costs, ease taken off.
    pub fn shift(&self, ground: &Ground, n: &State) -> i64 {
        let whole = ground.costs.shift[usize::from(self.position)][usize::from(n.position)]
            * self.step.since_stopped;
        if whole == 0 {
            return 0;
        }
        whole - whole * ground.costs.ease_percent(self.state, n, self.step.rest) / 100
    }

    /// What the fingers pay.
    pub fn fingers(&self, ground: &Ground, n: &State) -> i64 {
        let mut sum = 0;
        ground.costs.fingers(self.state, n, self.step.hurry, &mut |_, amount| sum += amount);
        sum
    }

    /// The whole move, but for what is let go.
    pub fn to(&self, ground: &Ground, n: &State) -> i64 {
        if n.in_the_air() { 0 } else { self.shift(ground, n) + self.fingers(ground, n) }
    }
}

/// What holding a state costs.
pub(crate) fn own(ground: &Ground, state: &State) -> i64 {
    let mut sum = 0;
    ground.costs.posture(state, &mut |_, amount| sum += amount);
    sum
}
