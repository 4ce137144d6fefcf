//! Section 3 of the model, read plainly: every posture there is.

use std::collections::BTreeMap;

use apoyando_fingering::{LeftFinger, Pin, PinAuthor, PinRule, Position, Problem, Scope};
use apoyando_fretboard::{Fret, Place, StringNumber};

use crate::heard::Heard;

/// String from 1, fret, finger digit (0 for open).
pub type Spot = (u8, u8, u8);

#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Posture {
    /// Per struck sound; `None` left out.
    pub struck: Vec<Option<Spot>>,
    /// Kept sounds with their spots.
    pub kept: BTreeMap<usize, Spot>,
    /// The position, `None` in the air.
    pub position: Option<u8>,
    /// Thinnest and thickest string.
    pub barre: Option<(u8, u8)>,
    pub escapes: u32,
    pub broken: u32,
}

impl Posture {
    /// All that sounds with a finger on it: spot, and whether it is struck.
    pub fn stopped(&self) -> Vec<(Spot, bool)> {
        let struck = self.struck.iter().flatten().map(|s| (*s, true));
        let kept = self.kept.values().map(|s| (*s, false));
        struck.chain(kept).filter(|(spot, _)| spot.2 > 0).collect()
    }

    pub fn fret_of(&self, finger: u8) -> Option<u8> {
        self.stopped().iter().find(|(s, _)| s.2 == finger).map(|(s, _)| s.1)
    }

    pub fn strings_of(&self, finger: u8) -> Vec<u8> {
        self.stopped().iter().filter(|(s, _)| s.2 == finger).map(|(s, _)| s.0).collect()
    }

    /// The fret of the barre with its strings.
    pub fn laid(&self) -> Option<(u8, u8, u8)> {
        self.barre.and_then(|(thin, thick)| Some((self.fret_of(1)?, thin, thick)))
    }
}

pub fn x(problem: &Problem<'_>, fret: u8) -> i64 {
    let place = Place { string: StringNumber::FIRST, fret: Fret(fret) };
    i64::from(problem.instrument.point(place).along.0)
}

fn y(problem: &Problem<'_>, spot: Spot) -> i64 {
    let place = Place { string: StringNumber::new(spot.0).unwrap(), fret: Fret(spot.1) };
    i64::from(problem.instrument.point(place).across.0)
}

/// dx + slant of two fingers.
pub fn spread(problem: &Problem<'_>, a: Spot, b: Spot, barre: bool) -> i64 {
    let dx = x(problem, b.1) - x(problem, a.1);
    if barre && a.2 == 1 { dx } else { dx + 20 * (i64::from(b.0) - i64::from(a.0)) }
}

fn reaches(problem: &Problem<'_>, a: Spot, b: Spot, barre: bool) -> bool {
    let across = if barre && a.2 == 1 { 0 } else { y(problem, a) - y(problem, b) };
    let along = spread(problem, a, b, barre);
    let finger = |digit| LeftFinger::from_digit(digit).unwrap();
    let reach = i64::from(problem.level.reach.between(finger(a.2), finger(b.2)).0);
    along * along + across * across <= reach * reach
}

pub fn offset(position: u8, spot: Spot) -> i32 {
    i32::from(spot.1) - (i32::from(position) + i32::from(spot.2) - 1)
}

pub fn extension(position: u8, spot: Spot) -> i32 {
    let offset = offset(position, spot);
    if spot.2 == 1 { (-offset).max(0) } else { offset.max(0) }
}

/// Pins that count.
pub fn standing(problem: &Problem<'_>) -> Vec<Pin> {
    let same_kind =
        |a: &PinRule, b: &PinRule| std::mem::discriminant(a) == std::mem::discriminant(b);
    let all = &problem.pins.0;
    all.iter()
        .filter(|pin| {
            let outranked = |other: &&Pin| {
                other.author == PinAuthor::Author
                    && matches!(other.scope, Scope::Tone(_))
                    && other.scope == pin.scope
                    && same_kind(&other.rule, &pin.rule)
            };
            pin.author == PinAuthor::Author || !all.iter().any(|o| outranked(&o))
        })
        .copied()
        .collect()
}

/// Every posture at a layer that keeps just these sounds, in the order of ties.
/// Without reach, P6 is not asked.
pub fn postures(
    problem: &Problem<'_>,
    heard: &Heard,
    pins: &[Pin],
    layer: usize,
    kept: &BTreeMap<usize, Spot>,
    reach: bool,
) -> Vec<Posture> {
    let sounds = heard.struck(layer);
    let mut found = Vec::new();
    let mut struck = Vec::new();
    place(problem, heard, &sounds, &mut struck, kept, &mut |struck| {
        let stopped: Vec<Spot> =
            struck.iter().flatten().chain(kept.values()).copied().filter(|s| s.2 > 0).collect();
        let strings = problem.instrument.tuning.len() as u8;
        let mut barres = vec![None];
        for thin in 1..strings {
            barres.extend((thin + 1..=strings).map(|thick| Some((thin, thick))));
        }
        let positions: Vec<Option<u8>> =
            if stopped.is_empty() { vec![None] } else { (1..=24).map(Some).collect() };
        for barre in barres {
            for position in &positions {
                let posture = Posture {
                    struck: struck.to_vec(),
                    kept: kept.clone(),
                    position: *position,
                    barre,
                    escapes: struck.iter().filter(|s| s.is_none()).count() as u32,
                    broken: 0,
                };
                if possible(problem, heard, layer, &posture, reach) {
                    let broken = breaches(problem, heard, pins, layer, &posture);
                    found.push(Posture { broken, ..posture });
                }
            }
        }
    });
    found
}

