//! What can be wrong with a fingering.

use std::fmt;

use apoyando_fingering::{
    Barre, BarreLimit, BarreSpan, EffortItem, Finding, FindingPlace, LeftFinger, LetGo, Pin,
    PinRule, Placement, Position, PositionSpan, Price, RightFinger, Scope, Severity, Shift, Stroke,
    Term,
};
use apoyando_fretboard::{Fret, Place, StringNumber, TenthsOfMm};
use apoyando_music::{KeyNumber, Moment, PartIndex, ToneId};

use crate::spot::Spot;

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
    A1,
    A2,
    A3,
    A4,
    A5,
    A6,
    M1,
    M2,
    /// What the fingering says beside its postures (section 3a).
    Record,
    /// What it says of its price (section 5).
    Price,
    /// The right hand (section 6).
    RightHand,
}

/// What is wrong.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum Fault {
    #[error("the fingering was made for another revision of the score; finger the score again")]
    Revision,
    #[error("the fingering is for part {}, not for part {}", .found.0 + 1, .wanted.0 + 1)]
    Part { found: PartIndex, wanted: PartIndex },
    #[error("the fingering has {found} tones, the part {wanted}")]
    ToneCount { found: usize, wanted: usize },
    #[error("the fingering has {found} postures, the part {wanted} onsets")]
    PostureCount { found: usize, wanted: usize },
    #[error("the posture stands at {} of a whole note, the onset at {}", .found.since_start(), .wanted.since_start())]
    PostureOnset { found: Moment, wanted: Moment },
    #[error("the posture names tone {}, which the part does not have", .0.0)]
    UnknownTone(ToneId),
    #[error("tone {} is named twice or out of order in its posture", .0.0)]
    ToneOrder(ToneId),
    #[error("tone {} is named in a posture in which it is not to sound", .0.0)]
    NotSounding(ToneId),
    #[error("tone {} shares its sound with another, but one is on {} and the other on {}", .tone.0, said(.one), said(.other))]
    SoundInTwoPlaces { tone: ToneId, one: Placement, other: Placement },
    #[error("tone {} shares its sound with others, and not all of them are named in the posture", .0.0)]
    SoundSplit(ToneId),
    #[error("the posture is said to be {}, and it is not so", if *.found { "in the air" } else { "on the strings" })]
    AirFlag { found: bool },
    #[error("the hand is in the air and should remember {}, not {}", position(.wanted), position(.found))]
    AirPosition { found: Option<Position>, wanted: Option<Position> },
    #[error("tone {} is said to be on {}, its posture has it on {}", .tone.0, placed(.found), placed(.wanted))]
    TonePlacement { tone: ToneId, found: Option<Placement>, wanted: Option<Placement> },
    #[error("tone {} is said to sound until {}, by its postures it sounds until {}", .tone.0, .found.since_start(), .wanted.since_start())]
    SoundsUntil { tone: ToneId, found: Moment, wanted: Moment },
    #[error("the list of positions has {}, the postures have {}", position_span(.found), position_span(.wanted))]
    PositionSpan { found: Option<PositionSpan>, wanted: Option<PositionSpan> },
    #[error("the list of barres has {}, the postures have {}", barre_span(.found), barre_span(.wanted))]
    BarreSpan { found: Option<BarreSpan>, wanted: Option<BarreSpan> },
    #[error("the list of shifts does not follow from the postures here: it has {}", shift(.found))]
    Shift { found: Option<Shift> },
    #[error("tone {} is listed as let go here, and it is not", .0.tone.0)]
    LetGoInvented(LetGo),
    #[error("tone {} is let go here, and the list does not say so", .0.tone.0)]
    LetGoUnsaid(LetGo),
    #[error("an item of {} is charged at {} of a whole note, where no onset is", .0.term.info().name, .0.at.since_start())]
    ItemNowhere(EffortItem),
    #[error("{} is charged with {found} here, by the model it is {wanted}", .term.info().name)]
    Item { term: Term, found: i64, wanted: i64 },
    #[error("the items of effort add up to {sum}, the price says {price}")]
    ItemSum { sum: i64, price: u64 },
    #[error("the price is said to be {}, by the model it is {}", price(.found), price(.wanted))]
    Price { found: Price, wanted: Price },

    #[error("{place} sounds {}, wanted is key {}", key(.found), .wanted.0)]
    WrongPitch { place: Place, found: Option<KeyNumber>, wanted: KeyNumber },
    #[error("two sounds on one string: {one} and {other}")]
    StringShared { one: Place, other: Place },
    #[error("finger {finger} on the open string {}", .place.string)]
    FingerOnOpenString { place: Place, finger: LeftFinger },
    #[error("no finger stops {place}")]
    NoFinger { place: Place },
    #[error("finger {finger} is in two places, {one} and {other}, without a barre")]
    FingerInTwoPlaces { finger: LeftFinger, one: Place, other: Place },
    #[error("the barre at fret {} over {} to {}: {fault}", .barre.fret, .barre.thin, .barre.thick)]
    Barre { barre: Barre, fault: BarreFault },
    #[error("fingers out of order: {} on {} and {} on {}", .low.0, .low.1, .high.0, .high.1)]
    FingersOutOfOrder { low: (LeftFinger, Place), high: (LeftFinger, Place) },
    #[error("fingers {} on {} and {} on {} are farther apart than {} tenths of a millimetre", .low.0, .low.1, .high.0, .high.1, .reach.0)]
    OutOfReach { low: (LeftFinger, Place), high: (LeftFinger, Place), reach: TenthsOfMm },
    #[error("finger {finger} cannot be on {place} in position {position}")]
    OutOfPosition { finger: LeftFinger, place: Place, position: Position },
    #[error("fingers are down and the hand has no position")]
    NoPosition,

    #[error("{place} is above fret {highest}, the highest that the level allows")]
    AboveHighestFret { place: Place, highest: Fret },
    #[error("{place} is played {}, which the level does not allow", finger_or_open(.finger))]
    FingerNotAllowed { place: Place, finger: Option<LeftFinger> },
    #[error("the level does not allow position {0}")]
    PositionNotAllowed(Position),
    #[error("the barre covers {} strings, the level allows {}", crate::author::width(*.barre), .limit.width())]
    BarreTooWide { barre: Barre, limit: BarreLimit },
    #[error("finger {finger} on {place} is extended by {frets} frets, the level allows {allowed}")]
    ExtensionTooWide { finger: LeftFinger, place: Place, frets: i64, allowed: u8 },
    #[error("a pin on {} is not kept", pinned(.pin))]
    PinBroken { pin: Pin },

    #[error("tone {} is held, but has moved from {} to {}", .tone.0, said(.was), said(.is))]
    KeptElsewhere { tone: ToneId, was: Placement, is: Placement },
    #[error("tone {} sounds on {place} again without being struck", .tone.0)]
    KeptAfterLettingGo { tone: ToneId, place: Place },

    #[error("no right finger plucks tone {}", .0.0)]
    NoRightFinger(ToneId),
    #[error("tone {} is left out, and a right finger plucks it", .0.0)]
    PluckedNothing(ToneId),
    #[error("tone {} shares its sound with another, but they have different right fingers", .0.0)]
    RightSplit(ToneId),
    #[error("{0} plucks two strings at once")]
    RightFingerTwice(RightFinger),
    #[error("{thick} plucks a thicker string than {thin}")]
    RightFingersOutOfOrder { thick: RightFinger, thin: RightFinger },
    #[error("the pins leave no hand in the order p i m a; the nearest to it is {}, not what is played", letters(.wanted))]
    RightHand { wanted: Vec<RightFinger> },
    #[error("{} is played, which is not of the pattern or the pair", letters(.found))]
    RightPlan { found: Vec<RightFinger> },
    #[error("tone {} is plucked with {}, by the model with {}", .tone.0, stroke(*.found), stroke(Some(*.wanted)))]
    Stroke { tone: ToneId, found: Option<Stroke>, wanted: Stroke },
    #[error("{finger} plucks where a pin on {} asks for another", pinned(.pin))]
    RightPin { finger: RightFinger, pin: Pin },
}

