//! The pairs with which a scale is practised.

use apoyando_fingering::{Fingering, Problem, RightFinger, RightPlan, Term};

use super::{Asked, RightHand};
use crate::error::HandsError;

use RightFinger::{A, I, M};

/// The pairs of a scale, and a m i: common practice, no source.
pub const PRACTICE: [&[RightFinger]; 7] =
    [&[I, M], &[M, I], &[I, A], &[A, I], &[M, A], &[A, M], &[A, M, I]];

/// A line with its fingers in strict turn.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PracticeVariant {
    /// The fingers in turn.
    pub fingers: &'static [RightFinger],
    /// The right hand so played.
    pub hand: RightHand,
    /// How often it crosses the strings against the order of the fingers.
    pub crossings: usize,
}

/// A part with each of the [`PRACTICE`] fingers in strict turn from the first
/// onset on, on the strings of a fingering; pins go before them. The strokes
/// are those of the plan.
///
/// # Errors
/// As [`super::pluck`].
pub fn practice(
    problem: &Problem<'_>,
    plan: &RightPlan,
    left: &Fingering,
) -> Result<Vec<PracticeVariant>, HandsError> {
    super::asked(problem, plan, |asked| {
        PRACTICE.map(|fingers| variant(asked, fingers, left)).into()
    })
}

fn variant(
    asked: &Asked<'_>,
    fingers: &'static [RightFinger],
    left: &Fingering,
) -> PracticeVariant {
    let strict = RightPlan {
        pair: [fingers[0], fingers[1]],
        patterns: RightPlan::pattern(fingers.to_vec()).patterns,
        ..asked.plan.clone()
    };
    let hand = Asked { plan: &strict, ..*asked }.solve(left);
    let crossings = hand.items.iter().filter(|item| item.term == Term::RhCross).count();
    PracticeVariant { fingers, hand, crossings }
}
