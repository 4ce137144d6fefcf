//! A problem with what follows from it alone: lengths, times, places.

use std::collections::BTreeSet;

use apoyando_fingering::{Level, Pin, Problem};
use apoyando_fretboard::{Fret, Place as At, StringNumber};
use apoyando_music::KeyNumber;

use crate::grip::Place;
use crate::heard::{Heard, Kind, Sound, hear, hurry, in_force, milliseconds};
use crate::played::{Played, play};
use crate::returning::{Return, returns};

/// Frets at which a touched string sounds so many semitones above it.
const TOUCHED: [(u8, i16); 8] =
    [(12, 12), (7, 19), (19, 19), (5, 24), (24, 24), (4, 28), (9, 28), (16, 28)];

/// Fret 24 for finger 4, and a few more that are only reckoned with.
const MOST_FRETS: u8 = 40;

pub struct Question<'a> {
    pub problem: &'a Problem<'a>,
    pub heard: Heard,
    pub played: Played,
    pub pins: Vec<Pin>,
    /// The level and the pins that count at one layer in place of those (model §11).
    pub lifted: Option<(usize, Level, Vec<Pin>)>,
    /// How many strings there are.
    pub strings: u8,
    /// The sounds struck in each layer.
    pub struck: Vec<Vec<usize>>,
    /// The earlier sounds wanted in each layer, from low to high.
    pub wanted: Vec<Vec<usize>>,
    /// The places of each sound.
    pub places: Vec<Vec<Place>>,
    /// Keys that an end of a barre may give in each layer, but for kept sounds.
    pub meant: Vec<BTreeSet<i16>>,
    /// The notes of the melody that come again.
    pub returns: Vec<Return>,
    x: Vec<i64>,
    y: Vec<Vec<i64>>,
    hurry: Vec<Vec<i64>>,
}

impl<'a> Question<'a> {
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let heard = hear(problem);
        let played = play(problem, &heard);
        let layers = heard.layers.len();
        let strings = problem.instrument.tuning.len() as u8;
        let point = |string: u8, fret: u8| {
            let string = StringNumber::new(string).unwrap();
            problem.instrument.point(At { string, fret: Fret(fret) })
        };
        let x = (0..=MOST_FRETS).map(|fret| i64::from(point(1, fret).along.0)).collect();
        let across = |string: u8| {
            (0..=MOST_FRETS).map(|fret| i64::from(point(string, fret).across.0)).collect()
        };
        let hurries = |from: usize| {
            (0..layers)
                .map(|to| {
                    let (from, to) = (heard.layers[from], heard.layers[to]);
                    hurry(if to > from { milliseconds(problem, from, to) } else { 0 })
                })
                .collect()
        };
        let mut question = Self {
            problem,
            pins: in_force(problem.pins),
            lifted: None,
            strings,
            struck: (0..layers).map(|layer| heard.struck(layer)).collect(),
            wanted: (0..layers).map(|layer| heard.wanted(layer)).collect(),
            places: Vec::new(),
            meant: (0..layers).map(|layer| meant(&heard, layer)).collect(),
            returns: Vec::new(),
            x,
            y: (1..=strings).map(across).collect(),
            hurry: (0..layers).map(hurries).collect(),
            played,
            heard,
        };
        let places = question.heard.sounds.iter().map(|sound| question.places_of(sound)).collect();
        question.places = places;
        question.returns = returns(&question);
        question
    }

    /// P1.
    fn places_of(&self, sound: &Sound) -> Vec<Place> {
        let stopped = |key: i16| (1..=self.strings).filter_map(move |s| self.place_on(s, key));
        match sound.kind {
            Kind::Plain => stopped(sound.key).collect(),
            Kind::Artificial => stopped(sound.key - 12).filter(|(_, fret)| *fret > 0).collect(),
            Kind::Natural => (1..=self.strings)
                .flat_map(|string| TOUCHED.map(|(fret, above)| (string, fret, above)))
                .filter(|(string, fret, above)| {
                    let on_it = self.key_at((*string, *fret)).is_some();
                    on_it && self.key_at((*string, 0)).map(|open| open + above) == Some(sound.key)
                })
                .map(|(string, fret, _)| (string, fret))
                .collect(),
        }
    }

    /// The level that counts at a layer.
    pub fn level(&self, layer: usize) -> &Level {
        match &self.lifted {
            Some((at, level, _)) if *at == layer => level,
            _ => self.problem.level,
        }
    }

    /// The pins that count at a layer.
    pub fn pins_at(&self, layer: usize) -> &[Pin] {
        match &self.lifted {
            Some((at, _, pins)) if *at == layer => pins,
            _ => &self.pins,
        }
    }

    pub fn layers(&self) -> usize {
        self.heard.layers.len()
    }

    pub fn sound(&self, sound: usize) -> &Sound {
        &self.heard.sounds[sound]
    }

    pub fn is_lone(&self, layer: usize) -> bool {
        self.struck[layer].len() == 1
    }

    /// Whether a layer is reached from the one written before it.
    pub fn is_reached(&self, layer: usize) -> bool {
        layer > 0 && self.played.reached[layer - 1]
    }

    pub fn hurry(&self, from: usize, to: usize) -> i64 {
        self.hurry[from][to]
    }

    pub fn x(&self, fret: u8) -> i64 {
        self.x[usize::from(fret)]
    }

    pub fn y(&self, place: Place) -> i64 {
        self.y[usize::from(place.0) - 1][usize::from(place.1)]
    }

    /// The key that a place gives; none off the instrument.
    pub fn key_at(&self, place: Place) -> Option<i16> {
        let at = At { string: StringNumber::new(place.0)?, fret: Fret(place.1) };
        self.problem.instrument.sound(at).map(|key| key.0)
    }

    /// Where a string gives a key.
    pub fn place_on(&self, string: u8, key: i16) -> Option<Place> {
        let at = self.problem.instrument.place_on(StringNumber::new(string)?, KeyNumber(key))?;
        Some((string, at.fret.0))
    }
}

/// P4: struck in the layer, ornaments included, in the next, or in a later one of
/// its figure.
fn meant(heard: &Heard, layer: usize) -> BTreeSet<i16> {
    let later = |other: usize| {
        let same_figure =
            heard.figure[layer].is_some() && heard.figure[other] == heard.figure[layer];
        other == layer || other == layer + 1 || (other > layer && same_figure)
    };
    let layers = (0..heard.layers.len()).filter(|other| later(*other));
    let struck = layers.flat_map(|other| heard.struck(other)).map(|s| heard.sounds[s].key);
    let here = heard.struck(layer).into_iter().map(|s| &heard.sounds[s]);
    let ornaments = here.filter(|s| s.kind == Kind::Plain).flat_map(|s| s.auxiliaries.clone());
    struck.chain(ornaments).collect()
}
