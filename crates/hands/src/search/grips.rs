//! Every posture at a layer, given what is held into it (model §3), but for
//! fingers that stay.

mod barres;
mod ornament;

use crate::hand::geometry::STRINGS;
use crate::hand::holding::{Posed, Pricing};
use crate::hand::shape::{SILENT, Strings, Sung};
use crate::hand::{Candidate, POSITIONS, Played, Rules, Shape};

use super::sheet::{Away, Lanes, NEVER, Sheet};

/// Frets of extension that no hand exceeds (P7).
pub(crate) const MOST_EXTENSION: u8 = 3;
/// How far the hand may be away from its position, in frets (P10).
pub(crate) const AWAY: std::ops::RangeInclusive<u8> = 2..=4;
/// Steps of the enumeration after which a layer is called too crowded.
const MOST_WORK: u64 = 3_000_000;

/// A sound kept from before.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Held {
    pub string: u8,
    pub fret: u8,
    /// 0 if open.
    pub finger: u8,
    /// Whether the finger has just taken it over, and so does not lie as a barre.
    pub on_tip: bool,
    pub key: i16,
}

/// Sounds left out, rules broken.
pub(crate) type Faults = (u16, u16);

/// The layer cannot be enumerated in reasonable time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct TooMany;

/// The enumeration of one layer.
pub(crate) struct Grips<'a> {
    pub pricing: Pricing<'a>,
    pub rules: &'a Rules,
    work: u64,
}

/// The hand while it is being filled.
struct Filling<'s> {
    shape: Shape,
    strings: Strings,
    ends: [u32; STRINGS],
    played: Vec<Played>,
    faults: Faults,
    most: Faults,
    /// Whether finger 1 does not lie as a barre.
    on_tip: bool,
    /// Strings on which a barre plays an auxiliary.
    covered: u16,
    /// Where postures with exactly `most` go; while the least are sought, none.
    sheet: Option<&'s mut Sheet>,
}

impl<'a> Grips<'a> {
    pub const fn new(pricing: Pricing<'a>, rules: &'a Rules) -> Self {
        Self { pricing, rules, work: 0 }
    }

    /// The least faults any posture of this layer has; holding something can
    /// only add to them, so nothing is held.
    pub fn least_faults(&mut self) -> Result<Faults, TooMany> {
        let mut sheet = Sheet::default();
        self.collect(&[], (0, 0), &mut sheet)?;
        if !sheet.shapes.is_empty() {
            return Ok((0, 0));
        }
        // Leaving everything out breaks no rule.
        let all = (self.rules.struck.len() as u16, 0);
        let mut filling = self.filling(&[], all, None);
        self.fill(&mut filling)?;
        Ok(filling.most)
    }

    /// Every posture that has exactly these faults.
    pub fn sheet(&mut self, held: &[Held], faults: Faults) -> Result<Sheet, TooMany> {
        let mut sheet = Sheet::default();
        self.collect(held, faults, &mut sheet)?;
        Ok(sheet)
    }

    fn collect(&mut self, held: &[Held], faults: Faults, sheet: &mut Sheet) -> Result<(), TooMany> {
        let mut filling = self.filling(held, faults, Some(sheet));
        self.fill(&mut filling)
    }

