//! Which sound of the instrument a strike wants: everything that makes it another one.

use std::fmt;
use std::str::FromStr;

use apoyando_fingering::{RightFinger, Stroke};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};

use crate::performance::{Strike, Touch};
use crate::strings::{Hardness, Pluck, Plucker, StringStuff};
use crate::units::Hertz;

/// A sound of the instrument, whatever its strength and length.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub struct Sounding {
    /// Where it is stopped.
    pub place: Place,
    /// The partial that sounds lowest.
    pub partial: u8,
    /// What sets it going.
    pub plucker: Plucker,
    /// How strongly.
    pub hardness: Hardness,
}

/// Below and above these strengths a pluck is soft and hard, in decibels against *mf*. House.
const SOFT: f64 = -4.5;
const HARD: f64 = 4.5;

/// Where strings are plucked, in metres from the bridge: fingers over the edge of the hole, the
/// thumb a little farther. House.
const FINGERS: f64 = 0.125;
const THUMB: f64 = 0.145;
/// Where the left hand pulls or strikes, in metres from the fret. House.
const LEFT_HAND: f64 = 0.012;
/// How far from the middle of a string nobody plucks it, as a share of its length.
const NEAR_BRIDGE: f64 = 0.45;

impl Sounding {
    /// The sound that a strike wants.
    pub fn of(strike: &Strike) -> Self {
        let plucker = match strike.touch {
            Touch::Joined => Plucker::LeftHand,
            Touch::Plucked { finger: Some(RightFinger::P), .. } => Plucker::Thumb,
            Touch::Plucked { stroke: Stroke::Rest, .. } => Plucker::Rest,
            Touch::Plucked { stroke: Stroke::Free, .. } => Plucker::Free,
        };
        let hardness = match strike.strength.0 {
            soft if soft < SOFT => Hardness::Soft,
            hard if hard > HARD => Hardness::Hard,
            _ => Hardness::Middle,
        };
        Self { place: strike.place, partial: strike.partial, plucker, hardness }
    }

    /// The pluck that makes it; `None` off the instrument.
    pub fn pluck(&self, instrument: &Instrument, a4: Hertz) -> Option<Pluck> {
        let key = instrument.sound(self.place)?;
        let open = instrument.tuning.open(self.place.string)?.key_number();
        let metres = instrument.scale_length.0 / 1000.0;
        let hertz = |key: f64| Hertz(a4.0 * ((key - 69.0) / 12.0).exp2());
        let from_nut = f64::from(key.0 - open.0);
        let length = metres * (-from_nut / 12.0).exp2();
        let from_bridge = match self.plucker {
            Plucker::LeftHand => length - LEFT_HAND,
            Plucker::Thumb => THUMB.min(length * NEAR_BRIDGE),
            Plucker::Rest | Plucker::Free => FINGERS.min(length * NEAR_BRIDGE),
        };
        let partial = self.partial.max(1);
        // A harmonic of the capo'd or open string; its twelfth is not tempered.
        let pitch = Hertz(hertz(f64::from(key.0)).0 * f64::from(partial));
        Some(Pluck {
            string: StringStuff::tuned(hertz(f64::from(open.0)), metres),
            length,
            pitch,
            stopped: self.place.fret != Fret::OPEN,
            from_bridge,
            plucker: self.plucker,
            hardness: self.hardness,
            partial,
        })
    }
}

const PLUCKERS: [(Plucker, &str); 4] = [
    (Plucker::Free, "free"),
    (Plucker::Rest, "rest"),
    (Plucker::Thumb, "thumb"),
    (Plucker::LeftHand, "left"),
];
const HARDNESSES: [(Hardness, &str); 3] =
    [(Hardness::Soft, "soft"), (Hardness::Middle, "middle"), (Hardness::Hard, "hard")];

fn name<T: PartialEq>(names: &[(T, &'static str)], of: &T) -> &'static str {
    names.iter().find(|(it, _)| it == of).map_or("", |(_, name)| name)
}

impl fmt::Display for Sounding {
    /// `string-fret-partial-plucker-hardness`: `2-1-1-free-middle`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { place, partial, plucker, hardness } = self;
        let (plucker, hardness) = (name(&PLUCKERS, plucker), name(&HARDNESSES, hardness));
        write!(f, "{}-{}-{partial}-{plucker}-{hardness}", place.string.index() + 1, place.fret.0)
    }
}

/// A text is not the name of a sound.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("\"{0}\" names no sound; one is named like 2-1-1-free-middle")]
pub struct SoundingTextError(String);

impl FromStr for Sounding {
    type Err = SoundingTextError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let read = || {
            let [string, fret, partial, plucker, hardness] =
                <[&str; 5]>::try_from(text.split('-').collect::<Vec<_>>()).ok()?;
            let of = |name: &str| PLUCKERS.iter().find(|(_, own)| *own == name).map(|(it, _)| *it);
            let string = StringNumber::new(string.parse().ok()?)?;
            let hardness = HARDNESSES.iter().find(|(_, own)| *own == hardness)?.0;
            Some(Self {
                place: Place { string, fret: Fret(fret.parse().ok()?) },
                partial: partial.parse().ok()?,
                plucker: of(plucker)?,
                hardness,
            })
        };
        read().ok_or_else(|| SoundingTextError(text.to_owned()))
    }
}
