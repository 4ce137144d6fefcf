//! A finished fingering: a layer over one part of one revision of a score.

use apoyando_fretboard::{Place, StringNumber};
use apoyando_music::{Moment, PartIndex, Revision, ToneId};

use crate::effort::Term;
use crate::hand::{Barre, Hinge, LeftFinger, Placement, Position, RightFinger, Stroke};

/// Another finger comes down where one stops a tone, and that one is free.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct SecondFinger {
    /// The finger that takes over.
    pub finger: LeftFinger,
    /// The first onset at which the tone is its own.
    pub from: Moment,
}

/// How one tone is played.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ToneFingering {
    /// Where and with which finger; `None` if it had to be left out.
    pub left: Option<Placement>,
    /// The right-hand finger that plucks it.
    pub right: Option<RightFinger>,
    /// How it is plucked.
    pub stroke: Option<Stroke>,
    /// The finger that takes it over while it sounds, if one does.
    pub second: Option<SecondFinger>,
    /// Until when the hand lets it sound: its written end, later in a broken
    /// chord, earlier if it had to be let go.
    pub sounds_until: Moment,
    /// Whether the left hand makes it sound from the tone before, by a slur or
    /// a glissando, so that it is not plucked.
    pub joined: bool,
}

/// The left hand at one onset.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Posture {
    /// The onset.
    pub at: Moment,
    /// Where the hand is; the last position while no finger is down, and
    /// `None` before the first stopped note.
    pub position: Option<Position>,
    /// Where the hand is while it is away from its position for a moment.
    pub away: Option<Position>,
    /// Whether no finger is down.
    pub idle: bool,
    /// All sounding tones with their placements, struck and kept, in order
    /// of their numbers; the finger is the one that stops it here. A natural harmonic is kept as an open string.
    pub sounding: Vec<(ToneId, Placement)>,
    /// The barre, if one is laid.
    pub barre: Option<Barre>,
    /// The side of the barre that is lifted, if it is a hinge.
    pub hinge: Option<Hinge>,
    /// Fingers that stay down and stop nothing, in order.
    pub staying: Vec<(LeftFinger, Place)>,
    /// Fingers that an ornament of a struck tone needs, in order.
    pub bound: Vec<(LeftFinger, Place)>,
}

impl Posture {
    /// The placements of one finger; several under a barre.
    pub fn of_finger(&self, finger: LeftFinger) -> impl Iterator<Item = Placement> + '_ {
        self.sounding.iter().map(|(_, p)| *p).filter(move |p| p.finger == Some(finger))
    }
}

/// Bars over which the hand stays in a position.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PositionSpan {
    /// The position.
    pub position: Position,
    /// Onset of the first stopped tone in it.
    pub from: Moment,
    /// Onset of the last tone in it.
    pub to: Moment,
}

/// A barre from where it is laid to where it is lifted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct BarreSpan {
    /// The widest it gets.
    pub barre: Barre,
    /// Onset at which it is laid.
    pub from: Moment,
    /// Last onset at which it lies.
    pub to: Moment,
}

/// The hand moves from one position to another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Shift {
    /// Onset of the first stopped tone in the new position.
    pub at: Moment,
    /// Position before.
    pub from: Position,
    /// Position after.
    pub to: Position,
    /// A finger that slides along its string from the old place to the new.
    pub guide: Option<(LeftFinger, StringNumber)>,
    /// A finger that stays where it is while the hand turns about it.
    pub pivot: Option<(LeftFinger, StringNumber)>,
    /// Whether the hand moves while no finger is down.
    pub over_open: bool,
}

/// A tone that the hand lets go before it should end.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LetGo {
    /// The tone.
    pub tone: ToneId,
    /// The onset at which it is gone.
    pub at: Moment,
    /// Whether its written value is cut short; otherwise only its ringing on
    /// in a broken chord.
    pub written: bool,
}

/// A way back, or on, that the playing order takes and the page does not.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Seam {
    /// The last onset before it.
    pub from: Moment,
    /// The first onset after it.
    pub to: Moment,
    /// The positions before and after, where the hand has to move.
    pub shift: Option<(Position, Position)>,
}

/// What a fingering costs, in the order in which it is compared.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Price {
    /// Notes left out because no hand could play them.
    pub escapes: u32,
    /// Rules of the author broken, counted per rule and onset.
    pub broken: u32,
    /// Effort by the table.
    pub effort: u64,
}

/// One term of the effort at one onset.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct EffortItem {
    /// The term of the table.
    pub term: Term,
    /// The onset it is charged at.
    pub at: Moment,
    /// What it costs there; discounts are negative.
    pub amount: i64,
}

/// A fingering of a part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fingering {
    /// The revision of the score it is for.
    pub revision: Revision,
    /// The part it is for.
    pub part: PartIndex,
    /// One entry per tone, in the order of their numbers.
    pub tones: Vec<ToneFingering>,
    /// The left hand at every onset.
    pub postures: Vec<Posture>,
    /// Where the hand stays.
    pub positions: Vec<PositionSpan>,
    /// Where the hand is while it is away from its position for a moment.
    pub hops: Vec<PositionSpan>,
    /// Barres.
    pub barres: Vec<BarreSpan>,
    /// Moves of the hand.
    pub shifts: Vec<Shift>,
    /// Where the playing order goes elsewhere than on.
    pub seams: Vec<Seam>,
    /// Tones let go early.
    pub let_go: Vec<LetGo>,
    /// The whole price of the left hand.
    pub price: Price,
    /// The effort, term by term; its sum is `price.effort`.
    pub items: Vec<EffortItem>,
}

impl Fingering {
    /// How a tone is played.
    ///
    /// # Panics
    /// If the tone is of another part.
    pub fn tone(&self, id: ToneId) -> &ToneFingering {
        &self.tones[id.0 as usize]
    }
}
