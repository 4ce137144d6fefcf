//! A problem solved, its tables kept for further questions.

use std::collections::HashMap;
use std::sync::OnceLock;

use apoyando_fingering::{Pin, Pins, Price, Problem, Scope};
use apoyando_music::Tones;

use crate::alternatives::Tables;
use crate::error::HandsError;
use crate::ground::Ground;
use crate::layout::{GaveUp, lay_again, lay_out};
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
    /// Written out when it is first asked for.
    solution: OnceLock<Solution>,
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
    Ok(Solved { weighed, solution: OnceLock::new() })
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

impl<'a> Solved<'a> {
    /// The best fingering and what is to be said of it.
    pub fn solution(&self) -> &Solution {
        self.solution.get_or_init(|| self.weighed.best_written_out())
    }

    /// Gives the best fingering and lets the rest go.
    pub fn into_solution(self) -> Solution {
        self.solution.into_inner().unwrap_or_else(|| self.weighed.best_written_out())
    }

    /// Solves the same problem under other pins: only what the pins that
    /// differ touch is worked out again.
    ///
    /// # Errors
    /// As [`finger`](crate::finger).
    pub fn repin(mut self, pins: &'a Pins) -> Result<Self, HandsError> {
        self.weighed.repin(pins)?;
        Ok(Self { weighed: self.weighed, solution: OnceLock::new() })
    }
}

impl<'a> Weighed<'a> {
    fn best_written_out(&self) -> Solution {
        let solution = self.written_out(&self.way);
        debug_assert_eq!(solution.fingering.price, self.price(), "the bill adds up");
        solution
    }

    /// Goes over to other pins.
    ///
    /// A layer's postures depend on the pins that concern it and on what comes
    /// in from before, so that only layers with pins that came or went are laid
    /// out again, and those after them while something else comes in. Costs to
    /// the end are kept above the least of their layer: where those of a layer
    /// come out as they were, so do all before it.
    fn repin(&mut self, pins: &'a Pins) -> Result<(), HandsError> {
        let standing = limits::standing(&pins.0);
        let layers = self.touched(&standing);
        self.problem.pins = pins;
        self.pins = standing;
        self.tables = OnceLock::new();
        for layer in &layers {
            let Ground { music, costs, .. } = &self.ground;
            self.ground.limits[*layer] =
                limits::on_layer(&self.problem, music, &costs.geometry, &self.pins, *layer);
        }
        let laid = lay_again(&self.ground, &mut self.stages, &layers)
            .map_err(|gave_up| crowded(&self.problem, &self.ground, gave_up))?;
        let Some(last) = laid.last() else { return Ok(()) };
        let first = to_end::price_again(&self.ground, &mut self.stages, &laid);
        self.way = walk::again(&self.ground, &self.stages, &self.way, (first, *last));
        Ok(())
    }

    /// The layers concerned by pins that come or go, in order.
    fn touched(&self, pins: &[Pin]) -> Vec<usize> {
        let mut gone: HashMap<Pin, i64> = HashMap::new();
        for pin in &self.pins {
            *gone.entry(*pin).or_default() += 1;
        }
        for pin in pins {
            *gone.entry(*pin).or_default() -= 1;
        }
        let mut layers: Vec<usize> = Vec::new();
        for pin in gone.iter().filter(|(_, count)| **count != 0).map(|(pin, _)| pin) {
            match pin.scope {
                Scope::Tone(tone) => layers.extend(self.struck_at(tone).map(|(layer, _)| layer)),
                Scope::Bars { first, last } => {
                    let all = &self.ground.music.layers;
                    let from = all.partition_point(|layer| layer.bar < first);
                    layers.extend(from..from.max(all.partition_point(|layer| layer.bar <= last)));
                }
            }
        }
        layers.sort_unstable();
        layers.dedup();
        layers
    }

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
