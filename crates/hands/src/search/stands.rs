//! Shapes with fingers that stay and what is remembered of the layer before:
//! P9 and M3 of the model, and what `leap` and `exchange` need.

use crate::hand::shape::{SILENT, Stay, Strings};
use crate::hand::{Geometry, Played, STRINGS, Shape, Stays, moving};
use crate::heard::Sound;

use super::grips::AWAY;
use super::ground::{Ground, Recalls};
use super::laid::Laid;
use super::meets::Places;
use super::offers::Offered;
use super::sheet::{Lanes, Sheet};
use super::stage::{Lifted, Remembered, Sounding, Stand, entries, positions_of};
use super::tags::Tags;

/// Fingers that may stay in a shape, and the positions in which they may.
struct Staying {
    stays: Stays,
    prepared: u8,
    /// The numbers of those offered.
    offered: [Option<usize>; 2],
    low: u8,
    high: u8,
}

/// A slur downwards from a sound that a layer strikes or keeps.
pub(crate) struct PulledOff {
    /// Which of the sounds struck, or which of those held.
    pub sound: Result<usize, usize>,
    /// The lower sound.
    pub to: usize,
}

/// Sets the stands of a layer whose shapes are laid out.
pub(crate) fn set(
    ground: &Ground,
    places: &mut Places,
    layer: usize,
    stage: &mut Laid,
    (offered, tags): (&Offered, Tags),
) {
    let setter = Setter::new(ground, layer, offered);
    let mut stands = Stands {
        stands: Vec::with_capacity(2 * stage.onward.len()),
        at: 0,
        offered,
        fresh: tags.fresh,
    };
    let mut first_stand = Vec::with_capacity(stage.onward.len() + 1);
    let mut staying: Vec<Staying> = Vec::new();
    for bucket in &stage.buckets {
        for (index, number) in bucket.shapes.clone().enumerate() {
            first_stand.push(stands.stands.len() as u32);
            let shape = &bucket.sheet.shapes[index];
            staying.clear();
            setter.stays(&bucket.sheet, index, bucket.held, &mut staying);
            let base = Stand {
                shape: number,
                stays: Stays::NONE,
                staying: [0; 2],
                prepared: 0,
                memory: Remembered::default(),
                away: 0,
                low: 0,
                count: tags.all,
                at: 0,
            };
            let Lanes::Positions { low, count, .. } = bucket.sheet.lanes[index] else {
                stands.push(shape, base, [None; 2]);
                for Staying { stays, prepared, offered, .. } in &staying {
                    let (stays, prepared) = (*stays, *prepared);
                    let staying = numbers(places, stays);
                    stands.push(shape, Stand { stays, staying, prepared, ..base }, *offered);
                }
                continue;
            };
            let count = u16::from(count);
            stands.push(shape, Stand { low, count, ..base }, [None; 2]);
            for Staying { stays, prepared, offered, low: least, high } in &staying {
                let (stays, prepared) = (*stays, *prepared);
                let first = low.max(*least);
                let past = (u16::from(low) + count).min(u16::from(*high) + 1);
                let count = past.saturating_sub(u16::from(first));
                if count == 0 {
                    continue;
                }
                let staying = numbers(places, stays);
                let stand = Stand { stays, staying, prepared, low: first, count, ..base };
                stands.push(shape, stand, *offered);
            }
            for away in bucket.sheet.aways(index) {
                let low = away.hand.saturating_sub(*AWAY.end()).max(1);
                let count = u16::from(away.hand - *AWAY.start() - low) + 1;
                stands.push(shape, Stand { away: away.hand, low, count, ..base }, [None; 2]);
            }
        }
    }
    first_stand.push(stands.stands.len() as u32);
    stage.states = stands.at;
    stage.stands = stands.stands;
    stage.first_stand = first_stand;
}

fn numbers(places: &mut Places, stays: Stays) -> [u16; 2] {
    let mut numbers = [0; 2];
    for (number, stay) in numbers.iter_mut().zip(stays.iter()) {
        *number = places.staying(stay);
    }
    numbers
}

/// The stands of a stage while they are set.
struct Stands<'a> {
    stands: Vec<Stand>,
    at: u32,
    offered: &'a Offered,
    /// Memories of a hand that was not idle at the layer before.
    fresh: u16,
}

