//! A problem solved, its tables kept for further questions.

use std::sync::OnceLock;

use apoyando_fingering::{Pin, Price, Problem};
use apoyando_music::Tones;

use crate::alternatives::Tables;
use crate::error::HandsError;
use crate::ground::Ground;
use crate::layout::{GaveUp, lay_out};
use crate::music::Music;
use crate::plan::RightPlan;
use crate::postures::Faults;
use crate::stage::{Choice, Stage};
use crate::{Solution, account, findings, limits, right, to_end, walk, when};

/// The best fingering of a part, with all that was weighed to find it, so that
/// more can be asked: what else there is, what it would cost, and why this one.
#[derive(Clone, Debug)]
pub struct Solved<'a> {
    pub(crate) weighed: Weighed<'a>,
    solution: Solution,
}

/// Everything but the answer.
#[derive(Clone, Debug)]
pub(crate) struct Weighed<'a> {
    pub problem: Problem<'a>,
    right: RightPlan,
    pub tones: Tones,
    pub pins: Vec<Pin>,
    pub ground: Ground,
    pub stages: Vec<Stage>,
    /// The state of the best way at every layer.
    pub way: Vec<Choice>,
    /// What prices ways through any state, filled when it is first asked for.
    pub tables: OnceLock<Tables>,
    /// By tone, its sound.
    pub sound_of_tone: Vec<usize>,
}

/// Fingers one part of a score for both hands and keeps what was worked out.
///
/// # Errors
/// As [`finger`](crate::finger).
pub fn solve<'a>(problem: &Problem<'a>, right: &RightPlan) -> Result<Solved<'a>, HandsError> {
    crate::check(problem)?;
    let pins = limits::standing(&problem.pins.0);
    let ground = Ground::of(problem, &pins);
    let mut stages = lay_out(&ground).map_err(|gave_up| crowded(problem, &ground, gave_up))?;
    to_end::price_all(&ground, &mut stages);
    let mut way = Vec::with_capacity(stages.len());
    walk::finish(&ground, &stages, &mut way);
    let tones = problem.score.tones(problem.part);
    let (problem, right) = (*problem, right.clone());
    let sound_of_tone = sound_of_tone(&tones, &ground.music);
    let tables = OnceLock::new();
    let weighed =
        Weighed { problem, right, tones, pins, ground, stages, way, tables, sound_of_tone };
    let solution = weighed.written_out(&weighed.way);
    debug_assert_eq!(
        i64::try_from(solution.fingering.price.effort),
        Ok(weighed.effort()),
        "the bill adds up"
    );
    Ok(Solved { weighed, solution })
}

fn sound_of_tone(tones: &Tones, music: &Music) -> Vec<usize> {
    let mut sounds = vec![usize::MAX; tones.len()];
    for (index, sound) in music.sounds.iter().enumerate() {
        for tone in &sound.tones {
            sounds[tone.0 as usize] = index;
        }
    }
    sounds
}

fn crowded(problem: &Problem<'_>, ground: &Ground, GaveUp(layer): GaveUp) -> HandsError {
    let at = &ground.music.layers[layer];
    HandsError::Crowded {
        bar: when::bar_number(problem.score, at.onset),
        beat: when::beat(problem.score, at.onset),
        sounds: at.struck().len() + at.held.len(),
    }
}

impl Solved<'_> {
    /// The best fingering and what is to be said of it.
    pub fn solution(&self) -> &Solution {
        &self.solution
    }

    /// Gives the best fingering and lets the rest go.
    pub fn into_solution(self) -> Solution {
        self.solution
    }
}

impl Weighed<'_> {
    /// The effort of the best way.
    pub fn effort(&self) -> i64 {
        let least: i64 = self.stages.iter().map(|s| s.rise).sum();
        least + self.way.first().map_or(0, |first| self.stages[0].to_end(*first))
    }

    /// The price of the best way.
    pub fn price(&self) -> Price {
        let faults = self.stages.iter().map(|s| s.faults);
        Price {
            escapes: faults.clone().map(|f| u32::from(f.0)).sum(),
            broken: faults.map(|f| u32::from(f.1)).sum(),
            effort: u64::try_from(self.effort()).unwrap_or(0),
        }
    }

    /// A way as a fingering for both hands.
    pub fn written_out(&self, way: &[Choice]) -> Solution {
        let hands = walk::hands(&self.ground, &self.stages, way);
        let faults: Vec<Faults> = self.stages.iter().map(|s| s.faults).collect();
        let mut fingering =
            account::fingering(&self.problem, &self.tones, &self.ground, &hands, &faults);
        let time = |from: usize, to: usize| self.ground.time(from, to);
        let asked = right::Asked {
            problem: &self.problem,
            music: &self.ground.music,
            pins: &self.pins,
            time: &time,
            plan: &self.right,
        };
        let plucked = asked.solve(&fingering);
        plucked.write_into(&mut fingering);
        let told = findings::Told {
            problem: &self.problem,
            tones: &self.tones,
            music: &self.ground.music,
            pins: &self.pins,
            fingering: &fingering,
        };
        let findings = findings::findings(&told, plucked.findings);
        Solution { fingering, findings, right_effort: plucked.effort, right_items: plucked.items }
    }
}
