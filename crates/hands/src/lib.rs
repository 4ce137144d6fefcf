//! The exact search for both hands.
//!
//! The model is `docs/model.md`; what is found here is the cheapest fingering
//! of that model, proved by complete dynamic programming, never a guess.

mod account;
mod clock;
pub mod error;
mod figure;
mod findings;
mod geometry;
mod limits;
mod music;
pub mod plan;
mod postures;
mod right;
mod search;
mod stage;
mod state;
mod when;

pub use error::HandsError;
pub use plan::{RightPattern, RightPlan};

use apoyando_fingering::{Finding, Fingering, Problem, Term};
use apoyando_fretboard::Fret;

use clock::{Clock, hurry};
use geometry::Geometry;
use music::Music;
use search::GaveUp;
use stage::Ground;
use state::{Costs, Step};

/// A fingering and what is to be said of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Solution {
    /// The fingering of every tone of the part.
    pub fingering: Fingering,
    /// What could not be played, was cut short or breaks a rule, in the order
    /// of the bars.
    pub findings: Vec<Finding>,
}

/// The largest value of effort that the sums can hold.
const MOST_EFFORT: i32 = 1_000_000;

/// Fingers one part of a score for both hands.
///
/// # Errors
/// If the part does not exist, the instrument or an effort value is out of
/// range, or more notes sound at once than can be weighed. Notes that cannot be
/// played and rules that cannot be kept are no errors: they are left out or
/// broken, as few as possible, and named in the findings.
pub fn finger(problem: &Problem<'_>, right: &RightPlan) -> Result<Solution, HandsError> {
    check(problem)?;
    let score = problem.score;
    let music = Music::read(score, problem.part);
    let geometry = Geometry::of(problem.instrument, &problem.level.reach);
    let pins = limits::standing(&problem.pins.0);
    let limits = limits::per_layer(problem, &music, &geometry, &pins);
    let costs = Costs::new(geometry, problem.effort);
    let clock = Clock::of(score);
    let time = |from: usize, to: usize| {
        clock.milliseconds(music.layers[from].onset, music.layers[to].onset)
    };
    let steps = steps(&music, &time);
    let ground = Ground {
        music: &music,
        costs: &costs,
        limits: &limits,
        steps: &steps,
        level_extension: problem.level.extension,
        time: &time,
    };
    let found = search::search(&ground).map_err(|GaveUp(layer)| {
        let at = &music.layers[layer];
        HandsError::Crowded {
            bar: when::bar_number(score, at.onset),
            beat: when::beat(score, at.onset),
            sounds: at.struck().len() + at.held.len(),
        }
    })?;
    let tones = score.tones(problem.part);
    let mut fingering = account::fingering(problem, &tones, &ground, &found.way, &found.faults);
    debug_assert_eq!(i64::try_from(fingering.price.effort), Ok(found.effort), "the bill adds up");
    let unkept = right::pluck(problem, &music, &pins, right, &time, &mut fingering);
    let told = findings::Told {
        problem,
        tones: &tones,
        music: &music,
        pins: &pins,
        fingering: &fingering,
    };
    let findings = findings::findings(&told, unkept);
    Ok(Solution { fingering, findings })
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
        let percent = matches!(
            info.term,
            Term::EaseGuide | Term::EasePivot | Term::EaseOpen | Term::EaseRest | Term::CutTail
        );
        let most = if percent { 100 } else { MOST_EFFORT };
        let value = problem.effort.value(info.term);
        if !(0..=most).contains(&value) {
            return Err(HandsError::Effort { name: info.name, value, most });
        }
    }
    Ok(())
}

/// The time between every layer and the next.
fn steps(music: &Music, time: &dyn Fn(usize, usize) -> i64) -> Vec<Step> {
    let mut latest = music.layers.first().map(|l| l.onset);
    (0..music.layers.len().saturating_sub(1))
        .map(|layer| {
            for sound in &music.sounds[music.layers[layer].struck()] {
                latest = latest.max(Some(sound.written_end));
            }
            let hurry = hurry(time(layer, layer + 1));
            let rest = latest.is_some_and(|end| end < music.layers[layer + 1].onset);
            Step { hurry, since_stopped: hurry, rest }
        })
        .collect()
}
