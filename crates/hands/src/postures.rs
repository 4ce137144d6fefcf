//! Every posture at a layer, given what is held into it (model §3).

use crate::geometry::STRINGS;
use crate::limits::{Candidate, LayerLimits, POSITIONS};
use crate::state::{Costs, State};

/// Frets of extension that no hand exceeds (P7).
const MOST_EXTENSION: i32 = 3;
/// Steps of the enumeration after which a layer is called too crowded.
const MOST_WORK: u64 = 3_000_000;

/// A sound kept from before.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Held {
    /// Which of the layer's held sounds.
    pub slot: u16,
    pub string: u8,
    pub fret: u8,
    /// 0 if open.
    pub finger: u8,
}

/// How a struck sound is played.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) struct Played {
    /// Index of the string, 0 for the thinnest; [`Played::OUT`] left out.
    pub string: u8,
    pub finger: u8,
}

impl Played {
    /// Left out; greater than anything played.
    pub const OUT: Self = Self { string: u8::MAX, finger: 0 };
}

/// Sounds left out, rules broken.
pub(crate) type Faults = (u16, u16);

/// The layer cannot be enumerated in reasonable time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct TooMany;

/// The enumeration of one layer.
pub(crate) struct Postures<'a> {
    pub costs: &'a Costs,
    pub limits: &'a LayerLimits,
    /// Extension the level allows, in frets.
    pub level_extension: i32,
    /// Per string, the frets that give a sound struck here or in the next
    /// eight layers.
    pub gives: [u32; STRINGS],
    work: u64,
}

/// The hand while it is being filled.
struct Filling {
    state: State,
    /// Fret sounding on each string, or silent.
    on: [u8; STRINGS],
    gives: [u32; STRINGS],
    played: Vec<Played>,
    faults: Faults,
    most: Faults,
    /// Whether only postures with exactly `most` are wanted.
    exact: bool,
}

const SILENT: u8 = u8::MAX;

impl<'a> Postures<'a> {
    pub fn new(
        costs: &'a Costs,
        limits: &'a LayerLimits,
        level_extension: u8,
        gives: [u32; STRINGS],
    ) -> Self {
        Self { costs, limits, level_extension: i32::from(level_extension), gives, work: 0 }
    }

    /// The least faults any posture of this layer has; holding something can
    /// only add to them, so nothing is held.
    pub fn least_faults(&mut self) -> Result<Faults, TooMany> {
        let mut filling = self.filling(&[], (0, 0), true);
        let mut found = false;
        self.fill(&mut filling, &mut |_, _, _| found = true)?;
        if found {
            return Ok((0, 0));
        }
        // Leaving everything out breaks no rule.
        let all = (self.limits.candidates.len() as u16, 0);
        let mut filling = self.filling(&[], all, false);
        self.fill(&mut filling, &mut |_, _, _| {})?;
        Ok(filling.most)
    }

    /// Calls `found` with every posture that has exactly these faults, how its
    /// sounds are played, and whether that differs from the call before.
    pub fn each(
        &mut self,
        held: &[Held],
        faults: Faults,
        found: &mut impl FnMut(&State, &[Played], bool),
    ) -> Result<(), TooMany> {
        let mut filling = self.filling(held, faults, true);
        self.fill(&mut filling, found)
    }

    fn filling(&self, held: &[Held], most: Faults, exact: bool) -> Filling {
        let mut filling = Filling {
            state: State::default(),
            on: [SILENT; STRINGS],
            gives: self.gives,
            played: Vec::with_capacity(self.limits.candidates.len()),
            faults: (0, 0),
            most,
            exact,
        };
        for sound in held {
            filling.on[usize::from(sound.string)] = sound.fret;
            if sound.finger > 0 {
                let finger = usize::from(sound.finger) - 1;
                filling.state.down[finger] |= 1 << sound.string;
                filling.state.fret[finger] = sound.fret;
            }
            let key = self.costs.geometry.key(usize::from(sound.string), sound.fret);
            for string in 0..self.costs.geometry.strings {
                if let Some(fret) = self.costs.geometry.fret(string, key) {
                    filling.gives[string] |= 1 << fret;
                }
            }
        }
        filling
    }

