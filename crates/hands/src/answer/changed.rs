//! The question with one change (model §11).

use apoyando_fingering::{
    BarreLimit, LeftFingerSet, Level, Pin, PinRule, PositionSet, Problem, Scope,
};
use apoyando_fretboard::Fret;
use apoyando_music::{ToneId, Tones};

use super::ways_out::QuestionChange;
use crate::error::HandsError;
use crate::hand::limits::{Rules, takes_in};
use crate::heard::Role;
use crate::search::grips::MOST_EXTENSION;
use crate::search::ground::Ground;
use crate::search::layout::GaveUp;
use crate::search::solution::Search;
use crate::solved::{Weighed, crowded};

/// A change at a layer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Change {
    /// Of one of the sounds struck there, by its number among them.
    LeaveOut(usize),
    OctaveUp(usize),
    Lift(Lift),
    /// Of one of the pins in force, by its number among them.
    WithoutPin(usize),
}

/// A kind of limit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Lift {
    Barre,
    Position,
    Extension,
    Finger,
    Fret,
}

impl Lift {
    /// In the order of the model.
    pub const ALL: [Self; 5] =
        [Self::Barre, Self::Position, Self::Extension, Self::Finger, Self::Fret];

    /// The level without this limit.
    fn level(self, level: &Level) -> Level {
        let mut level = level.clone();
        match self {
            Self::Barre => level.barre = BarreLimit::Full,
            Self::Position => level.positions = PositionSet::ALL,
            Self::Extension => level.extension = level.extension.max(MOST_EXTENSION),
            Self::Finger => level.fingers = LeftFingerSet::ALL,
            Self::Fret => level.highest_fret = Fret::MOST,
        }
        level
    }

    /// Whether a pin is of this kind.
    const fn lifts(self, rule: &PinRule) -> bool {
        matches!(
            (self, rule),
            (Self::Barre, PinRule::Barre(_))
                | (Self::Position, PinRule::Positions(_))
                | (Self::Finger, PinRule::LeftFingers(_))
                | (Self::Fret, PinRule::Frets(_))
        )
    }
}

/// What a change makes of the question.
pub(crate) enum Changed {
    /// There is nothing to be changed.
    Nothing,
    /// Other rules at the layer.
    Rules(Rules),
    /// Other music.
    Music(Box<Ground>, Renumbered),
}

/// The numbers of tones in changed music and in the old.
pub(crate) struct Renumbered {
    /// By new number.
    old: Vec<ToneId>,
}

impl Renumbered {
    /// Notes keep their numbers, so tones are known by their first.
    fn of(old: &Tones, new: &Tones) -> Self {
        let old_of = |tone: &apoyando_music::Tone| old.of_note(tone.head()).unwrap_or(tone.id);
        Self { old: new.as_slice().iter().map(old_of).collect() }
    }

    pub fn old(&self, tone: ToneId) -> ToneId {
        self.old.get(tone.0 as usize).copied().unwrap_or(tone)
    }

    fn renumber(&self, tone: ToneId) -> ToneId {
        let at = self.old.iter().position(|old| *old == tone);
        at.map_or(tone, |at| ToneId(at as u32))
    }
}

