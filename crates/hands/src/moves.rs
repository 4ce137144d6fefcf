//! What a move from a state of one stage to one of the next costs (model §5).

use crate::clock::hurry;
use crate::ground::Ground;
use crate::stage::{Choice, Stage, Tag};
use crate::state::{Shifting, State, Step};

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

    /// What shifts to a position cost.
    #[inline]
    pub fn shift_to(&self, ground: &Ground, position: u8) -> Shifting {
        let (from, to) = (usize::from(self.position), usize::from(position));
        if !self.state.idle() {
            return ground.costs.shifts_from_stopped(self.step)[from][to];
        }
        // No finger is down that could ease it further.
        let whole = ground.costs.shift[from][to] * self.step.since_stopped;
        let eased = whole - whole * ground.costs.ease_of(self.state, self.step.rest) / 100;
        Shifting { whole, plain: eased, least: eased }
    }

    /// The whole move, but for what is let go, if that is below a bound;
    /// otherwise a cost that is not.
    #[inline]
    pub fn below(&self, ground: &Ground, n: &State, shift: &Shifting, bound: i64) -> i64 {
        let cost = if shift.whole == 0 || self.state.hand() & n.hand() == 0 {
            shift.plain
        } else {
            let ease = ground.costs.ease_percent(self.state, n, self.step.rest);
            shift.whole - shift.whole * ease / 100
        };
        if cost >= bound {
            return cost;
        }
        cost + ground.costs.fingers_sum(self.state, n, self.step.hurry)
    }

    /// The whole move, but for what is let go.
    pub fn to(&self, ground: &Ground, n: &State) -> i64 {
        if n.idle() {
            return 0;
        }
        self.below(ground, n, &self.shift_to(ground, n.position), NEVER)
    }
}

/// What holding a state costs.
pub(crate) fn own(ground: &Ground, state: &State) -> i64 {
    let mut sum = 0;
    ground.costs.posture(state, &mut |_, amount| sum += amount);
    sum
}
