//! The right hand on the strings that the left hand chose (model §6).

mod alike;
mod asked;
mod awry;
mod basses;
mod beat;
mod choices;
mod cost;
mod hand;
mod home;
mod practice;
mod rooms;
mod seams;
mod stroke;
mod told;
mod way;

pub use alike::PluckedAlike;
pub use choices::RightChoices;
pub use practice::{PRACTICE, PracticeVariant, practice};

use apoyando_fingering::{
    EffortItem, Finding, Fingering, Pin, Problem, RightFinger, RightPlan, Stroke,
};
use apoyando_music::Tones;

use crate::error::HandsError;
use crate::hand::limits::in_force;
use crate::heard::Clock;
use crate::heard::Music;

use beat::Beats;
use cost::Costs;
use way::Table;

/// A right hand for a part, with its bill.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct RightHand {
    /// One entry per tone, in the order of their numbers: the finger and the
    /// stroke; `None` if the tone is left out.
    pub tones: Vec<Option<(RightFinger, Stroke)>>,
    /// What it costs by section 6 of the model.
    pub effort: u64,
    /// The effort term by term; its sum is `effort`.
    pub items: Vec<EffortItem>,
    /// What could not be obeyed.
    pub findings: Vec<Finding>,
    /// Bars that were made alike.
    pub alike: Vec<PluckedAlike>,
}

impl RightHand {
    /// Writes fingers and strokes into the fingering they are for.
    pub fn write_into(&self, fingering: &mut Fingering) {
        for (tone, played) in fingering.tones.iter_mut().zip(&self.tones) {
            tone.right = played.map(|(finger, _)| finger);
            tone.stroke = played.map(|(_, stroke)| stroke);
        }
    }
}

/// The cheapest right hand on the strings of a fingering, proved by complete
/// dynamic programming. What the fingering says of the right hand is not looked
/// at.
///
/// # Errors
/// If the part does not exist or the instrument or an effort value is out of
/// range. Pins and patterns that cannot be obeyed are no errors: they are named
/// in the findings.
pub fn pluck(
    problem: &Problem<'_>,
    plan: &RightPlan,
    left: &Fingering,
) -> Result<RightHand, HandsError> {
    asked(problem, plan, |asked| asked.solve(left))
}

/// The same with bars that are one task to the right hand plucked alike where
/// that costs little (model §6, *Like bars*).
///
/// # Errors
/// As [`pluck`].
pub fn pluck_alike(
    problem: &Problem<'_>,
    plan: &RightPlan,
    left: &Fingering,
) -> Result<RightHand, HandsError> {
    asked(problem, plan, |asked| asked.solve_alike(left))
}

/// What every finger on every struck sound would cost the whole right hand.
///
/// # Errors
/// As [`pluck`].
pub fn choices(
    problem: &Problem<'_>,
    plan: &RightPlan,
    left: &Fingering,
) -> Result<Vec<RightChoices>, HandsError> {
    asked(problem, plan, |asked| {
        let beats = asked.beats(left);
        let costs = Costs::new(problem.effort, plan, asked.music.voices);
        choices::choices(asked, &asked.table(&beats, &costs))
    })
}

/// Reads the part and puts a question about it.
fn asked<T>(
    problem: &Problem<'_>,
    plan: &RightPlan,
    question: impl FnOnce(&Asked<'_>) -> T,
) -> Result<T, HandsError> {
    crate::check(problem)?;
    let (clock, pins) = (Clock::of(problem.score), in_force(&problem.pins.0));
    let tones = problem.score.tones(problem.part);
    let music = Music::read((problem.score, problem.part), &tones, &pins);
    let time = |from: usize, to: usize| {
        clock.milliseconds(music.layers[from].onset, music.layers[to].onset)
    };
    let (tones, music, clock) = (&tones, &music, &clock);
    Ok(question(&Asked { problem, tones, music, pins: &pins, clock, time: &time, plan }))
}

/// Everything the right hand is asked under.
#[derive(Clone, Copy)]
pub(crate) struct Asked<'a> {
    pub problem: &'a Problem<'a>,
    pub tones: &'a Tones,
    pub music: &'a Music,
    /// The pins that count.
    pub pins: &'a [Pin],
    pub clock: &'a Clock,
    /// Milliseconds from one layer to another.
    pub time: &'a dyn Fn(usize, usize) -> i64,
    pub plan: &'a RightPlan,
}

impl Asked<'_> {
    /// The cheapest right hand.
    pub fn solve(&self, left: &Fingering) -> RightHand {
        let beats = self.beats(left);
        let costs = Costs::new(self.problem.effort, self.plan, self.music.voices);
        self.written_out(&beats, &self.table(&beats, &costs), Vec::new())
    }

    /// The cheapest in which bars that are one task are alike.
    pub fn solve_alike(&self, left: &Fingering) -> RightHand {
        let beats = self.beats(left);
        let costs = Costs::new(self.problem.effort, self.plan, self.music.voices);
        let mut table = self.table(&beats, &costs);
        let made = alike::make_alike(self, &mut table);
        self.written_out(&beats, &table, made)
    }

    fn written_out(&self, beats: &Beats, table: &Table<'_>, alike: Vec<PluckedAlike>) -> RightHand {
        let (way, price) = table.cheapest(self.plan);
        let mut played = vec![None; self.tones.len()];
        for (beat, hand) in beats.beats.iter().zip(&way) {
            for (pluck, finger) in beats.plucks(beat).iter().zip(hand.fingers()) {
                let finger = RightFinger::ALL[usize::from(finger)];
                let sound = &self.music.sounds[pluck.sound];
                let how = (sound, finger, beat.line);
                let stroke = stroke::stroke(self.plan, self.music, self.tones, how);
                for tone in &sound.tones {
                    played[tone.0 as usize] = Some((finger, stroke));
                }
            }
        }
        RightHand {
            tones: played,
            effort: u64::try_from(price).unwrap_or(0),
            items: table.bill(self.music, &way),
            findings: told::findings(self, beats),
            alike,
        }
    }

    fn beats(&self, left: &Fingering) -> Beats {
        let allowed = asked::allowed(self.music, self.pins);
        Beats::of(self, left, &allowed)
    }

    fn table<'a>(&self, beats: &'a Beats, costs: &'a Costs<'a>) -> Table<'a> {
        Table::new(self, beats, costs)
    }
}
