//! Every fault there is, with its sentence and its rule.

use apoyando_fingering::{
    Barre, BarreLimit, BarreSpan, EffortItem, LeftFinger, LetGo, Pin, Placement, Position,
    PositionSpan, Price, RightFinger, Seam, SecondFinger, Shift, Stroke, Term,
};
use apoyando_fretboard::{Fret, Place, TenthsOfMm};
use apoyando_music::{KeyNumber, Moment, PartIndex, ToneId};

use super::Rule;
use super::detail::{AwayFault, BarreFault, SecondFault, StayFault};
use super::words::{
    barre_span, finger_or_open, key, letters, pinned, placed, position, position_span, price, said,
    seam, second, shift, stroke,
};

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
    #[error("finger {0} is named twice or out of order among those that stay or are bound")]
    FingerOrder(LeftFinger),
    #[error("the posture is said to have {}, and it is not so", if *.found { "no finger down" } else { "a finger down" })]
    IdleFlag { found: bool },
    #[error("no finger is down, and the hand should remember {}, not {}", position(.wanted), position(.found))]
    IdlePosition { found: Option<Position>, wanted: Option<Position> },
    #[error("tone {} is said to be on {}, its posture has it on {}", .tone.0, placed(.found), placed(.wanted))]
    TonePlacement { tone: ToneId, found: Option<Placement>, wanted: Option<Placement> },
    #[error("tone {} is said to be taken over by {}, by its postures by {}", .tone.0, second(.found), second(.wanted))]
    ToneSecond { tone: ToneId, found: Option<SecondFinger>, wanted: Option<SecondFinger> },
    #[error("tone {} is said to sound until {}, by its postures it sounds until {}", .tone.0, .found.since_start(), .wanted.since_start())]
    SoundsUntil { tone: ToneId, found: Moment, wanted: Moment },
    #[error("the list of positions has {}, the postures have {}", position_span(.found), position_span(.wanted))]
    PositionSpan { found: Option<PositionSpan>, wanted: Option<PositionSpan> },
    #[error("the list of places where the hand is away has {}, the postures have {}", position_span(.found), position_span(.wanted))]
    HopSpan { found: Option<PositionSpan>, wanted: Option<PositionSpan> },
    #[error("the list of barres has {}, the postures have {}", barre_span(.found), barre_span(.wanted))]
    BarreSpan { found: Option<BarreSpan>, wanted: Option<BarreSpan> },
    #[error("the list of shifts does not follow from the postures here: it has {}", shift(.found))]
    Shift { found: Option<Shift> },
    #[error("the playing order has no seam {}", seam(.0))]
    SeamInvented(Seam),
    #[error("the list of seams has none {}", seam(.0))]
    SeamUnsaid(Seam),
    #[error("tone {} is said {}, by its postures it is not so", .tone.0, if *.found { "to be joined by the left hand" } else { "not to be joined by the left hand" })]
    JoinedFlag { tone: ToneId, found: bool },
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
    #[error("{place} gives {} as a harmonic, wanted is key {}", key(.found), .wanted.0)]
    WrongHarmonic { place: Place, found: Option<KeyNumber>, wanted: KeyNumber },
    #[error("two sounds on one string: {one} and {other}")]
    StringShared { one: Place, other: Place },
    #[error("finger {finger} on the open string {}", .place.string)]
    FingerOnOpenString { place: Place, finger: LeftFinger },
    #[error("no finger is on {place}")]
    NoFinger { place: Place },
    #[error("finger {finger} is in two places, {one} and {other}, without a barre")]
    FingerInTwoPlaces { finger: LeftFinger, one: Place, other: Place },
    #[error("the barre at fret {} over {} to {}: {fault}", .barre.fret, .barre.thin, .barre.thick)]
    Barre { barre: Barre, fault: BarreFault },
    #[error("a side of a barre is said to be lifted, and there is no barre")]
    HingeWithoutBarre,
    #[error("fingers out of order: {} on {} and {} on {}", .low.0, .low.1, .high.0, .high.1)]
    FingersOutOfOrder { low: (LeftFinger, Place), high: (LeftFinger, Place) },
    #[error("fingers {} and {} are both on {place}", .fingers.0, .fingers.1)]
    FingersAtOnePlace { fingers: (LeftFinger, LeftFinger), place: Place },
    #[error("fingers {} on {} and {} on {} are farther apart than {} tenths of a millimetre", .low.0, .low.1, .high.0, .high.1, .reach.0)]
    OutOfReach { low: (LeftFinger, Place), high: (LeftFinger, Place), reach: TenthsOfMm },
    #[error("finger {finger} cannot be on {place} in position {position}")]
    OutOfPosition { finger: LeftFinger, place: Place, position: Position },
    #[error("fingers are down and the hand has no position")]
    NoPosition,
    #[error("finger {finger} cannot stay on {place}: {fault}")]
    Stays { finger: LeftFinger, place: Place, fault: StayFault },
    #[error("{0} fingers stay and stop nothing, more than two")]
    TooManyStay(usize),
    #[error("the hand cannot be away at {place}: {fault}")]
    Away { place: Position, fault: AwayFault },
    #[error("the ornament of tone {} has some of the fingers that it needs and not all", .0.0)]
    OrnamentInPart(ToneId),
    #[error("finger {finger} is bound to {place}, where no ornament of a struck tone needs one")]
    BoundForNothing { finger: LeftFinger, place: Place },
    #[error("finger {finger} stops the tone and is bound to {place} by its ornament as well")]
    BoundBySounding { finger: LeftFinger, place: Place },

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
    #[error("tone {} is kept on {place} from a passage that does not lead here", .tone.0)]
    KeptOverCut { tone: ToneId, place: Place },
    #[error("finger {finger} stays on {place}, where it was not before and waits for no slur")]
    StaysUncalled { finger: LeftFinger, place: Place },
    #[error("finger {finger} cannot take over tone {}: {fault}", .tone.0)]
    Second { tone: ToneId, finger: LeftFinger, fault: SecondFault },
    #[error("the hand is away at {0} where the music begins anew")]
    AwayAtOnce(Position),
    #[error("the hand is away before or after it goes from {} to {}", position(.from), position(.to))]
    AwayInMoving { from: Option<Position>, to: Option<Position> },

    #[error("no right finger plucks tone {}", .0.0)]
    NoRightFinger(ToneId),
    #[error("tone {} is left out, and a right finger plucks it", .0.0)]
    PluckedNothing(ToneId),
    #[error("tone {} is joined by the left hand, and a right finger plucks it", .0.0)]
    PluckedJoined(ToneId),
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
            | Self::FingerOrder(_)
            | Self::IdleFlag { .. }
            | Self::IdlePosition { .. }
            | Self::TonePlacement { .. }
            | Self::ToneSecond { .. }
            | Self::SoundsUntil { .. }
            | Self::PositionSpan { .. }
            | Self::HopSpan { .. }
            | Self::BarreSpan { .. }
            | Self::Shift { .. }
            | Self::SeamInvented(_)
            | Self::SeamUnsaid(_)
            | Self::JoinedFlag { .. }
            | Self::LetGoInvented(_)
            | Self::LetGoUnsaid(_) => Rule::Record,
            Self::ItemNowhere(_)
            | Self::Item { .. }
            | Self::ItemSum { .. }
            | Self::Price { .. } => Rule::Price,
            Self::WrongPitch { .. } | Self::WrongHarmonic { .. } => Rule::P1,
            Self::StringShared { .. } => Rule::P2,
            Self::FingerOnOpenString { .. } | Self::NoFinger { .. } => Rule::P3,
            Self::FingerInTwoPlaces { .. } | Self::Barre { .. } | Self::HingeWithoutBarre => {
                Rule::P4
            }
            Self::FingersOutOfOrder { .. } | Self::FingersAtOnePlace { .. } => Rule::P5,
            Self::OutOfReach { .. } => Rule::P6,
            Self::OutOfPosition { .. } => Rule::P7,
            Self::NoPosition => Rule::P8,
            Self::Stays { .. } | Self::TooManyStay(_) => Rule::P9,
            Self::Away { .. } => Rule::P10,
            Self::OrnamentInPart(_)
            | Self::BoundForNothing { .. }
            | Self::BoundBySounding { .. } => Rule::P11,
            Self::AboveHighestFret { .. } => Rule::A1,
            Self::FingerNotAllowed { .. } => Rule::A2,
            Self::PositionNotAllowed(_) => Rule::A3,
            Self::BarreTooWide { .. } => Rule::A4,
            Self::ExtensionTooWide { .. } => Rule::A5,
            Self::PinBroken { .. } => Rule::A6,
            Self::KeptElsewhere { .. } => Rule::M1,
            Self::KeptAfterLettingGo { .. } | Self::KeptOverCut { .. } => Rule::M2,
            Self::StaysUncalled { .. } => Rule::M3,
            Self::AwayAtOnce(_) | Self::AwayInMoving { .. } => Rule::M4,
            Self::Second { .. } => Rule::M5,
            Self::NoRightFinger(_)
            | Self::PluckedNothing(_)
            | Self::PluckedJoined(_)
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
