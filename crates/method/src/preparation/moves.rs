//! Where the hand shifts, what helps it, and where it is away only for a moment.

use apoyando_fingering::{LeftFinger, Placement, Position};
use apoyando_fretboard::StringNumber;

use super::Spot;
use super::reading::Reading;

/// A shift and what there is to do in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ShiftAdvice {
    /// Where the first note in the new position is struck.
    pub spot: Spot,
    /// The position before.
    pub from: Position,
    /// The position after.
    pub to: Position,
    /// A finger that slides along its string into the new position.
    pub guide: Option<(LeftFinger, StringNumber)>,
    /// A finger whose tip stays while the hand turns about it.
    pub pivot: Option<(LeftFinger, StringNumber)>,
    /// Open strings that sound while the hand moves, the thickest first.
    pub open: Vec<StringNumber>,
    /// Whether the hand moves in a rest of all voices.
    pub rest: bool,
    /// Stopped notes whose written value the shift cuts short.
    pub let_go: Vec<Placement>,
}

/// The hand goes somewhere for a note or two and comes back.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hop {
    /// The shift there.
    pub there: ShiftAdvice,
    /// The shift back to where it came from.
    pub back: ShiftAdvice,
    /// At how many onsets something is stopped there: 1 or 2.
    pub onsets: usize,
    /// Whether more than one note is stopped at one of them.
    pub chords: bool,
}

/// The hand leaves its position for a note or a chord and comes straight back.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reach {
    /// Where the first note is struck away from the position.
    pub spot: Spot,
    /// The position, which stays what it is.
    pub from: Position,
    /// Where the hand is meanwhile.
    pub to: Position,
    /// What is stopped there first, from finger 1 on.
    pub stopped: Vec<Placement>,
    /// At how many onsets the hand is there.
    pub onsets: usize,
    /// The first note back in the position; `None` if there is none.
    pub back: Option<Spot>,
}

/// One or two shifts of the fingering, told together, or a reach.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Move {
    /// The hand goes and stays.
    Shift(ShiftAdvice),
    /// The hand goes and returns.
    Hop(Hop),
    /// The hand is away for a moment and has not shifted.
    Reach(Reach),
}

impl ShiftAdvice {
    /// Whether anything helps the hand on its way.
    pub const fn is_helped(&self) -> bool {
        self.rest || self.guide.is_some() || self.pivot.is_some() || !self.open.is_empty()
    }
}

impl Move {
    /// Where it begins.
    pub const fn spot(&self) -> &Spot {
        match self {
            Self::Shift(shift) => &shift.spot,
            Self::Hop(hop) => &hop.there.spot,
            Self::Reach(reach) => &reach.spot,
        }
    }
}

/// Every shift of the fingering, in order.
pub(super) fn shifts(reading: &Reading<'_>) -> Vec<ShiftAdvice> {
    let fingering = reading.fingering;
    let mut shifts: Vec<ShiftAdvice> = Vec::with_capacity(fingering.shifts.len());
    for shift in &fingering.shifts {
        let mut open: Vec<StringNumber> = Vec::new();
        if let Some(before) = reading.posture_before(shift.at).filter(|_| shift.over_open) {
            open.extend(before.sounding.iter().map(|(_, placement)| placement.place.string));
            open.sort_unstable_by(|a, b| b.cmp(a));
            open.dedup();
        }
        let gone = fingering.let_go.iter().filter(|gone| gone.at == shift.at && gone.written);
        let mut let_go: Vec<Placement> =
            gone.filter_map(|gone| fingering.tone(gone.tone).left).collect();
        let_go.retain(|placement| placement.finger.is_some());
        let_go.sort_unstable();
        let_go.dedup();
        shifts.push(ShiftAdvice {
            spot: Spot::of(reading.score(), shift.at),
            from: shift.from,
            to: shift.to,
            guide: shift.guide,
            pivot: shift.pivot,
            open,
            rest: reading.rests_before(shift.at),
            let_go,
        });
    }
    shifts
}

/// So many onsets at most are a momentary reach.
const MOST_ONSETS_OF_A_HOP: usize = 2;

/// Takes each shift that is soon followed by its way back together with it.
pub(super) fn with_hops(reading: &Reading<'_>, shifts: Vec<ShiftAdvice>) -> Vec<Move> {
    let mut moves = Vec::new();
    let mut rest = shifts.into_iter().peekable();
    while let Some(there) = rest.next() {
        let stay = rest.peek().filter(|back| back.to == there.from).map(|back| {
            let from = reading.posture_from(there.spot.at);
            let past = reading.posture_from(back.spot.at);
            let away = reading.fingering.postures.get(from..past).unwrap_or_default();
            let mut stay = (0, false);
            for posture in away {
                let struck = posture.sounding.iter().filter(|(tone, placement)| {
                    reading.tones.get(*tone).onset == posture.at && placement.finger.is_some()
                });
                let mut places: Vec<_> = struck.map(|(_, placement)| placement.place).collect();
                places.sort_unstable();
                places.dedup();
                stay.0 += usize::from(!places.is_empty());
                stay.1 |= places.len() > 1;
            }
            stay
        });
        match stay {
            Some((onsets @ 1..=MOST_ONSETS_OF_A_HOP, chords)) => {
                let Some(back) = rest.next() else { break };
                moves.push(Move::Hop(Hop { there, back, onsets, chords }));
            }
            _ => moves.push(Move::Shift(there)),
        }
    }
    moves
}

/// Every reach of the fingering, in order.
pub(super) fn reaches(reading: &Reading<'_>) -> Vec<Move> {
    let fingering = reading.fingering;
    let mut reaches = Vec::with_capacity(fingering.hops.len());
    for span in &fingering.hops {
        let Some(first) = reading.posture(span.from) else { continue };
        let Some(from) = first.position else { continue };
        let past = reading.posture_from(span.to) + 1;
        let mut stopped: Vec<Placement> = first
            .sounding
            .iter()
            .filter(|(tone, _)| reading.tones.get(*tone).onset == first.at)
            .map(|(_, placement)| *placement)
            .filter(|placement| placement.finger.is_some())
            .collect();
        stopped.sort_unstable_by_key(|placement| (placement.finger, placement.place));
        stopped.dedup();
        let back = fingering.postures.get(past..).unwrap_or_default();
        // The next posture may be away at another place.
        let back = back.iter().find(|posture| posture.away.is_none());
        reaches.push(Move::Reach(Reach {
            spot: Spot::of(reading.score(), span.from),
            from,
            to: span.position,
            stopped,
            onsets: past - reading.posture_from(span.from),
            back: back.map(|posture| Spot::of(reading.score(), posture.at)),
        }));
    }
    reaches
}