    fn fill(
        &mut self,
        f: &mut Filling,
        found: &mut impl FnMut(&State, &[Played], bool),
    ) -> Result<(), TooMany> {
        self.work += 1;
        if self.work > MOST_WORK {
            return Err(TooMany);
        }
        let index = f.played.len();
        let limits = self.limits;
        let Some(candidates) = limits.candidates.get(index) else {
            self.lay_hand(f, found);
            return Ok(());
        };
        for candidate in candidates {
            let faults = (f.faults.0, f.faults.1 + candidate.breaches);
            if !f.worth(faults) || f.on[usize::from(candidate.string)] != SILENT {
                continue;
            }
            if candidate.finger == 0 {
                self.descend(f, candidate, faults, found)?;
                continue;
            }
            let finger = usize::from(candidate.finger) - 1;
            if !self.finger_fits(&f.state, finger, candidate) {
                continue;
            }
            let before = f.state;
            f.state.down[finger] |= 1 << candidate.string;
            f.state.struck[finger] |= 1 << candidate.string;
            f.state.fret[finger] = candidate.fret;
            self.descend(f, candidate, faults, found)?;
            f.state = before;
        }
        let without = (f.faults.0 + 1, f.faults.1);
        if f.worth(without) {
            let before = f.faults;
            f.faults = without;
            f.played.push(Played::OUT);
            self.fill(f, found)?;
            f.played.pop();
            f.faults = before;
        }
        Ok(())
    }

    fn descend(
        &mut self,
        f: &mut Filling,
        candidate: &Candidate,
        faults: Faults,
        found: &mut impl FnMut(&State, &[Played], bool),
    ) -> Result<(), TooMany> {
        let before = f.faults;
        f.faults = faults;
        f.on[usize::from(candidate.string)] = candidate.fret;
        f.played.push(Played { string: candidate.string, finger: candidate.finger });
        self.fill(f, found)?;
        f.played.pop();
        f.on[usize::from(candidate.string)] = SILENT;
        f.faults = before;
        Ok(())
    }

    /// P4 to P6 as far as they do not depend on a barre.
    fn finger_fits(&self, state: &State, finger: usize, at: &Candidate) -> bool {
        if finger == 0 {
            if state.is_down(0) && state.fret[0] != at.fret {
                return false;
            }
            return (1..4).all(|other| !state.is_down(other) || at.fret <= state.fret[other]);
        }
        if state.is_down(finger) || (state.is_down(0) && state.fret[0] > at.fret) {
            return false;
        }
        let place = (at.fret, usize::from(at.string));
        (1..4).all(|other| {
            if other == finger || !state.is_down(other) {
                return true;
            }
            let there = (state.fret[other], state.down[other].trailing_zeros() as usize);
            if other < finger {
                there.0 <= place.0 && self.costs.geometry.reaches(other, finger, there, place)
            } else {
                place.0 <= there.0 && self.costs.geometry.reaches(finger, other, place, there)
            }
        })
    }

    /// All sounds have their places: with and without a barre, in every
    /// position.
    fn lay_hand(&mut self, f: &mut Filling, found: &mut impl FnMut(&State, &[Played], bool)) {
        let placed = || f.played.iter().filter(|p| **p != Played::OUT);
        f.state.lone = match (placed().count(), placed().next()) {
            (1, Some(played)) => played.finger,
            _ => 0,
        };
        f.state.thin = 0;
        f.state.thick = 0;
        let mut fresh = true;
        if f.state.idle() {
            let state = State { position: 0, ..f.state };
            if f.take(f.faults) {
                found(&state, &f.played, fresh);
            }
            return;
        }
        if f.state.down[0].count_ones() <= 1 && self.first_finger_reaches(&f.state) {
            self.each_position(f, &mut fresh, found);
        }
        if f.state.is_down(0) && self.barre_reaches(&f.state) {
            let thinnest = f.state.down[0].trailing_zeros() as usize;
            let thickest = 15 - f.state.down[0].leading_zeros() as usize;
            if !(thinnest..=thickest).all(|string| f.lies_under_barre(string)) {
                return;
            }
            for thin in (0..=thinnest).rev() {
                if !f.lies_under_barre(thin) {
                    break;
                }
                if !f.gives_at_barre(thin) {
                    continue;
                }
                for thick in thickest..self.costs.geometry.strings {
                    if !f.lies_under_barre(thick) {
                        break;
                    }
                    if thick > thin && f.gives_at_barre(thick) {
                        f.state.thin = thin as u8 + 1;
                        f.state.thick = thick as u8 + 1;
                        self.each_position(f, &mut fresh, found);
                    }
                }
            }
            f.state.thin = 0;
            f.state.thick = 0;
        }
    }

