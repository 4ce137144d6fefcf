//! What the author allows, made ready for the search (model §3, A1–A6).

use std::collections::{HashMap, HashSet};
use std::mem::{Discriminant, discriminant};

use apoyando_fingering::{
    Descending, LeftFinger, Pin, PinAuthor, PinRule, Position, Problem, Scope,
};
use apoyando_fretboard::{Fret, StringNumber};
use apoyando_music::{BarIndex, ToneId};

use super::geometry::{Geometry, STRINGS};
use crate::heard::{Clock, Kind, Music, Sound};

/// Positions at most, and room for the number 0, which says *unknown*.
pub(crate) const POSITIONS: usize = Position::MOST as usize + 1;

/// A melody note on an open string that lasts so many milliseconds is long
/// (`tone_long`).
const LONG: i64 = 1000;

/// A way of playing a struck sound.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Candidate {
    /// Index of the string, 0 for the thinnest.
    pub string: u8,
    pub fret: u8,
    /// 0 for the open string.
    pub finger: u8,
    /// How many rules it breaks by itself.
    pub breaches: u16,
    /// Whether it is against the house's way in descending lines.
    pub against: bool,
}

/// A struck sound as far as what it costs depends on it.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Struck {
    /// In the order of ties.
    pub candidates: Vec<Candidate>,
    pub touched: bool,
    /// Whether it is no harmonic, so that fingers may be bound to its
    /// auxiliaries.
    pub plain: bool,
    /// Semitones from it to each auxiliary.
    pub auxiliaries: Vec<i8>,
    /// Whether it is plain and of the melody, so that its tone counts.
    pub sung: bool,
    /// Whether it is plain and of the bass.
    pub low: bool,
    /// Whether it lasts long.
    pub long: bool,
}

/// The rules on one layer, and what else its postures depend on besides what
/// they hold. Equal rules have equal postures.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Rules {
    pub struck: Vec<Struck>,
    /// Breaches of a posture that is not idle by the place of the hand.
    pub position: [u16; POSITIONS],
    /// Breaches by the width of a barre.
    pub barre: [u16; STRINGS + 1],
    /// Frets of extension that a finger may have without a breach.
    pub extension: u8,
    /// Fingers that the level allows, as bits.
    pub fingers: u8,
    /// Per string, the frets at which a barre may end on it for what is struck
    /// here or will be.
    pub ends: [u32; STRINGS],
    /// Per string, the frets that give what is struck later in the bar, if a chord is
    /// struck here: what a barre may lie for though the chord does not need it.
    pub later: [u32; STRINGS],
    /// Whether the hand begins anew, so that a barre is laid from an empty hand.
    pub anew: bool,
}

/// The pins in force, after imports have given way.
pub(crate) fn in_force(pins: &[Pin]) -> Vec<Pin> {
    let kinds: HashSet<(ToneId, Discriminant<PinRule>)> = pins
        .iter()
        .filter(|p| p.author == PinAuthor::Author)
        .filter_map(|p| match p.scope {
            Scope::Tone(tone) => Some((tone, discriminant(&p.rule))),
            Scope::Bars { .. } => None,
        })
        .collect();
    pins.iter()
        .filter(|p| match (p.author, p.scope) {
            (PinAuthor::Import, Scope::Tone(tone)) => {
                !kinds.contains(&(tone, discriminant(&p.rule)))
            }
            _ => true,
        })
        .copied()
        .collect()
}

/// Whether a pin's scope takes in a bar.
pub(crate) fn takes_in(scope: Scope, bar: BarIndex) -> bool {
    matches!(scope, Scope::Bars { first, last } if first <= bar && bar <= last)
}

/// Whether a pin on strings, frets or left fingers forbids a placement.
pub(crate) fn forbids(rule: &PinRule, string: u8, fret: u8, finger: u8) -> bool {
    match rule {
        PinRule::Strings(set) => {
            StringNumber::new(string + 1).is_none_or(|string| !set.contains(string))
        }
        PinRule::Frets(set) => !set.contains(Fret(fret)),
        PinRule::LeftFingers(set) => !set.contains(LeftFinger::from_digit(finger)),
        PinRule::SecondFingers(_)
        | PinRule::RightFingers(_)
        | PinRule::Positions(_)
        | PinRule::Barre(_) => false,
    }
}

/// Reads the rules of layers.
pub(crate) struct Reader<'a> {
    pub problem: &'a Problem<'a>,
    pub music: &'a Music,
    pub geometry: &'a Geometry,
    pub clock: &'a Clock,
    of_tone: HashMap<ToneId, Vec<Pin>>,
    over_bars: Vec<Pin>,
}

impl<'a> Reader<'a> {
    pub fn new(
        problem: &'a Problem<'a>,
        music: &'a Music,
        (geometry, clock): (&'a Geometry, &'a Clock),
        pins: &[Pin],
    ) -> Self {
        let mut of_tone: HashMap<ToneId, Vec<Pin>> = HashMap::new();
        let mut over_bars = Vec::new();
        for pin in pins {
            match pin.scope {
                Scope::Tone(tone) => of_tone.entry(tone).or_default().push(*pin),
                Scope::Bars { .. } => over_bars.push(*pin),
            }
        }
        Self { problem, music, geometry, clock, of_tone, over_bars }
    }

