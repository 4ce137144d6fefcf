//! Second fingers: another finger takes over a sound that is kept (model M5).

use apoyando_fingering::{LeftFinger, LeftFingerSet, Pin, PinRule, Problem, Scope};
use rustc_hash::FxHashMap;

use crate::hand::Shape;
use crate::heard::{Kind, Music};

use super::ground::Ground;
use super::stage::{Fingered, Sounding, entry, fingered_entries, of_finger};

/// What a problem says of second fingers.
#[derive(Clone, Debug, Default)]
pub(crate) struct Seconds {
    /// Fingers that may take over at all, as bits from 0; none where that is not
    /// taught.
    fingers: u8,
    /// By sound that a pin asks a second finger of, those it leaves.
    asked: FxHashMap<usize, u8>,
}

/// What may become of the finger of a sound held into a layer.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub(crate) struct Second {
    /// The fingers that may take it over, as bits from 0.
    pub fingers: u8,
    /// What that costs.
    pub price: i64,
    /// What letting it go costs besides, if it has its first finger.
    pub let_go: i64,
    /// What keeping it with its first finger costs.
    pub kept: i64,
}

fn bits(set: LeftFingerSet) -> u8 {
    let fingers = LeftFinger::ALL.into_iter().filter(|finger| set.contains(Some(*finger)));
    fingers.fold(0, |bits, finger| bits | 1 << finger.index())
}

impl Seconds {
    pub fn of(problem: &Problem<'_>, music: &Music, pins: &[Pin]) -> Self {
        if !problem.level.substitution {
            return Self::default();
        }
        let fingers = bits(problem.level.fingers);
        let mut asked: FxHashMap<usize, u8> = FxHashMap::default();
        for pin in pins {
            let (Scope::Tone(tone), PinRule::SecondFingers(set)) = (pin.scope, pin.rule) else {
                continue;
            };
            let own = music.sounds.iter().position(|sound| sound.tones.contains(&tone));
            if let Some(sound) = own {
                *asked.entry(sound).or_insert(fingers) &= bits(set);
            }
        }
        Self { fingers, asked }
    }

    /// Whether any finger may take over.
    pub const fn are_taught(&self) -> bool {
        self.fingers != 0
    }

    /// Whether a pin asks a sound to change its finger.
    pub fn asks(&self, sound: usize) -> bool {
        self.asked.contains_key(&sound)
    }

    /// How many sounds are asked to change their finger.
    pub fn count_asked(&self) -> usize {
        self.asked.len()
    }

    fn may(&self, music: &Music, sound: usize) -> u8 {
        let fits = |sound: usize| {
            let sound = &music.sounds[sound];
            sound.kind == Kind::Plain && sound.auxiliaries.is_empty()
        };
        if fits(sound) { self.asked.get(&sound).copied().unwrap_or(self.fingers) } else { 0 }
    }
}

impl Ground {
    /// What may become of the finger of a sound held into a layer.
    pub fn second(&self, sound: usize, layer: usize) -> Second {
        if !self.seconds.are_taught() {
            return Second::default();
        }
        let asked = self.seconds.asks(sound);
        let unchanged = if asked { i64::from(self.table.unchanged) } else { 0 };
        let next = layer + 1;
        let sounds_on = next < self.music.layers.len()
            && self.music.is_reached(next)
            && self.music.sounds[sound].wanted_until > next;
        Second {
            fingers: self.seconds.may(&self.music, sound),
            price: self.substitute(layer),
            let_go: unchanged,
            kept: if sounds_on { 0 } else { unchanged },
        }
    }

    /// What a change of finger on the move into a layer costs.
    pub fn substitute(&self, layer: usize) -> i64 {
        let hurry = layer.checked_sub(1).map_or(1, |before| self.steps[before].pace.hurry);
        i64::from(self.table.substitute) * hurry
    }
}

/// What the next layer must know of the fingers of a shape, besides what sounds on:
/// which of those that may take something over are free to.
pub(crate) fn free(ground: &Ground, layer: usize, code: Sounding, shape: &Shape) -> Sounding {
    let held = &ground.music.layers[layer + 1].held;
    let mut fingers = 0u8;
    for (_, slot, fingered) in fingered_entries(code) {
        if let Fingered::First(finger) = fingered
            && !(finger == 0 || (finger == 1 && shape.has_barre()))
        {
            fingers |= ground.seconds.may(&ground.music, held[usize::from(slot)]);
        }
    }
    let down = (0..4).filter(|finger| shape.is_down(*finger)).fold(0u8, |set, f| set | 1 << f);
    let free = Sounding::from(fingers & !down);
    if free == 0 { 0 } else { free << FREE | barred(code, shape) }
}

/// Where the free fingers stand in a [`Sounding`], above its strings.
const FREE: u32 = 120;
/// Whether a barre lies, so that what it stops cannot be taken over.
const BARRED: u32 = 124;

fn barred(code: Sounding, shape: &Shape) -> Sounding {
    let stops = fingered_entries(code).any(|(_, _, fingered)| fingered == Fingered::First(1));
    Sounding::from(shape.has_barre() && stops) << BARRED
}

/// Every way in which one of some kept sounds changes its finger, given what comes in:
/// which it is, and its bits then.
pub(crate) fn changes(
    ground: &Ground,
    (layer, code): (usize, Sounding),
    kept: Sounding,
) -> Vec<(Sounding, Sounding, i64)> {
    let free = (code >> FREE) as u8 & 0xf;
    let mut found = Vec::new();
    if free == 0 {
        return found;
    }
    let held = &ground.music.layers[layer].held;
    let sound = |slot: u16| held[usize::from(slot)];
    for (string, slot, fingered) in fingered_entries(kept) {
        let Fingered::First(was) = fingered else { continue };
        if was == 0 || (was == 1 && code >> BARRED & 1 == 1) {
            continue;
        }
        let second = ground.second(sound(slot), layer);
        for finger in 0..4u8 {
            if second.fingers & free & (1 << finger) == 0 {
                continue;
            }
            let fits = fingered_entries(kept).filter(|(_, other, _)| *other != slot).all(
                |(other, of, fingered)| {
                    let there = ground
                        .geometry
                        .kept_fret(usize::from(other), &ground.music.sounds[sound(of)]);
                    let here = ground
                        .geometry
                        .kept_fret(usize::from(string), &ground.music.sounds[sound(slot)]);
                    let (Some(there), Some(here)) = (there, here) else { return false };
                    stand(ground, (finger, (here, string)), (of_finger(fingered), (there, other)))
                },
            );
            if fits {
                let was = entry(string, slot, Fingered::First(was));
                found.push((was, entry(string, slot, Fingered::Now(finger + 1)), second.price));
            }
        }
    }
    found
}

/// P4 to P6 for a finger that comes, from 0, and one that stops another kept sound,
/// from 1, as far as they do not depend on a barre.
fn stand(ground: &Ground, (comes, at): (u8, (u8, u8)), (holds, there): (u8, (u8, u8))) -> bool {
    let Some(holds) = holds.checked_sub(1) else { return true };
    let place = |(fret, string): (u8, u8)| (fret, usize::from(string));
    let (low, high) =
        if comes < holds { ((comes, at), (holds, there)) } else { ((holds, there), (comes, at)) };
    comes != holds
        && low.1.0 <= high.1.0
        && (low.0 == 0
            || ground.geometry.reaches(
                usize::from(low.0),
                usize::from(high.0),
                place(low.1),
                place(high.1),
            ))
}