impl Weighed<'_> {
    /// Every change that may be tried at a layer, in the order of the model.
    pub fn changes_at(&self, layer: usize) -> Vec<Change> {
        let music = &self.search.ground.music;
        let struck = &music.sounds[music.layers[layer].struck()];
        let basses = struck.iter().enumerate().filter(|(_, sound)| sound.role == Role::Bass);
        let pins = (0..self.pins.len()).filter(|pin| self.holds_at(&self.pins[*pin], layer));
        (0..struck.len())
            .map(Change::LeaveOut)
            .chain(basses.map(|(index, _)| Change::OctaveUp(index)))
            .chain(Lift::ALL.map(Change::Lift))
            .chain(pins.map(Change::WithoutPin))
            .collect()
    }

    /// Whether a pin on the left hand holds at a layer.
    fn holds_at(&self, pin: &Pin, layer: usize) -> bool {
        let music = &self.search.ground.music;
        let here = &music.layers[layer];
        let struck = &music.sounds[here.struck()];
        !matches!(pin.rule, PinRule::RightFingers(_))
            && match pin.scope {
                Scope::Tone(tone) => struck.iter().any(|sound| sound.tones.contains(&tone)),
                Scope::Bars { .. } => takes_in(pin.scope, here.bar),
            }
    }

    /// The question with a change.
    pub fn changed(&self, layer: usize, change: &Change) -> Changed {
        let (problem, ground) = (&self.problem, &self.search.ground);
        match change {
            Change::LeaveOut(index) => {
                let mut rules = ground.rules_under(problem, &self.pins, layer);
                rules.struck[*index].candidates.clear();
                Changed::Rules(rules)
            }
            Change::OctaveUp(index) => self.octave_up(layer, *index),
            Change::Lift(lift) => {
                let level = lift.level(problem.level);
                let kept = |pin: &&Pin| !(lift.lifts(&pin.rule) && self.holds_at(pin, layer));
                let pins: Vec<Pin> = self.pins.iter().filter(kept).copied().collect();
                if level == *problem.level && pins.len() == self.pins.len() {
                    return Changed::Nothing;
                }
                let asked = Problem { level: &level, ..*problem };
                Changed::Rules(ground.rules_under(&asked, &pins, layer))
            }
            Change::WithoutPin(without) => {
                let mut pins = self.pins.clone();
                pins.remove(*without);
                Changed::Rules(ground.rules_under(problem, &pins, layer))
            }
        }
    }

    /// The music with a bass an octave higher, read anew.
    fn octave_up(&self, layer: usize, index: usize) -> Changed {
        let music = &self.search.ground.music;
        let sound = &music.sounds[music.layers[layer].first + index];
        let notes: Vec<_> =
            sound.tones.iter().flat_map(|tone| self.tones.get(*tone).notes.clone()).collect();
        let Some(score) = self.problem.score.octave_up(&notes) else { return Changed::Nothing };
        let all = score.tones(self.problem.part);
        let tones = Renumbered::of(&self.tones, &all);
        let renumbered = |pin: &Pin| match pin.scope {
            Scope::Tone(tone) => Pin { scope: Scope::Tone(tones.renumber(tone)), ..*pin },
            Scope::Bars { .. } => *pin,
        };
        let pins: Vec<Pin> = self.pins.iter().map(renumbered).collect();
        let asked = Problem { score: &score, ..self.problem };
        Changed::Music(Box::new(Ground::of(&asked, &all, &pins)), tones)
    }

    /// Solves again after the rules of a layer changed.
    pub fn solve_again(&self, search: &mut Search, layer: usize) -> Result<(), HandsError> {
        search
            .again(&[layer])
            .map_err(|GaveUp(layer)| crowded(&self.problem, &search.ground, layer))
    }

    /// Solves other music.
    pub fn search_in(&self, ground: Ground) -> Result<Search, HandsError> {
        // Where it has to give up, layers have the onsets they had.
        Search::new(ground)
            .map_err(|GaveUp(layer)| crowded(&self.problem, &self.search.ground, layer))
    }

    /// A change in the words of the question.
    pub fn named(&self, layer: usize, change: &Change) -> QuestionChange {
        let music = &self.search.ground.music;
        let first = |index: usize| {
            let sound = &music.sounds[music.layers[layer].first + index];
            sound.tones.first().copied().unwrap_or(ToneId(0))
        };
        match change {
            Change::LeaveOut(index) => QuestionChange::LeaveOut(first(*index)),
            Change::OctaveUp(index) => QuestionChange::OctaveUp(first(*index)),
            Change::Lift(Lift::Barre) => QuestionChange::WiderBarre,
            Change::Lift(Lift::Position) => QuestionChange::AnotherPosition,
            Change::Lift(Lift::Extension) => QuestionChange::FartherExtension,
            Change::Lift(Lift::Finger) => QuestionChange::AnotherFinger,
            Change::Lift(Lift::Fret) => QuestionChange::HigherFret,
            Change::WithoutPin(pin) => QuestionChange::WithoutPin(self.pins[*pin]),
        }
    }
}