    fn filling<'s>(
        &self,
        held: &[Held],
        most: Faults,
        sheet: Option<&'s mut Sheet>,
    ) -> Filling<'s> {
        let mut filling = Filling {
            shape: Shape::default(),
            strings: Strings::SILENT,
            ends: self.rules.ends,
            played: Vec::with_capacity(self.rules.struck.len()),
            faults: (0, 0),
            most,
            on_tip: held.iter().any(|sound| sound.on_tip),
            covered: 0,
            sheet,
        };
        for sound in held {
            filling.strings.fret[usize::from(sound.string)] = sound.fret;
            if sound.finger > 0 {
                let finger = usize::from(sound.finger) - 1;
                filling.shape.down[finger] |= 1 << sound.string;
                filling.shape.fret[finger] = sound.fret;
                filling.shape.keeps |= finger > 0;
            }
            self.pricing.geometry.add_ends(&mut filling.ends, sound.key);
        }
        filling
    }

    fn fill(&mut self, f: &mut Filling<'_>) -> Result<(), TooMany> {
        self.work += 1;
        if self.work > MOST_WORK {
            return Err(TooMany);
        }
        let index = f.played.len();
        let rules = self.rules;
        let Some(struck) = rules.struck.get(index) else {
            return self.ornament(f, 0);
        };
        for candidate in &struck.candidates {
            let faults = (f.faults.0, f.faults.1 + candidate.breaches);
            let string = usize::from(candidate.string);
            if !f.worth(faults) || f.strings.fret[string] != SILENT {
                continue;
            }
            let before = (f.shape, f.faults);
            if candidate.finger > 0 {
                let finger = usize::from(candidate.finger) - 1;
                if !self.finger_fits(&f.shape, finger, candidate.fret, string) {
                    continue;
                }
                f.shape.down[finger] |= 1 << string;
                f.shape.struck[finger] |= 1 << string;
                f.shape.fret[finger] = candidate.fret;
                f.shape.touching |= u8::from(struck.touched) << finger;
            }
            f.strings.touched |= u16::from(struck.touched) << string;
            f.strings.fret[string] = candidate.fret;
            f.faults = faults;
            f.played.push(played(candidate));
            self.fill(f)?;
            f.played.pop();
            f.strings.fret[string] = SILENT;
            f.strings.touched &= !(1 << string);
            (f.shape, f.faults) = before;
        }
        let without = (f.faults.0 + 1, f.faults.1);
        if f.worth(without) {
            let before = f.faults;
            f.faults = without;
            f.played.push(Played::OUT);
            self.fill(f)?;
            f.played.pop();
            f.faults = before;
        }
        Ok(())
    }

    /// P4 to P6 as far as they do not depend on a barre.
    fn finger_fits(&self, shape: &Shape, finger: usize, fret: u8, string: usize) -> bool {
        let geometry = self.pricing.geometry;
        let bound = shape.bound & (1 << finger) != 0;
        if finger == 0 {
            if bound || (shape.is_down(0) && shape.fret[0] != fret) {
                return false;
            }
            return (1..4).all(|other| !shape.is_down(other) || fret <= shape.fret[other]);
        }
        if shape.is_down(finger) || (shape.is_down(0) && shape.fret[0] > fret) {
            return false;
        }
        (1..4).all(|other| {
            if other == finger || !shape.is_down(other) {
                return true;
            }
            let there = shape.place(other);
            if other < finger {
                there.0 <= fret && geometry.reaches(other, finger, there, (fret, string))
            } else {
                fret <= there.0 && geometry.reaches(finger, other, (fret, string), there)
            }
        })
    }

    /// All sounds have their places: with and without a barre, in every
    /// position.
    fn lay_hand(&mut self, f: &mut Filling<'_>) {
        let mut placed = f.played.iter().filter(|p| **p != Played::OUT);
        (f.shape.alone, f.shape.alone_on) = match (placed.next(), placed.next()) {
            (Some(only), None) => (only.finger, only.string),
            _ => (0, 0),
        };
        let struck = self.rules.struck.iter().zip(&f.played);
        let only = |of: &dyn Fn(&crate::hand::limits::Struck) -> bool| {
            let mut found = struck.clone().filter(|(struck, _)| of(struck));
            match (found.next(), found.next()) {
                (Some((_, only)), None) if only.finger > 0 => {
                    Sung::of(only.finger - 1, only.string)
                }
                _ => Sung::NONE,
            }
        };
        let (sung, low) = (only(&|struck| struck.sung), only(&|struck| struck.low));
        (f.shape.sung, f.shape.low) = (sung, low);
        if f.shape.is_idle() {
            self.idle(f);
            return;
        }
        if f.covered == 0
            && f.shape.down[0].count_ones() <= 1
            && self.first_finger_reaches(&f.shape)
        {
            let (aways, count) = self.each_reach(f);
            self.each_position(f, &aways[..count]);
        }
        if f.stops_with_first() && !f.on_tip && self.barre_reaches(&f.shape) {
            self.lay_barres(f);
        }
    }

    fn first_finger_reaches(&self, shape: &Shape) -> bool {
        !shape.is_down(0)
            || (1..4).all(|other| {
                !shape.is_down(other)
                    || self.pricing.geometry.reaches(0, other, shape.place(0), shape.place(other))
            })
    }

    fn idle(&mut self, f: &mut Filling<'_>) {
        if !f.take(f.faults) {
            return;
        }
        let lanes = Lanes::Idle { low: self.own(f, 1) as i32, high: self.own(f, 24) as i32 };
        let (shape, strings) = (f.shape, f.strings);
        if let Some(sheet) = &mut f.sheet {
            sheet.put((shape, strings), &f.played, lanes, &[]);
        }
    }

    fn each_position(&mut self, f: &mut Filling<'_>, aways: &[Away]) {
        let mut faults = f.faults;
        if f.shape.has_barre() {
            faults.1 += self.rules.barre[f.shape.span.count_ones() as usize];
        }
        if !f.worth(faults) {
            return;
        }
        let strict = f.sheet.is_some() && f.most.1 == 0;
        let allowed = i32::from(self.rules.extension);
        let most = i32::from(MOST_EXTENSION);
        let most = if strict { allowed.min(most) } else { most };
        let (mut low, mut high) = (1, POSITIONS as i32 - 1);
        for finger in 0..4 {
            if f.shape.is_down(finger) {
                let own = i32::from(f.shape.fret[finger]) - finger as i32;
                let (outwards, inwards) =
                    if finger == 0 { (-1, most) } else { (-most, finger as i32) };
                low = low.max(own + outwards);
                high = high.min(own + inwards);
            }
        }
        let mut first = None;
        let mut own: [i32; 8] = [NEVER; 8];
        let mut past = 0;
        for position in low..=high {
            let position = position as u8;
            let mut faults = faults;
            faults.1 += self.rules.position[usize::from(position)];
            if !strict {
                for finger in 0..4 {
                    let beyond =
                        f.shape.is_down(finger) && f.shape.extension(finger, position) > allowed;
                    faults.1 += u16::from(beyond);
                }
            }
            self.work += 1;
            if f.take(faults) {
                let first = *first.get_or_insert(position);
                past = usize::from(position - first) + 1;
                own[past - 1] = self.own(f, position) as i32;
            }
        }
        // Wherever it may be away it may be in position: it breaks the same rules.
        if let Some(low) = first {
            f.put_positions(low, &own[..past], aways);
        }
    }

    /// The places of a hand away from its position for a moment (P10).
    fn each_reach(&mut self, f: &mut Filling<'_>) -> ([Away; 4], usize) {
        let (mut aways, mut count) = ([Away { hand: 0, own: 0 }; 4], 0);
        let strikes = f.shape.down == f.shape.struck;
        if f.sheet.is_none() || !strikes || !f.worth(f.faults) {
            return (aways, count);
        }
        let mut tried = 0u32;
        for own in 0..4 {
            if !f.shape.is_down(own) || f.shape.fret[own] <= own as u8 {
                continue;
            }
            let hand = f.shape.fret[own] - own as u8;
            let rests = (0..4).all(|finger| {
                !f.shape.is_down(finger)
                    || (f.shape.extension(finger, hand) == 0
                        && (finger > 0 || f.shape.offset(0, hand) <= 1)
                        && f.shape.offset(finger, hand) >= -(finger as i32))
            });
            if tried & (1 << hand) != 0 || !rests || hand <= *AWAY.start() {
                continue;
            }
            tried |= 1 << hand;
            let faults = (f.faults.0, f.faults.1 + self.rules.position[usize::from(hand)]);
            if f.take(faults) {
                aways[count] = Away { hand, own: self.own(f, hand) as i32 };
                count += 1;
            }
        }
        (aways, count)
    }

    /// What the posture costs by itself.
    fn own(&self, f: &Filling<'_>, hand: u8) -> i64 {
        let posed =
            Posed { shape: &f.shape, strings: &f.strings, rules: self.rules, played: &f.played };
        let mut sum = 0;
        self.pricing.posture(&posed, hand, &mut |_, amount| sum += amount);
        sum
    }
}

const fn played(candidate: &Candidate) -> Played {
    Played { string: candidate.string, fret: candidate.fret, finger: candidate.finger }
}

impl Filling<'_> {
    /// Whether a posture with at least these faults can still be wanted.
    fn worth(&self, faults: Faults) -> bool {
        if self.sheet.is_some() {
            faults.0 <= self.most.0 && faults.1 <= self.most.1
        } else {
            faults < self.most
        }
    }

    /// Whether a finished posture with these faults is wanted; while the least
    /// are sought, remembers them.
    fn take(&mut self, faults: Faults) -> bool {
        if self.sheet.is_some() {
            return faults == self.most;
        }
        if faults < self.most {
            self.most = faults;
        }
        false
    }

    fn put_positions(&mut self, low: u8, own: &[i32], aways: &[Away]) {
        let shape = (self.shape, self.strings);
        if let Some(sheet) = &mut self.sheet {
            sheet.put_positions(shape, &self.played, (low, own), aways);
        }
    }

    /// Whether finger 1 stops a sound.
    const fn stops_with_first(&self) -> bool {
        self.shape.down[0] != 0 && (self.shape.bound | self.shape.touching) & 1 == 0
    }
}
