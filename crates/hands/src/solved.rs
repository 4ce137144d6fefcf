//! A problem solved, its tables kept for further questions.

use std::collections::HashMap;
use std::sync::OnceLock;

use apoyando_fingering::{Pin, PinRule, Pins, Price, Problem, Scope};
use apoyando_music::{ToneId, Tones};

use crate::answer::like_bars::HeldAlike;
use crate::answer::{account, findings};
use crate::error::HandsError;
use crate::hand::limits;
use crate::heard::sounds::has_doubles;
use crate::plan::RightPlan;
use crate::search::ground::Ground;
use crate::search::layout::GaveUp;
use crate::search::solution::Search;
use crate::search::stage::Choice;
use crate::search::walk;
use crate::{Solution, right, when};

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
    pub search: Search,
    /// By tone, its sound.
    pub sound_of_tone: Vec<usize>,
    /// What is held so that like bars are alike.
    pub held_alike: HeldAlike,
}

/// Fingers one part of a score for both hands and keeps what was worked out.
///
/// # Errors
/// As [`finger`](crate::finger).
pub fn solve<'a>(problem: &Problem<'a>, right: &RightPlan) -> Result<Solved<'a>, HandsError> {
    Weighed::of(problem, right).map(Solved::of)
}

fn sound_of_tone(tones: &Tones, ground: &Ground) -> Vec<usize> {
    let mut sounds = vec![usize::MAX; tones.len()];
    for (index, sound) in ground.music.sounds.iter().enumerate() {
        for tone in &sound.tones {
            sounds[tone.0 as usize] = index;
        }
    }
    sounds
}

impl<'a> Solved<'a> {
    pub(crate) const fn of(weighed: Weighed<'a>) -> Self {
        Self { weighed, solution: OnceLock::new() }
    }

    /// The best fingering and what is to be said of it.
    pub fn solution(&self) -> &Solution {
        self.solution.get_or_init(|| self.weighed.best_written_out())
    }

    /// Gives the best fingering and lets the rest go.
    pub fn into_solution(self) -> Solution {
        self.solution.into_inner().unwrap_or_else(|| self.weighed.best_written_out())
    }

    /// The price of the best fingering.
    pub fn price(&self) -> Price {
        self.weighed.price()
    }

    /// Solves the same problem under other pins: only what the pins that
    /// differ touch is worked out again.
    ///
    /// # Errors
    /// As [`finger`](crate::finger).
    pub fn repin(mut self, pins: &'a Pins) -> Result<Self, HandsError> {
        self.weighed.repin(pins)?;
        Ok(Self::of(self.weighed))
    }
}

impl<'a> Weighed<'a> {
    fn of(problem: &Problem<'a>, right: &RightPlan) -> Result<Self, HandsError> {
        crate::check(problem)?;
        let pins = limits::in_force(&problem.pins.0);
        let tones = problem.score.tones(problem.part);
        let ground = Ground::of(problem, &tones, &pins);
        let sound_of_tone = sound_of_tone(&tones, &ground);
        let search = Search::new(ground).map_err(|GaveUp(layer)| {
            // Read again, as what was read is gone.
            crowded(problem, &Ground::of(problem, &tones, &pins), layer)
        })?;
        let (problem, right) = (*problem, right.clone());
        let held_alike = HeldAlike::new();
        Ok(Self { problem, right, tones, pins, search, sound_of_tone, held_alike })
    }

    fn best_written_out(&self) -> Solution {
        let mut solution = self.written_out(&self.search.way);
        self.name_clashes(&mut solution.findings);
        debug_assert_eq!(solution.fingering.price, self.price(), "the bill adds up");
        solution
    }

    /// Goes over to other pins.
    fn repin(&mut self, pins: &'a Pins) -> Result<(), HandsError> {
        let in_force = limits::in_force(&pins.0);
        let problem = Problem { pins, ..self.problem };
        let asks =
            |pins: &[Pin]| pins.iter().any(|pin| matches!(pin.rule, PinRule::SecondFingers(_)));
        let seconds = self.problem.level.substitution && (asks(&self.pins) || asks(&in_force));
        if has_doubles(&self.tones) || !self.held_alike.is_empty() || seconds {
            // Pins may part or join sounds, make bars unlike, and bind what is held long
            // after it is struck.
            *self = Self::of(&problem, &self.right)?;
            return Ok(());
        }
        let layers = self.touched(&in_force);
        self.problem = problem;
        self.pins = in_force;
        self.search.ground.read_rules(&problem, &self.pins, &layers);
        self.again(&layers)
    }

    /// Solves again after the rules of some layers were read anew.
    pub fn again(&mut self, layers: &[usize]) -> Result<(), HandsError> {
        self.search
            .again(layers)
            .map_err(|GaveUp(layer)| crowded(&self.problem, &self.search.ground, layer))
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
                    let all = &self.search.ground.music.layers;
                    let from = all.partition_point(|layer| layer.bar < first);
                    layers.extend(from..from.max(all.partition_point(|layer| layer.bar <= last)));
                }
            }
        }
        layers.sort_unstable();
        layers.dedup();
        layers
    }

    /// The layer at which a tone is struck and its place among the sounds
    /// struck there.
    pub fn struck_at(&self, tone: ToneId) -> Option<(usize, usize)> {
        let sound = *self.sound_of_tone.get(tone.0 as usize)?;
        let music = &self.search.ground.music;
        let layer = music.sounds.get(sound)?.layer;
        Some((layer, sound - music.layers[layer].first))
    }

    /// The price of the best way.
    pub fn price(&self) -> Price {
        self.search.price()
    }

    /// A way as a fingering for both hands.
    pub fn written_out(&self, way: &[Choice]) -> Solution {
        let ground = &self.search.ground;
        let hands = walk::hands(ground, &self.search.stages, way);
        let faults: Vec<_> = self.search.faults().collect();
        let mut fingering = account::fingering(&self.problem, &self.tones, ground, &hands, &faults);
        let time = |from: usize, to: usize| ground.time(from, to);
        let asked = right::Asked {
            problem: &self.problem,
            tones: &self.tones,
            music: &ground.music,
            pins: &self.pins,
            clock: &ground.clock,
            time: &time,
            plan: &self.right,
        };
        let plucked = asked.solve_alike(&fingering);
        plucked.write_into(&mut fingering);
        let told = findings::Told {
            problem: &self.problem,
            tones: &self.tones,
            music: &ground.music,
            geometry: &ground.geometry,
            pins: &self.pins,
            fingering: &fingering,
        };
        let findings = findings::findings(&told, plucked.findings);
        Solution {
            fingering,
            findings,
            right_effort: plucked.effort,
            right_items: plucked.items,
            plucked_alike: plucked.alike,
        }
    }
}

pub(crate) fn crowded(problem: &Problem<'_>, ground: &Ground, layer: usize) -> HandsError {
    let at = &ground.music.layers[layer];
    HandsError::Crowded {
        bar: when::bar_number(problem.score, at.onset),
        beat: when::beat(problem.score, at.onset),
        sounds: at.struck().len() + at.held.len(),
    }
}