impl Stands<'_> {
    /// Adds a stand, with everything that may have to be remembered; the numbers of
    /// its fingers that stay given, where they were offered.
    fn push(&mut self, shape: &Shape, stand: Stand, staying: [Option<usize>; 2]) {
        if stand.count == 0 {
            return;
        }
        let mut add = |memory: Remembered| {
            // A finger that has just left a string was down at the layer before.
            let was_down = memory.lifted != Lifted::NONE
                || (memory.recalled != Lifted::NONE
                    && matches!(self.offered.recalls, Recalls::Struck(_)));
            let count = if stand.is_idle() && was_down { self.fresh } else { stand.count };
            self.stands.push(Stand { memory, count, at: self.at, ..stand });
            self.at += u32::from(count);
        };
        let lifted = |(finger, string): (u8, u8)| {
            (!shape.is_down(usize::from(finger))).then(|| Lifted::of(finger, string))
        };
        let recalled: Vec<Lifted> = match &self.offered.recalls {
            Recalls::Nothing => Vec::new(),
            Recalls::Struck(frets) | Recalls::Earlier(frets) => self
                .offered
                .recalled(staying)
                .filter(|place| moving::is_free(*place, shape, frets))
                .map(|(finger, string)| Lifted::of(finger, string))
                .collect(),
        };
        let leaps = self.offered.leaps;
        for lifted in none_or(self.offered.lifted(staying).filter_map(lifted)) {
            for recalled in none_or(recalled.iter().copied()) {
                let memory = Remembered { lifted, recalled };
                if !(leaps && self.offered.is_one) || is_one(memory, shape) {
                    add(memory);
                }
            }
        }
    }
}

/// Nothing remembered, or something.
fn none_or(some: impl Iterator<Item = Lifted>) -> impl Iterator<Item = Lifted> {
    std::iter::once(Lifted::NONE).chain(some)
}

/// Whether what is remembered may be of one sound for both ends: `leap` forgets a finger
/// as soon as it is down.
fn is_one(memory: Remembered, shape: &Shape) -> bool {
    let down = memory.recalled.get().is_some_and(|(finger, _)| shape.is_down(usize::from(finger)));
    memory.lifted == if down { Lifted::NONE } else { memory.recalled }
}

struct Setter<'a> {
    geometry: &'a Geometry,
    sounds: &'a [Sound],
    struck: usize,
    offered: &'a Offered,
    /// Fingers that may stay for a common note, with their numbers.
    common: Vec<(Stay, usize)>,
    /// All others, by string.
    others: [Vec<(Stay, usize)>; STRINGS],
    pulled_off: Vec<PulledOff>,
}

impl<'a> Setter<'a> {
    fn new(ground: &'a Ground, layer: usize, offered: &'a Offered) -> Self {
        let is_common = |stay: &Stay| {
            let key = ground.geometry.key(usize::from(stay.string), stay.fret);
            ahead(ground, layer).any(|sound| sound.key == key)
        };
        let mut common = Vec::new();
        let mut others: [Vec<(Stay, usize)>; STRINGS] = Default::default();
        for (number, stay) in offered.fingers().iter().enumerate() {
            if is_common(stay) {
                common.push((*stay, number));
            } else {
                others[usize::from(stay.string)].push((*stay, number));
            }
        }
        Self {
            offered,
            geometry: &ground.geometry,
            sounds: &ground.music.sounds,
            struck: ground.music.layers[layer].struck().len(),
            common,
            others,
            pulled_off: pulled_off(ground, layer),
        }
    }

    /// Adds every set of fingers that may stay in a shape, with the positions
    /// in which they may.
    fn stays(&self, sheet: &Sheet, index: usize, held: Sounding, found: &mut Vec<Staying>) {
        let (shape, strings) = (&sheet.shapes[index], &sheet.strings[index]);
        // With its number, unless it is prepared.
        let mut single: Vec<(Stay, Option<usize>)> = Vec::new();
        for (stay, number) in &self.common {
            if self.fits(shape, strings, *stay) {
                single.push((*stay, Some(*number)));
            }
        }
        // A guide finger: on an idle hand, or behind what it stops.
        for (others, sounding) in self.others.iter().zip(strings.fret) {
            if sounding == SILENT && !shape.is_idle() {
                continue;
            }
            for (stay, number) in others.iter().filter(|(stay, _)| stay.fret < sounding) {
                if self.fits(shape, strings, *stay) {
                    single.push((*stay, Some(*number)));
                }
            }
        }
        if !self.pulled_off.is_empty() {
            self.prepare((shape, strings), (sheet.played(index, self.struck), held), &mut single);
        }
        let positions = |stay: &Stay| {
            let range = positions_of(*stay);
            (*range.start(), *range.end())
        };
        let bit =
            |(stay, number): &(Stay, Option<usize>)| u8::from(number.is_none()) << stay.finger;
        for (index, one) in single.iter().enumerate() {
            let (low, high) = positions(&one.0);
            let offered = [one.1, None];
            found.push(Staying {
                stays: Stays::one(one.0),
                prepared: bit(one),
                offered,
                low,
                high,
            });
            for other in &single[index + 1..] {
                let offered = [one.1, other.1];
                if let [Some(one), Some(other)] = offered
                    && !self.offered.together(one, other)
                {
                    continue;
                }
                let (other_low, other_high) = positions(&other.0);
                let (low, high) = (low.max(other_low), high.min(other_high));
                if other.0.finger != one.0.finger && low <= high && self.together(one.0, other.0) {
                    let stays = Stays::two(one.0, other.0);
                    let prepared = bit(one) | bit(other);
                    found.push(Staying { stays, prepared, offered, low, high });
                }
            }
        }
    }