    fn first_finger_reaches(&self, state: &State) -> bool {
        if !state.is_down(0) {
            return true;
        }
        let first = (state.fret[0], state.down[0].trailing_zeros() as usize);
        (1..4).all(|other| {
            let there = (state.fret[other], state.down[other].trailing_zeros() as usize);
            !state.is_down(other) || self.costs.geometry.reaches(0, other, first, there)
        })
    }

    fn barre_reaches(&self, state: &State) -> bool {
        (1..4).all(|other| {
            !state.is_down(other)
                || (state.fret[0] < state.fret[other]
                    && self.costs.geometry.reaches_from_barre(
                        state.fret[0],
                        other,
                        state.fret[other],
                    ))
        })
    }

    fn each_position(
        &mut self,
        f: &mut Filling,
        fresh: &mut bool,
        found: &mut impl FnMut(&State, &[Played], bool),
    ) {
        let mut faults = f.faults;
        if f.state.thin != 0 {
            faults.1 += self.limits.barre[usize::from(f.state.thick - f.state.thin) + 1];
        }
        if !f.worth(faults) {
            return;
        }
        let strict = f.exact && f.most.1 == 0;
        let most = if strict { self.level_extension.min(MOST_EXTENSION) } else { MOST_EXTENSION };
        let (mut low, mut high) = (1, POSITIONS as i32 - 1);
        for finger in 0..4 {
            if f.state.is_down(finger) {
                let own = i32::from(f.state.fret[finger]) - finger as i32;
                let (outwards, inwards) =
                    if finger == 0 { (-1, most) } else { (-most, finger as i32) };
                low = low.max(own + outwards);
                high = high.min(own + inwards);
            }
        }
        for position in low..=high {
            f.state.position = position as u8;
            let mut faults = faults;
            faults.1 += self.limits.position[position as usize];
            if !strict {
                for finger in 0..4 {
                    let beyond =
                        f.state.is_down(finger) && f.state.extension(finger) > self.level_extension;
                    faults.1 += u16::from(beyond);
                }
            }
            self.work += 1;
            if f.take(faults) {
                found(&f.state, &f.played, *fresh);
                *fresh = false;
            }
        }
    }
}

impl Filling {
    /// Whether a posture with at least these faults can still be wanted.
    fn worth(&self, faults: Faults) -> bool {
        if self.exact {
            faults.0 <= self.most.0 && faults.1 <= self.most.1
        } else {
            faults < self.most
        }
    }

    /// Whether a finished posture with these faults is wanted; while the least
    /// are sought, remembers them.
    fn take(&mut self, faults: Faults) -> bool {
        if self.exact {
            return faults == self.most;
        }
        if faults < self.most {
            self.most = faults;
        }
        false
    }

    fn lies_under_barre(&self, string: usize) -> bool {
        let (fret, sounding) = (self.state.fret[0], self.on[string]);
        sounding == SILENT
            || sounding > fret
            || (sounding == fret && self.state.down[0] & (1 << string) != 0)
    }

    fn gives_at_barre(&self, string: usize) -> bool {
        self.gives[string] & (1 << self.state.fret[0]) != 0
    }
}
