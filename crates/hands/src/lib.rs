//! The exact search for both hands.
//!
//! The model is `docs/model.md`; what is found here is the cheapest fingering
//! of that model, proved by complete dynamic programming, never a guess.

pub mod error;
pub mod plan;

pub use error::HandsError;
pub use plan::{RightPattern, RightPlan};

use apoyando_fingering::{Finding, Fingering, Problem};

/// A fingering and what is to be said of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Solution {
    /// The fingering of every tone of the part.
    pub fingering: Fingering,
    /// What could not be played, was cut short or breaks a rule, in the order
    /// of the bars.
    pub findings: Vec<Finding>,
}

/// Fingers one part of a score for both hands.
///
/// # Errors
/// If the part does not exist, an effort value is out of range, or more notes
/// sound at once than can be weighed. Notes that cannot be played and rules
/// that cannot be kept are no errors: they are left out or broken, as few as
/// possible, and named in the findings.
pub fn finger(problem: &Problem<'_>, right: &RightPlan) -> Result<Solution, HandsError> {
    let _ = right;
    let parts = problem.score.parts().len();
    if usize::from(problem.part.0) >= parts {
        return Err(HandsError::NoSuchPart { part: u32::from(problem.part.0) + 1, parts });
    }
    todo!("the search is being built")
}
