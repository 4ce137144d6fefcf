//! What rules out a place for a note.

use apoyando_fingering::{LeftFinger, Pin, PinRule, Scope};
use apoyando_fretboard::{Fret, Place, StringNumber};

use crate::hand::limits::{POSITIONS, Rules, forbids, takes_in};
use crate::search::grips::{Faults, Grips};
use crate::solved::Weighed;

/// Why every fingering with a note at a certain place leaves out more notes or
/// breaks more rules than need be.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) enum Obstacle {
    /// It lies above the level's highest fret.
    TooHigh(Fret),
    /// The level allows no open strings.
    NoOpen,
    /// A pin of the author or the file, in words.
    Pin(String),
    /// The level's fingers leave none for it.
    NoFinger,
    /// It needs a position that the level or a pin does not allow.
    Position,
    /// It needs a barre that the level or a pin does not allow.
    Barre,
    /// It needs an extension that the level does not allow.
    Extension,
    /// Another note struck with it has no other string.
    Taken,
    /// No hand can stop it together with the other notes.
    Hand,
}

impl Weighed<'_> {
    /// What rules out the place of a struck sound on another string.
    pub fn obstacle(&self, layer: usize, index: usize, place: Place) -> Obstacle {
        let string = place.string.index() as u8;
        let ground = &self.search.ground;
        let mut limits = ground.rules_on(layer).clone();
        limits.struck[index].candidates.retain(|c| c.string == string);
        let least = self.search.stages[layer].faults;
        let faults = |rules: &Rules| -> Faults {
            Grips::new(ground.pricing(), rules).least_faults().unwrap_or((u16::MAX, 0))
        };
        if faults(&limits).0 > least.0 {
            return if self.is_taken(layer, index, string) {
                Obstacle::Taken
            } else {
                Obstacle::Hand
            };
        }
        if limits.struck[index].candidates.iter().all(|c| c.breaches > 0)
            && let Some(own) = self.own_obstacle(layer, index, place)
        {
            return own;
        }
        let fits = |limits: &Rules| faults(limits) <= least;
        let no_positions = Rules { position: [0; POSITIONS], ..limits.clone() };
        let mut no_barre = limits.clone();
        no_barre.barre.fill(0);
        let any_extension = Rules { extension: u8::MAX, ..limits.clone() };
        if fits(&no_positions) {
            Obstacle::Position
        } else if fits(&no_barre) {
            Obstacle::Barre
        } else if fits(&any_extension) {
            Obstacle::Extension
        } else {
            Obstacle::Hand
        }
    }

    /// A rule on the placement itself.
    fn own_obstacle(&self, layer: usize, index: usize, place: Place) -> Option<Obstacle> {
        let level = self.problem.level;
        if place.fret > level.highest_fret {
            return Some(Obstacle::TooHigh(level.highest_fret));
        }
        if place.fret.0 == 0 && !level.fingers.contains(None) {
            return Some(Obstacle::NoOpen);
        }
        let here = &self.search.ground.music.layers[layer];
        let tones = &self.search.ground.music.sounds[here.first + index].tones;
        let concerns = |pin: &&Pin| match pin.scope {
            Scope::Tone(tone) => tones.contains(&tone),
            Scope::Bars { .. } => takes_in(pin.scope, here.bar),
        };
        let string = place.string.index() as u8;
        let fingers = if place.fret.0 == 0 { 0..=0 } else { 1..=4 };
        let excludes = |rule: &PinRule| {
            fingers
                .clone()
                .filter(|f| level.fingers.contains(LeftFinger::from_digit(*f)))
                .all(|finger| forbids(rule, string, place.fret.0, finger))
        };
        let mut pins = self.pins.iter().filter(concerns);
        match pins.find(|pin| excludes(&pin.rule)) {
            Some(pin) => Some(Obstacle::Pin(super::findings::in_words(&pin.rule))),
            None => Some(Obstacle::NoFinger),
        }
    }

    /// Whether some other sound struck here has no place but on that string.
    fn is_taken(&self, layer: usize, index: usize, string: u8) -> bool {
        self.search.ground.rules_on(layer).struck.iter().enumerate().any(|(other, struck)| {
            let candidates = &struck.candidates;
            other != index
                && !candidates.is_empty()
                && candidates.iter().all(|c| c.string == string)
        })
    }

    /// Every other place of a struck sound on the instrument.
    pub fn other_places(&self, layer: usize, index: usize, own: u8) -> Vec<Place> {
        let ground = &self.search.ground;
        let here = &ground.music.layers[layer];
        let sound = &ground.music.sounds[here.first + index];
        ground
            .geometry
            .places(sound)
            .filter(|(string, ..)| *string != own)
            .filter_map(|(string, fret, _)| {
                Some(Place { string: StringNumber::new(string + 1)?, fret: Fret(fret) })
            })
            .collect()
    }
}