    /// The rules on a layer.
    pub fn rules(&self, layer: usize) -> Rules {
        let here = &self.music.layers[layer];
        let level = self.problem.level;
        let mut pins: Vec<Pin> =
            self.over_bars.iter().filter(|p| takes_in(p.scope, here.bar)).copied().collect();
        let over_bars = pins.len();
        let descends = self.descends(layer);
        let mut struck = Vec::with_capacity(here.struck().len());
        for sound in &self.music.sounds[here.struck()] {
            let from = pins.len();
            for tone in &sound.tones {
                pins.extend(self.of_tone.get(tone).map_or(&[][..], Vec::as_slice));
            }
            let own = pins[..over_bars].iter().chain(&pins[from..]);
            struck.push(self.struck(sound, own, descends));
        }
        let (position, barre) = hand_breaches(self.problem, &pins);
        let fingers = LeftFinger::ALL.into_iter().filter(|f| level.fingers.contains(Some(*f)));
        Rules {
            struck,
            position,
            barre,
            extension: level.extension,
            fingers: fingers.fold(0, |set, finger| set | 1 << finger.index()),
            ends: self.ends(layer),
            later: self.later(layer),
            anew: !self.music.is_reached(layer),
        }
    }

    fn struck<'p>(
        &self,
        sound: &Sound,
        pins: impl Iterator<Item = &'p Pin> + Clone,
        descends: bool,
    ) -> Struck {
        let level = self.problem.level;
        let mut candidates = Vec::new();
        for (string, fret, open) in self.geometry.places(sound) {
            let fingers = if open { 0..=0 } else { 1..=4 };
            for finger in fingers {
                let allowed = level.fingers.contains(LeftFinger::from_digit(finger));
                let forbidding = pins.clone().filter(|p| forbids(&p.rule, string, fret, finger));
                candidates.push(Candidate {
                    string,
                    fret,
                    finger,
                    breaches: u16::from(Fret(fret) > level.highest_fret)
                        + u16::from(!allowed)
                        + forbidding.count() as u16,
                    against: descends
                        && sound.kind != Kind::NaturalHarmonic
                        && self.is_against(sound.key, string, fret),
                });
            }
        }
        let sung = sound.is_sung();
        Struck {
            candidates,
            touched: sound.kind == Kind::NaturalHarmonic,
            plain: sound.kind == Kind::Plain,
            auxiliaries: sound.auxiliaries.iter().map(|key| (key - sound.key) as i8).collect(),
            sung,
            low: sound.is_low(),
            long: sung && self.clock.milliseconds(sound.onset, sound.written_end) >= LONG,
        }
    }

    /// Whether a layer is one lone sound that follows another a step above it,
    /// and the house has a way with such.
    fn descends(&self, layer: usize) -> bool {
        let Some(before) = layer.checked_sub(1) else { return false };
        let layers = &self.music.layers;
        if self.problem.house.descending.is_none()
            || !layers[layer].is_lone()
            || !layers[before].is_lone()
            || !self.music.is_reached(layer)
        {
            return false;
        }
        let key = |layer: usize| self.music.sounds[layers[layer].first].key;
        (1..=2).contains(&(key(before) - key(layer)))
    }

    fn is_against(&self, key: i16, string: u8, fret: u8) -> bool {
        let mut places = (0..self.geometry.strings)
            .filter_map(|string| Some((string, self.geometry.fret(string, key)?)));
        match self.problem.house.descending {
            Some(Descending::Open) => fret > 0 && places.any(|(_, fret)| fret == 0),
            Some(Descending::Stopped) => {
                fret == 0 && places.any(|(other, fret)| other > usize::from(string) && fret > 0)
            }
            None => false,
        }
    }

    /// Per string, the frets that give a key struck here or an auxiliary of one, or
    /// a key struck in the next layer or in a later one of the same figure.
    fn ends(&self, layer: usize) -> [u32; STRINGS] {
        let layers = &self.music.layers;
        let figure = layers[layer].figure.map_or(0, |(_, past)| past);
        let past = (layer + 2).max(figure).min(layers.len());
        let mut ends = [0; STRINGS];
        for sound in &self.music.sounds[layers[layer].first..layers[past - 1].past] {
            self.geometry.add_ends(&mut ends, sound.key);
        }
        for sound in &self.music.sounds[layers[layer].struck()] {
            if sound.kind == Kind::Plain {
                sound.auxiliaries.iter().for_each(|key| self.geometry.add_ends(&mut ends, *key));
            }
        }
        ends
    }

    /// Per string, the frets that give a key struck later in the bar of a chord; nothing
    /// where no chord is struck.
    fn later(&self, layer: usize) -> [u32; STRINGS] {
        let mut frets = [0; STRINGS];
        let (own, after) = (&self.music.layers[layer], &self.music.layers[layer + 1..]);
        if own.is_thin() {
            return frets;
        }
        for layer in after.iter().take_while(|layer| layer.bar == own.bar) {
            for sound in &self.music.sounds[layer.struck()] {
                self.geometry.add_ends(&mut frets, sound.key);
            }
        }
        frets
    }
}

type HandBreaches = ([u16; POSITIONS], [u16; STRINGS + 1]);

fn hand_breaches(problem: &Problem<'_>, pins: &[Pin]) -> HandBreaches {
    let level = problem.level;
    let mut position = [0; POSITIONS];
    for (number, breaches) in position.iter_mut().enumerate().skip(1) {
        let Some(at) = Position::new(number as u8) else { continue };
        *breaches = u16::from(!level.positions.contains(at));
        for pin in pins {
            *breaches += u16::from(matches!(pin.rule, PinRule::Positions(s) if !s.contains(at)));
        }
    }
    let mut barre = [0; STRINGS + 1];
    for (width, breaches) in barre.iter_mut().enumerate().skip(1) {
        *breaches = u16::from(width > usize::from(level.barre.width()));
        for pin in pins {
            *breaches += u16::from(
                matches!(pin.rule, PinRule::Barre(limit) if width > usize::from(limit.width())),
            );
        }
    }
    (position, barre)
}
