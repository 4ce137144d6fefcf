//! What can be wrong with a fingering.

mod detail;
mod fault;
mod words;

use std::fmt;

use apoyando_fingering::{Finding, FindingPlace, Severity};

use crate::spot::Spot;

pub use detail::{AwayFault, BarreFault, SecondFault, StayFault};
pub use fault::Fault;

/// One thing that is wrong, and where.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Violation {
    /// The layer; `None` if it is the whole fingering.
    pub spot: Option<Spot>,
    /// What is wrong.
    pub fault: Fault,
}

/// The rule of the model that is broken.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Rule {
    P1,
    P2,
    P3,
    P4,
    P5,
    P6,
    P7,
    P8,
    P9,
    P10,
    P11,
    A1,
    A2,
    A3,
    A4,
    A5,
    A6,
    M1,
    M2,
    M3,
    M4,
    M5,
    /// What the fingering says beside its postures (end of section 5).
    Record,
    /// What it says of its price (section 5).
    Price,
    /// The right hand (section 6).
    RightHand,
}

impl Violation {
    pub(crate) const fn whole(fault: Fault) -> Self {
        Self { spot: None, fault }
    }

    pub(crate) const fn at(spot: Spot, fault: Fault) -> Self {
        Self { spot: Some(spot), fault }
    }

    /// The rule of the model that is broken.
    pub const fn rule(&self) -> Rule {
        self.fault.rule()
    }

    /// As a finding: an error, but for breaches of the author's rules.
    pub fn finding(&self) -> Finding {
        let place = self.spot.as_ref().map_or_else(FindingPlace::default, |spot| FindingPlace {
            bar: Some(spot.bar),
            beat: Some(spot.beat.clone()),
            ..FindingPlace::default()
        });
        Finding {
            rule: self.rule().name(),
            severity: if self.rule().is_authors() { Severity::Warning } else { Severity::Error },
            place,
            message: self.fault.to_string(),
            remedy: None,
            remedies: Vec::new(),
        }
    }
}

impl Rule {
    /// Its name in the model and in findings.
    pub const fn name(self) -> &'static str {
        match self {
            Self::P1 => "P1",
            Self::P2 => "P2",
            Self::P3 => "P3",
            Self::P4 => "P4",
            Self::P5 => "P5",
            Self::P6 => "P6",
            Self::P7 => "P7",
            Self::P8 => "P8",
            Self::P9 => "P9",
            Self::P10 => "P10",
            Self::P11 => "P11",
            Self::A1 => "A1",
            Self::A2 => "A2",
            Self::A3 => "A3",
            Self::A4 => "A4",
            Self::A5 => "A5",
            Self::A6 => "A6",
            Self::M1 => "M1",
            Self::M2 => "M2",
            Self::M3 => "M3",
            Self::M4 => "M4",
            Self::M5 => "M5",
            Self::Record => "record",
            Self::Price => "price",
            Self::RightHand => "right-hand",
        }
    }

    /// Whether it is one of the author's rules, which a fingering may break at
    /// a price.
    pub const fn is_authors(self) -> bool {
        matches!(self, Self::A1 | Self::A2 | Self::A3 | Self::A4 | Self::A5 | Self::A6)
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// `bar 3, beat 2: fingers out of order: 1 on ①3 and 2 on ②2 [P5]`.
impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(spot) = &self.spot {
            write!(f, "{spot}: ")?;
        }
        write!(f, "{} [{}]", self.fault, self.rule())
    }
}
