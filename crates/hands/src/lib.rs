//! The exact search for both hands.
//!
//! The model is `docs/model.md`; what is found here is the cheapest fingering
//! of that model, proved by complete dynamic programming, never a guess.

mod answer;
pub mod error;
mod hand;
mod heard;
pub mod plan;
pub mod right;
mod search;
mod solved;
mod when;

pub use answer::alternatives::{Alternative, Change, Difference};
pub use answer::clash::{Clash, ClashRule};
pub use answer::damping::{Ringing, Thumb, ringing};
pub use answer::findings::in_words;
pub use answer::like_bars::{Alike, Likeness, MadeAlike};
pub use answer::reason::Reason;
pub use answer::ways_out::{QuestionChange, Spot, WayOut, WaysOut};
pub use error::HandsError;
pub use plan::{RightPattern, RightPlan};
pub use right::{PRACTICE, PluckedAlike, PracticeVariant, RightChoices, RightHand};
pub use search::network::Network;
pub use solved::{Solved, solve};

use apoyando_fingering::{EffortItem, Finding, Fingering, Problem, Term};
use apoyando_fretboard::Fret;

/// A fingering and what is to be said of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Solution {
    /// The fingering of every tone of the part.
    pub fingering: Fingering,
    /// What could not be played, was cut short or breaks a rule, in the order
    /// of the bars.
    pub findings: Vec<Finding>,
    /// What the right hand costs (model §6); no part of the fingering's price.
    pub right_effort: u64,
    /// The effort of the right hand, term by term.
    pub right_items: Vec<EffortItem>,
    /// Bars that the right hand plucks alike, though it would have been cheaper to
    /// part them.
    pub plucked_alike: Vec<PluckedAlike>,
}

/// The largest value of effort that the sums can hold.
const MOST_EFFORT: i32 = 100_000;

/// Fingers one part of a score for both hands.
///
/// # Errors
/// If the part does not exist, the instrument or an effort value is out of
/// range, or more notes sound at once than can be weighed. Notes that cannot be
/// played and rules that cannot be kept are no errors: they are left out or
/// broken, as few as possible, and named in the findings.
pub fn finger(problem: &Problem<'_>, right: &RightPlan) -> Result<Solution, HandsError> {
    solve(problem, right).map(Solved::into_solution)
}

fn check(problem: &Problem<'_>) -> Result<(), HandsError> {
    let parts = problem.score.parts().len();
    if usize::from(problem.part.0) >= parts {
        return Err(HandsError::NoSuchPart { part: u32::from(problem.part.0) + 1, parts });
    }
    let instrument = problem.instrument;
    if instrument.frets > Fret::MOST || instrument.capo > instrument.frets {
        return Err(HandsError::Instrument { frets: instrument.frets, capo: instrument.capo });
    }
    for info in Term::ALL {
        let most = if info.term.is_percentage() { 100 } else { MOST_EFFORT };
        let value = problem.effort.value(info.term);
        if !(0..=most).contains(&value) {
            return Err(HandsError::Effort { name: info.name, value, most });
        }
    }
    Ok(())
}