    /// Adds fingers prepared for a slur downwards.
    fn prepare(
        &self,
        (shape, strings): (&Shape, &Strings),
        (played, held): (&[Played], Sounding),
        single: &mut Vec<(Stay, Option<usize>)>,
    ) {
        for pulled in &self.pulled_off {
            let from = match pulled.sound {
                Ok(index) => Some(played[index]).filter(|p| *p != Played::OUT),
                Err(slot) => entries(held).find(|(_, s, _)| usize::from(*s) == slot).map(
                    |(string, _, finger)| {
                        let fret = strings.fret[usize::from(string)];
                        Played { string, fret, finger }
                    },
                ),
            };
            let Some(from) = from.filter(|from| from.finger > 0) else { continue };
            let to = &self.sounds[pulled.to];
            for (string, fret, open) in self.geometry.places(to) {
                if open || string != from.string {
                    continue;
                }
                for finger in 0..4 {
                    let stay = Stay { finger, string, fret };
                    if self.fits(shape, strings, stay) {
                        single.retain(|(other, _)| *other != stay);
                        single.push((stay, None));
                    }
                }
            }
        }
    }
    /// Whether a finger can be there: P9 but for its purpose, P5 and P6.
    fn fits(&self, shape: &Shape, strings: &Strings, stay: Stay) -> bool {
        let finger = usize::from(stay.finger);
        let sounding = strings.fret[usize::from(stay.string)];
        let touched = strings.touched & (1 << stay.string) != 0;
        if shape.is_down(finger) || (sounding != SILENT && (sounding <= stay.fret || touched)) {
            return false;
        }
        (0..4).all(|other| {
            if !shape.is_down(other) {
                return true;
            }
            if other == 0 && shape.has_barre() {
                return shape.fret[0] < stay.fret
                    && self.geometry.reaches_from_barre(shape.fret[0], finger, stay.fret);
            }
            let bound = shape.bound & (1 << other) != 0;
            let there = shape.place(other);
            let apart = !bound || there != (stay.fret, usize::from(stay.string));
            apart && self.in_order((finger, stay), (other, there))
        })
    }

    /// P5 and P6 of a finger that stays and another.
    fn in_order(
        &self,
        (finger, stay): (usize, Stay),
        (other, there): (usize, (u8, usize)),
    ) -> bool {
        let here = (stay.fret, usize::from(stay.string));
        if other < finger {
            there.0 <= here.0 && self.geometry.reaches(other, finger, there, here)
        } else {
            here.0 <= there.0 && self.geometry.reaches(finger, other, here, there)
        }
    }

    fn together(&self, a: Stay, b: Stay) -> bool {
        let place = (b.fret, usize::from(b.string));
        (a.fret, a.string) != (b.fret, b.string)
            && self.in_order((usize::from(a.finger), a), (usize::from(b.finger), place))
    }
}

/// The sounds struck in the next two layers.
pub(crate) fn ahead(ground: &Ground, layer: usize) -> impl Iterator<Item = &Sound> {
    let layers = &ground.music.layers;
    let past = (layer + 3).min(layers.len());
    let ahead = &layers[(layer + 1).min(past)..past];
    ahead.iter().flat_map(|layer| &ground.music.sounds[layer.struck()])
}

pub(crate) fn pulled_off(ground: &Ground, layer: usize) -> Vec<PulledOff> {
    let here = &ground.music.layers[layer];
    let struck = here.struck().enumerate().map(|(index, sound)| (Ok(index), sound));
    let held = here.held.iter().enumerate().map(|(slot, sound)| (Err(slot), *sound));
    struck
        .chain(held)
        .flat_map(|(sound, number)| {
            let lower = &ground.music.sounds[number].pulled_off_to;
            lower.iter().map(move |to| PulledOff { sound, to: *to })
        })
        .collect()
}
