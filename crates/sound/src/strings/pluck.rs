//! How a string is plucked, and how strongly each of its modes swings after it.

use std::f64::consts::PI;

use super::modes::Mode;
use super::nylon::StringStuff;
use crate::units::Hertz;

/// What plucks.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Plucker {
    /// A finger that moves free of the next string.
    Free,
    /// A finger that comes to rest on the next string: it sends the string towards the top.
    Rest,
    /// The thumb.
    Thumb,
    /// A finger of the left hand, at the fret.
    LeftHand,
}

/// How strongly: the harder, the brighter.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Hardness {
    /// *Piano* and less.
    Soft,
    /// Between.
    Middle,
    /// *Forte* and more.
    Hard,
}

/// A string that is plucked.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Pluck {
    /// What swings.
    pub string: StringStuff,
    /// Its length in metres, from the finger or the nut to the bridge.
    pub length: f64,
    /// What it sounds, stiff as it is.
    pub pitch: Hertz,
    /// Whether a finger ends it, and not the nut.
    pub stopped: bool,
    /// Where it is plucked, in metres from the bridge.
    pub from_bridge: f64,
    /// What plucks it.
    pub plucker: Plucker,
    /// How strongly.
    pub hardness: Hardness,
    /// The first partial that sounds, whose multiples alone sound; 1 but for harmonics.
    pub partial: u8,
}

/// Partials above this are not heard from a nylon string.
const HIGHEST: f64 = 9_000.0;
/// What is softer than the strongest by so much is left out: 80 dB.
const FAINT: f64 = 1e-4;
/// What a fingertip that stops a string takes from it, in shares a second. House.
const FINGERTIP: f64 = 0.4;
/// How easily the bridge moves, in s/kg, on the whole of the range: the order of what is
/// measured at the bridges of guitars away from their resonances (Woodhouse 2004, from
/// memory), and how much less at high frequencies, where half of it is left.
const BRIDGE: f64 = 0.009;
const BRIDGE_HALF: f64 = 2_500.0;
/// How much of the string's swing along the top is heard. House.
const ALONG: f64 = 0.35;
/// How much stronger a rest stroke is. House.
const REST: f64 = 1.15;

impl Plucker {
    /// How much of the swing goes towards the top; the rest of it goes along it. House, by
    /// the way the strokes move the string.
    const fn towards_top(self) -> f64 {
        match self {
            Self::Rest => 0.92,
            Self::Free | Self::LeftHand => 0.62,
            Self::Thumb => 0.72,
        }
    }

    /// How wide it is on the string, in metres. House: a nail and some flesh, a thumb's flesh.
    const fn width(self) -> f64 {
        match self {
            Self::Free => 0.006,
            Self::Rest => 0.008,
            Self::Thumb => 0.012,
            Self::LeftHand => 0.010,
        }
    }

    /// Where its softness begins to round the string's corner, for a middle pluck.
    const fn rounding(self) -> f64 {
        match self {
            Self::Free => 3_400.0,
            Self::Rest => 3_000.0,
            Self::Thumb => 2_300.0,
            Self::LeftHand => 1_500.0,
        }
    }
}

impl Hardness {
    const fn brightness(self) -> f64 {
        match self {
            Self::Soft => 0.62,
            Self::Middle => 1.0,
            Self::Hard => 1.5,
        }
    }
}

impl Pluck {
    /// The modes that swing after it, those towards the top and those along it.
    pub(super) fn modes(&self) -> Vec<Mode> {
        let stiff = self.string.inharmonicity(self.length);
        let corner = self.plucker.rounding() * self.hardness.brightness();
        let towards = self.plucker.towards_top();
        let along = (1.0 - towards * towards).sqrt() * ALONG;
        let mut modes = Vec::new();
        for partial in (1u32..).map(|it| f64::from(it * u32::from(self.partial.max(1)))) {
            let stretch = ((1.0 + stiff * partial * partial) / (1.0 + stiff)).sqrt();
            let frequency = Hertz(self.fundamental().0 * partial * stretch);
            if frequency.0 > HIGHEST {
                break;
            }
            let shape = (PI * partial * self.from_bridge / self.length).sin() / partial;
            let wide = PI * partial * self.plucker.width() / (2.0 * self.length);
            let soft = (-(frequency.0 / corner).powi(2) / 2.0).exp();
            let strength = shape * wide.sin() / wide * soft * self.power();
            let alone = self.alone(partial, frequency);
            let through = self.through_bridge(frequency);
            modes.push(Mode { frequency, decay: alone + through, strength: strength * towards });
            modes.push(Mode { frequency, decay: alone, strength: strength * along });
        }
        let strongest = modes.iter().map(|mode| mode.strength.abs()).fold(0.0, f64::max);
        modes.retain(|mode| mode.strength.abs() > strongest * FAINT);
        modes
    }

    /// The fundamental of the string; of a harmonic it does not sound.
    fn fundamental(&self) -> Hertz {
        let partial = f64::from(self.partial.max(1));
        let stiff = self.string.inharmonicity(self.length);
        let stretch = ((1.0 + stiff * partial * partial) / (1.0 + stiff)).sqrt();
        Hertz(self.pitch.0 / partial / stretch)
    }

    /// How strongly it drives the bridge: a thicker string more, at the same pull.
    fn power(&self) -> f64 {
        match self.plucker {
            Plucker::Rest => REST,
            Plucker::Free | Plucker::Thumb | Plucker::LeftHand => 1.0,
        }
    }

    fn alone(&self, partial: f64, frequency: Hertz) -> f64 {
        let finger = if self.stopped { FINGERTIP } else { 0.0 };
        self.string.decay(self.length, partial, frequency) + finger
    }

    /// What the bridge takes from a partial, in shares a second.
    fn through_bridge(&self, frequency: Hertz) -> f64 {
        let gives = BRIDGE / (1.0 + (frequency.0 / BRIDGE_HALF).powi(2));
        2.0 * self.fundamental().0 * self.string.impedance() * gives
    }
}
