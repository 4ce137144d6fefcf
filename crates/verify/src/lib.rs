//! Every violation in a fingering, checked from the model alone.
//!
//! Written from `docs/model.md` and nothing else, so that it can disagree with
//! the search. [`verify`] names everything that is wrong with a fingering;
//! [`price`] says what it costs, from its postures alone.

mod author;
mod figure;
mod hand;
mod joined;
mod layers;
mod moves;
mod physics;
mod playing;
mod postures;
mod pricing;
mod record;
mod right;
mod second;
mod sounds;
mod spot;
mod time;
mod violation;

use apoyando_fingering::{Fingering, Price, Problem, RightPlan};

use crate::hand::Hand;
use crate::layers::Layers;
use crate::pricing::Bill;
pub use crate::spot::Spot;
pub use crate::violation::{AwayFault, BarreFault, Fault, Rule, SecondFault, StayFault, Violation};

/// Everything that is wrong with a fingering, in the order of the rules: its
/// record, physics, moves, author's rules, price, right hand. Breaches of the
/// author's rules are among them (see [`Rule::is_authors`]): a fingering with
/// `price.broken` = 2 has two of them and may still be the best there is.
///
/// Never panics, whatever the fingering says.
pub fn verify(problem: &Problem<'_>, fingering: &Fingering) -> Vec<Violation> {
    let read = match read(problem, fingering) {
        Ok(read) => read,
        Err(found) => return found,
    };
    let Read { layers, hands, mut found } = read;
    physics::check(problem, &layers, &hands, &mut found);
    moves::check(problem, &layers, &hands, &mut found);
    let hard = found.len();
    author::check(problem, &layers, &hands, &mut found);
    let broken = found.len() - hard;
    let bill = Bill::of(problem, &layers, &hands, broken);
    record::check(&layers, &hands, fingering, &mut found);
    pricing::compare(&layers, &bill, fingering, &mut found);
    right::check(problem, &layers, &hands, fingering, &mut found);
    found
}

/// What a fingering costs, recomputed from its postures by section 5 of the
/// model. What the fingering itself says of its price is not looked at.
///
/// # Errors
/// If the fingering is not one of this score, or its postures break a law of
/// physics or of moves, so that the model gives it no price.
pub fn price(problem: &Problem<'_>, fingering: &Fingering) -> Result<Price, Vec<Violation>> {
    let Read { layers, hands, mut found } = read(problem, fingering)?;
    physics::check(problem, &layers, &hands, &mut found);
    moves::check(problem, &layers, &hands, &mut found);
    if !found.is_empty() {
        return Err(found);
    }
    author::check(problem, &layers, &hands, &mut found);
    Ok(Bill::of(problem, &layers, &hands, found.len()).price())
}

/// What is wrong with the right hand of a fingering under a plan: [`verify`]
/// knows of no plan and checks pins and order alone; here patterns, pair and
/// strokes are checked as well.
///
/// Never panics, whatever the fingering says.
pub fn verify_right(
    problem: &Problem<'_>,
    plan: &RightPlan,
    fingering: &Fingering,
) -> Vec<Violation> {
    let Read { layers, hands, mut found } = match read(problem, fingering) {
        Ok(read) => read,
        Err(found) => return found,
    };
    found.clear();
    right::check(problem, &layers, &hands, fingering, &mut found);
    right::check_plan(problem, plan, &layers, (&hands, fingering), &mut found);
    found
}

/// What the right hand of a fingering costs, recomputed by section 6 of the
/// model.
///
/// # Errors
/// If the fingering is not one of this score, or its right hand breaks the
/// rules of that section, so that the model gives it no price.
pub fn right_price(
    problem: &Problem<'_>,
    plan: &RightPlan,
    fingering: &Fingering,
) -> Result<u64, Vec<Violation>> {
    let found = verify_right(problem, plan, fingering);
    if !found.is_empty() {
        return Err(found);
    }
    let Read { layers, hands, .. } = read(problem, fingering)?;
    Ok(right::price(problem, plan, &layers, (&hands, fingering)))
}

/// A fingering read against the layers of its score.
struct Read<'a> {
    layers: Layers<'a>,
    hands: Vec<Hand>,
    found: Vec<Violation>,
}

/// `Err` if the fingering cannot be read any further.
fn read<'a>(problem: &Problem<'a>, fingering: &Fingering) -> Result<Read<'a>, Vec<Violation>> {
    if fingering.revision != problem.score.revision() {
        return Err(vec![Violation::whole(Fault::Revision)]);
    }
    let parts = problem.score.parts().len();
    if fingering.part != problem.part || usize::from(problem.part.0) >= parts {
        return Err(vec![Violation::whole(Fault::Part {
            found: fingering.part,
            wanted: problem.part,
        })]);
    }
    let layers = Layers::of(problem);
    let mut found = Vec::new();
    let hands = postures::read(&layers, fingering, &mut found)?;
    Ok(Read { layers, hands, found })
}