fn place(
    problem: &Problem<'_>,
    heard: &Heard,
    sounds: &[usize],
    struck: &mut Vec<Option<Spot>>,
    kept: &BTreeMap<usize, Spot>,
    each: &mut impl FnMut(&[Option<Spot>]),
) {
    let Some(sound) = sounds.get(struck.len()) else {
        each(struck);
        return;
    };
    let key = apoyando_music::KeyNumber(heard.sounds[*sound].key);
    for at in problem.instrument.places(key) {
        let string = at.string.get();
        let taken = struck.iter().flatten().chain(kept.values()).any(|s| s.0 == string);
        if taken {
            continue;
        }
        let fingers = if at.fret.0 == 0 { 0..=0 } else { 1..=4 };
        for finger in fingers {
            struck.push(Some((string, at.fret.0, finger)));
            place(problem, heard, sounds, struck, kept, each);
            struck.pop();
        }
    }
    struck.push(None);
    place(problem, heard, sounds, struck, kept, each);
    struck.pop();
}

/// P4 to P7.
fn possible(
    problem: &Problem<'_>,
    heard: &Heard,
    layer: usize,
    posture: &Posture,
    reach: bool,
) -> bool {
    let stopped: Vec<Spot> = posture.stopped().iter().map(|(s, _)| *s).collect();
    let sounding: Vec<Spot> =
        posture.struck.iter().flatten().chain(posture.kept.values()).copied().collect();
    for finger in 2..=4 {
        if posture.strings_of(finger).len() > 1 {
            return false;
        }
    }
    let first: Vec<Spot> = stopped.iter().copied().filter(|s| s.2 == 1).collect();
    match posture.barre {
        None if first.len() > 1 => return false,
        None => {}
        Some((thin, thick)) => {
            let Some(fret) = first.first().map(|s| s.1) else { return false };
            if first.iter().any(|s| s.1 != fret || s.0 < thin || s.0 > thick) {
                return false;
            }
            let inside = |s: &&Spot| thin <= s.0 && s.0 <= thick;
            for spot in sounding.iter().filter(inside) {
                if spot.1 < fret || (spot.1 == fret && spot.2 != 1) {
                    return false;
                }
            }
            let near = |sound: usize| {
                let onset = heard.sounds[sound].onset;
                let last = (layer + 8).min(heard.layers.len() - 1);
                heard.layers[layer] <= onset && onset <= heard.layers[last]
            };
            for end in [thin, thick] {
                let at = Place { string: StringNumber::new(end).unwrap(), fret: Fret(fret) };
                let Some(key) = problem.instrument.sound(at) else { return false };
                let meant = (0..heard.sounds.len()).any(|s| {
                    heard.sounds[s].key == key.0 && (near(s) || posture.kept.contains_key(&s))
                });
                if !meant {
                    return false;
                }
            }
        }
    }
    for a in &stopped {
        for b in stopped.iter().filter(|b| a.2 < b.2) {
            let barre = posture.barre.is_some();
            if a.1 > b.1 || (barre && a.2 == 1 && a.1 == b.1) {
                return false;
            }
            if reach && !reaches(problem, *a, *b, barre) {
                return false;
            }
        }
    }
    let Some(position) = posture.position else { return true };
    stopped.iter().all(|spot| {
        let offset = offset(position, *spot);
        let (least, most) = if spot.2 == 1 { (-3, 1) } else { (1 - i32::from(spot.2), 3) };
        (least..=most).contains(&offset)
    })
}

/// A1 to A6.
fn breaches(
    problem: &Problem<'_>,
    heard: &Heard,
    pins: &[Pin],
    layer: usize,
    posture: &Posture,
) -> u32 {
    let level = problem.level;
    let mut broken = 0;
    let mut count = |broken_here: bool| broken += u32::from(broken_here);
    let placed: Vec<(usize, Spot)> = heard
        .struck(layer)
        .into_iter()
        .zip(&posture.struck)
        .filter_map(|(sound, spot)| Some((sound, (*spot)?)))
        .collect();
    for (_, spot) in &placed {
        count(Fret(spot.1) > level.highest_fret);
        count(!level.fingers.contains(LeftFinger::from_digit(spot.2)));
    }
    let width = posture.barre.map(|(thin, thick)| thick - thin + 1);
    let position = posture.position.and_then(Position::new);
    count(position.is_some_and(|p| !level.positions.contains(p)));
    count(width.is_some_and(|w| w > level.barre.width()));
    for finger in 1..=4 {
        let spot = posture.stopped().iter().map(|(s, _)| *s).find(|s| s.2 == finger);
        if let (Some(spot), Some(position)) = (spot, posture.position) {
            count(extension(position, spot) > i32::from(level.extension));
        }
    }
    for pin in pins {
        let bar = heard.bars[layer];
        let over = matches!(pin.scope, Scope::Bars { first, last } if first <= bar && bar <= last);
        let on = |sound: usize| {
            over || matches!(pin.scope, Scope::Tone(t) if heard.sounds[sound].tones.contains(&t))
        };
        for (sound, spot) in &placed {
            let kept = match pin.rule {
                PinRule::Strings(set) => set.contains(StringNumber::new(spot.0).unwrap()),
                PinRule::Frets(set) => set.contains(Fret(spot.1)),
                PinRule::LeftFingers(set) => set.contains(LeftFinger::from_digit(spot.2)),
                _ => true,
            };
            count(on(*sound) && !kept);
        }
        let here = over || heard.struck(layer).into_iter().any(on);
        let kept = match (pin.rule, position) {
            (PinRule::Positions(set), Some(position)) => set.contains(position),
            (PinRule::Barre(limit), Some(_)) => width.is_none_or(|w| w <= limit.width()),
            _ => true,
        };
        count(here && !kept);
    }
    broken
}
