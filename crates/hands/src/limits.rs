//! What the author allows, made ready for the search (model §3, A1–A6).

use std::collections::HashSet;
use std::mem::{Discriminant, discriminant};

use apoyando_fingering::{LeftFinger, Pin, PinAuthor, PinRule, Position, Problem, Scope};
use apoyando_fretboard::{Fret, StringNumber};
use apoyando_music::{BarIndex, ToneId};

use crate::geometry::Geometry;
use crate::music::Music;

/// Positions at most, and room for the number 0, which says *unknown*.
pub(crate) const POSITIONS: usize = Position::MOST as usize + 1;

/// A way of playing a struck sound.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Candidate {
    /// Index of the string, 0 for the thinnest.
    pub string: u8,
    pub fret: u8,
    /// 0 for the open string.
    pub finger: u8,
    /// How many rules it breaks by itself.
    pub breaches: u16,
}

/// The rules on one layer.
#[derive(Clone, Debug)]
pub(crate) struct LayerLimits {
    /// Per struck sound, its candidates.
    pub candidates: Vec<Vec<Candidate>>,
    /// Breaches of a stopped posture by its position.
    pub position: [u16; POSITIONS],
    /// Breaches by the width of a barre.
    pub barre: [u16; StringNumber::MOST as usize + 1],
}

/// The pins that count, after imports have given way.
pub(crate) fn standing(pins: &[Pin]) -> Vec<Pin> {
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
        PinRule::RightFingers(_) | PinRule::Positions(_) | PinRule::Barre(_) => false,
    }
}

/// The rules on one layer, under pins in the order of the standing ones.
pub(crate) fn on_layer(
    problem: &Problem<'_>,
    music: &Music,
    geometry: &Geometry,
    pins: &[Pin],
    layer: usize,
) -> LayerLimits {
    let layer = &music.layers[layer];
    let over = |pin: &&Pin| takes_in(pin.scope, layer.bar);
    let mut here: Vec<Pin> = pins.iter().filter(over).copied().collect();
    let over_bars = here.clone();
    let candidates = music.sounds[layer.struck()]
        .iter()
        .map(|sound| {
            let on = |pin: &&Pin| matches!(pin.scope, Scope::Tone(t) if sound.tones.contains(&t));
            let own: Vec<Pin> = pins.iter().filter(on).copied().collect();
            here.extend(&own);
            let rules: Vec<Pin> = over_bars.iter().chain(&own).copied().collect();
            candidates(problem, geometry, sound.key, &rules)
        })
        .collect();
    let (position, barre) = hand_breaches(problem, &here);
    LayerLimits { candidates, position, barre }
}

/// The rules on every layer.
pub(crate) fn per_layer(
    problem: &Problem<'_>,
    music: &Music,
    geometry: &Geometry,
    pins: &[Pin],
) -> Vec<LayerLimits> {
    let mut of_tone: std::collections::HashMap<ToneId, Vec<Pin>> = std::collections::HashMap::new();
    let mut over_bars = Vec::new();
    for pin in pins {
        match pin.scope {
            Scope::Tone(tone) => of_tone.entry(tone).or_default().push(*pin),
            Scope::Bars { .. } => over_bars.push(*pin),
        }
    }
    let mut bar_pins: Vec<Pin> = Vec::new();
    let mut bar = None;
    music
        .layers
        .iter()
        .map(|layer| {
            if bar != Some(layer.bar) {
                bar = Some(layer.bar);
                bar_pins.clear();
                bar_pins.extend(over_bars.iter().filter(|p| takes_in(p.scope, layer.bar)));
            }
            let mut here = bar_pins.clone();
            let candidates = music.sounds[layer.struck()]
                .iter()
                .map(|sound| {
                    let mut rules = bar_pins.clone();
                    for tone in &sound.tones {
                        let own = of_tone.get(tone).map_or(&[][..], Vec::as_slice);
                        rules.extend(own);
                        here.extend(own);
                    }
                    candidates(problem, geometry, sound.key, &rules)
                })
                .collect();
            let (position, barre) = hand_breaches(problem, &here);
            LayerLimits { candidates, position, barre }
        })
        .collect()
}

fn candidates(
    problem: &Problem<'_>,
    geometry: &Geometry,
    key: i16,
    pins: &[Pin],
) -> Vec<Candidate> {
    let level = problem.level;
    let mut found = Vec::new();
    for string in 0..geometry.strings {
        let Some(fret) = geometry.fret(string, key) else { continue };
        let fingers = if fret == 0 { 0..=0 } else { 1..=4 };
        for finger in fingers {
            let string = string as u8;
            let mut breaches = u16::from(Fret(fret) > level.highest_fret);
            breaches += u16::from(!level.fingers.contains(LeftFinger::from_digit(finger)));
            breaches +=
                pins.iter().filter(|p| forbids(&p.rule, string, fret, finger)).count() as u16;
            found.push(Candidate { string, fret, finger, breaches });
        }
    }
    found
}

type HandBreaches = ([u16; POSITIONS], [u16; StringNumber::MOST as usize + 1]);

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
    let mut barre = [0; StringNumber::MOST as usize + 1];
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
