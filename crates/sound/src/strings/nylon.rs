//! What the strings of a guitar are made of.

use crate::units::Hertz;

/// A string, in the units of physics.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct StringStuff {
    /// Tension in newtons.
    pub tension: f64,
    /// Mass in kilograms to the metre.
    pub mass: f64,
    /// Stiffness against bending in N m².
    pub stiffness: f64,
    /// What is lost by friction within it, as a share of what swings in a radian.
    pub friction: f64,
    /// What is lost to the air, in shares a second.
    pub air: f64,
    /// What is lost by bending, as `friction`.
    pub bending: f64,
}

/// The length the strings below were measured at, in metres.
pub const MEASURED_LENGTH: f64 = 0.65;

/// The six strings of a guitar from ① to ⑥: nylon, ④ to ⑥ wound. Woodhouse, *On the synthesis
/// of guitar plucks*, Acta Acustica united with Acustica 90 (2004), table 1; from memory. That
/// tension, mass and length give E4 B3 G3 D3 A2 E2 is tested.
pub const STRINGS: [StringStuff; 6] = [
    stuff(70.3, 0.38, 130.0, 40.0, 1.5, 2.4),
    stuff(53.4, 0.52, 160.0, 40.0, 1.2, 2.0),
    stuff(58.3, 0.90, 310.0, 14.0, 1.7, 2.0),
    stuff(71.2, 1.95, 51.0, 5.0, 1.2, 2.0),
    stuff(73.9, 3.61, 40.0, 7.0, 0.9, 2.5),
    stuff(71.6, 6.24, 57.0, 2.0, 1.2, 2.0),
];

/// Newtons, grams to the metre, 10⁻⁶ N m², 10⁻⁵, 1/s, 10⁻².
const fn stuff(
    tension: f64,
    grams: f64,
    stiffness: f64,
    friction: f64,
    air: f64,
    bending: f64,
) -> StringStuff {
    StringStuff {
        tension,
        mass: grams * 1e-3,
        stiffness: stiffness * 1e-6,
        friction: friction * 1e-5,
        air,
        bending: bending * 1e-2,
    }
}

impl StringStuff {
    /// The string for an open string of this pitch and length: the measured one that comes
    /// nearest, drawn up or let down to it.
    pub fn tuned(open: Hertz, length: f64) -> Self {
        let near = |string: &&Self| (string.pitch(MEASURED_LENGTH).0 / open.0).ln().abs();
        let nearest = STRINGS.iter().min_by(|a, b| near(a).total_cmp(&near(b)));
        let string = *nearest.unwrap_or(&STRINGS[0]);
        let waves = 2.0 * length * open.0;
        Self { tension: string.mass * waves * waves, ..string }
    }

    /// What it sounds at a length in metres, were it limp.
    pub fn pitch(&self, length: f64) -> Hertz {
        Hertz((self.tension / self.mass).sqrt() / (2.0 * length))
    }

    /// How stiffness parts its partials at a length: the *n*th is at
    /// *n* √(1 + *B* *n*²) of the limp pitch.
    pub fn inharmonicity(&self, length: f64) -> f64 {
        let k = std::f64::consts::PI / length;
        self.stiffness * k * k / self.tension
    }

    /// How fast a partial dies by itself, in shares of its amplitude a second.
    pub fn decay(&self, length: f64, partial: f64, frequency: Hertz) -> f64 {
        let omega = std::f64::consts::TAU * frequency.0;
        let wave = partial * std::f64::consts::PI / length;
        let bent = self.stiffness * wave * wave;
        let lost = self.tension * (self.friction + self.air / omega) + bent * self.bending;
        omega * lost / (self.tension + bent) / 2.0
    }

    /// How hard it is to move, as a wave meets it: kg/s.
    pub fn impedance(&self) -> f64 {
        (self.tension * self.mass).sqrt()
    }
}