/// What is wrong with a barre.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum BarreFault {
    #[error("it does not span two or more neighbouring strings of the instrument at a fret")]
    NoBarre,
    #[error("{0} under it is below its fret")]
    Below(Place),
    #[error("finger 1 stops what is at its fret and nothing else, not so {0}")]
    NotByFingerOne(Place),
    #[error("finger 1 also stops {0} outside it")]
    FingerOneOutside(Place),
    #[error("it stops nothing")]
    StopsNothing,
    #[error(
        "its end on {0} gives no sound that is kept, or struck in this layer or the next eight"
    )]
    IdleEnd(StringNumber),
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
        }
    }
}

impl Fault {
    /// The rule of the model that is broken.
    pub const fn rule(&self) -> Rule {
        match self {
            Self::Revision
            | Self::Part { .. }
            | Self::ToneCount { .. }
            | Self::PostureCount { .. }
            | Self::PostureOnset { .. }
            | Self::UnknownTone(_)
            | Self::ToneOrder(_)
            | Self::NotSounding(_)
            | Self::SoundInTwoPlaces { .. }
            | Self::SoundSplit(_)
            | Self::AirFlag { .. }
            | Self::AirPosition { .. }
            | Self::TonePlacement { .. }
            | Self::SoundsUntil { .. }
            | Self::PositionSpan { .. }
            | Self::BarreSpan { .. }
            | Self::Shift { .. }
            | Self::LetGoInvented(_)
            | Self::LetGoUnsaid(_) => Rule::Record,
            Self::ItemNowhere(_)
            | Self::Item { .. }
            | Self::ItemSum { .. }
            | Self::Price { .. } => Rule::Price,
            Self::WrongPitch { .. } => Rule::P1,
            Self::StringShared { .. } => Rule::P2,
            Self::FingerOnOpenString { .. } | Self::NoFinger { .. } => Rule::P3,
            Self::FingerInTwoPlaces { .. } | Self::Barre { .. } => Rule::P4,
            Self::FingersOutOfOrder { .. } => Rule::P5,
            Self::OutOfReach { .. } => Rule::P6,
            Self::OutOfPosition { .. } => Rule::P7,
            Self::NoPosition => Rule::P8,
            Self::AboveHighestFret { .. } => Rule::A1,
            Self::FingerNotAllowed { .. } => Rule::A2,
            Self::PositionNotAllowed(_) => Rule::A3,
            Self::BarreTooWide { .. } => Rule::A4,
            Self::ExtensionTooWide { .. } => Rule::A5,
            Self::PinBroken { .. } => Rule::A6,
            Self::KeptElsewhere { .. } => Rule::M1,
            Self::KeptAfterLettingGo { .. } => Rule::M2,
            Self::NoRightFinger(_)
            | Self::PluckedNothing(_)
            | Self::RightSplit(_)
            | Self::RightFingerTwice(_)
            | Self::RightFingersOutOfOrder { .. }
            | Self::RightHand { .. }
            | Self::RightPlan { .. }
            | Self::Stroke { .. }
            | Self::RightPin { .. } => Rule::RightHand,
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
            Self::A1 => "A1",
            Self::A2 => "A2",
            Self::A3 => "A3",
            Self::A4 => "A4",
            Self::A5 => "A5",
            Self::A6 => "A6",
            Self::M1 => "M1",
            Self::M2 => "M2",
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

fn said(placement: &Placement) -> String {
    match placement.finger {
        Some(finger) => format!("{} with finger {finger}", placement.place),
        None => placement.place.to_string(),
    }
}

fn placed(placement: &Option<Placement>) -> String {
    placement.as_ref().map_or_else(|| "no string (left out)".to_owned(), said)
}

fn position(position: &Option<Position>) -> String {
    position.map_or_else(|| "no position".to_owned(), |position| format!("position {position}"))
}

fn position_span(span: &Option<PositionSpan>) -> String {
    span.map_or_else(
        || "nothing".to_owned(),
        |span| {
            let (from, to) = (span.from.since_start(), span.to.since_start());
            format!("{} from {from} to {to}", span.position)
        },
    )
}

fn barre_span(span: &Option<BarreSpan>) -> String {
    span.map_or_else(
        || "nothing".to_owned(),
        |BarreSpan { barre, from, to }| {
            let (from, to) = (from.since_start(), to.since_start());
            format!(
                "fret {} over {} to {} from {from} to {to}",
                barre.fret, barre.thin, barre.thick
            )
        },
    )
}

fn shift(shift: &Option<Shift>) -> String {
    shift.map_or_else(
        || "nothing".to_owned(),
        |shift| format!("{} to {} at {}", shift.from, shift.to, shift.at.since_start()),
    )
}

fn price(price: &Price) -> String {
    format!("{} left out, {} broken, effort {}", price.escapes, price.broken, price.effort)
}

fn key(key: &Option<KeyNumber>) -> String {
    key.map_or_else(|| "nothing".to_owned(), |key| format!("key {}", key.0))
}

fn finger_or_open(finger: &Option<LeftFinger>) -> String {
    finger.map_or_else(|| "open".to_owned(), |finger| format!("by finger {finger}"))
}

fn letters(hand: &[RightFinger]) -> String {
    let letters: Vec<String> = hand.iter().map(ToString::to_string).collect();
    letters.join(" ")
}

const fn stroke(stroke: Option<Stroke>) -> &'static str {
    match stroke {
        Some(Stroke::Rest) => "rest stroke",
        Some(Stroke::Free) => "free stroke",
        None => "no stroke",
    }
}

fn pinned(pin: &Pin) -> String {
    let kind = match pin.rule {
        PinRule::Strings(_) => "the string",
        PinRule::Frets(_) => "the fret",
        PinRule::LeftFingers(_) => "the left finger",
        PinRule::RightFingers(_) => "the right finger",
        PinRule::Positions(_) => "the position",
        PinRule::Barre(_) => "the barre",
    };
    match pin.scope {
        Scope::Tone(tone) => format!("{kind} of tone {}", tone.0),
        Scope::Bars { .. } => format!("{kind} over bars"),
    }
}
