//! The left hand's answer, for programs: postures, and what is listed beside
//! them.

use apoyando_fingering::{Fingering, LeftFinger, Placement, PositionSpan};
use apoyando_fretboard::{Place, StringNumber};
use apoyando_music::{Moment, Score};
use serde::Serialize;

use super::json::{At, at};

/// The lists of a fingering; all empty without one.
#[derive(Serialize, Default)]
pub struct Hand {
    postures: Vec<Posture>,
    positions: Vec<Span<u8>>,
    hops: Vec<Span<u8>>,
    shifts: Vec<Shift>,
    seams: Vec<Seam>,
    barres: Vec<Span<Barre>>,
    let_go: Vec<LetGo>,
    effort: Vec<Item>,
}

#[derive(Serialize)]
struct Posture {
    #[serde(flatten)]
    at: At,
    position: Option<u8>,
    /// The place of the hand while it is away from its position.
    away: Option<u8>,
    idle: bool,
    sounding: Vec<Sounding>,
    barre: Option<Barre>,
    /// The side of the barre that is lifted.
    hinge: Option<apoyando_fingering::Hinge>,
    staying: Vec<FingerAt>,
    bound: Vec<FingerAt>,
}

#[derive(Serialize)]
struct Sounding {
    tone: u32,
    string: u8,
    fret: u8,
    finger: u8,
}

#[derive(Serialize)]
struct FingerAt {
    finger: u8,
    string: u8,
    fret: u8,
}

#[derive(Serialize)]
struct Barre {
    fret: u8,
    thin: u8,
    thick: u8,
}

#[derive(Serialize)]
struct Span<T> {
    what: T,
    from: At,
    to: At,
}

#[derive(Serialize)]
struct Shift {
    #[serde(flatten)]
    at: At,
    from: u8,
    to: u8,
    guide: Option<FingerOnString>,
    pivot: Option<FingerOnString>,
    over_open: bool,
}

#[derive(Serialize)]
struct FingerOnString {
    finger: u8,
    string: u8,
}

#[derive(Serialize)]
struct Seam {
    from: At,
    to: At,
    shift: Option<Positions>,
}

#[derive(Serialize)]
struct Positions {
    from: u8,
    to: u8,
}

#[derive(Serialize)]
struct LetGo {
    tone: u32,
    #[serde(flatten)]
    at: At,
    written: bool,
}

#[derive(Serialize)]
struct Item {
    term: &'static str,
    #[serde(flatten)]
    at: At,
    amount: i64,
}

/// All that a fingering lists.
pub fn hand(score: &Score, fingering: &Fingering) -> Hand {
    let at = |moment: Moment| at(score, moment);
    let spans = |spans: &[PositionSpan]| {
        let span =
            |s: &PositionSpan| Span { what: s.position.get(), from: at(s.from), to: at(s.to) };
        spans.iter().map(span).collect()
    };
    Hand {
        postures: fingering.postures.iter().map(|one| posture(score, one)).collect(),
        positions: spans(&fingering.positions),
        hops: spans(&fingering.hops),
        shifts: fingering
            .shifts
            .iter()
            .map(|shift| Shift {
                at: at(shift.at),
                from: shift.from.get(),
                to: shift.to.get(),
                guide: shift.guide.map(on_string),
                pivot: shift.pivot.map(on_string),
                over_open: shift.over_open,
            })
            .collect(),
        seams: fingering
            .seams
            .iter()
            .map(|seam| Seam {
                from: at(seam.from),
                to: at(seam.to),
                shift: seam.shift.map(|(from, to)| Positions { from: from.get(), to: to.get() }),
            })
            .collect(),
        barres: fingering
            .barres
            .iter()
            .map(|span| Span { what: barre(span.barre), from: at(span.from), to: at(span.to) })
            .collect(),
        let_go: fingering
            .let_go
            .iter()
            .map(|gone| LetGo { tone: gone.tone.0, at: at(gone.at), written: gone.written })
            .collect(),
        effort: fingering
            .items
            .iter()
            .map(|item| Item { term: item.term.info().name, at: at(item.at), amount: item.amount })
            .collect(),
    }
}

fn posture(score: &Score, posture: &apoyando_fingering::Posture) -> Posture {
    Posture {
        at: at(score, posture.at),
        position: posture.position.map(|position| position.get()),
        away: posture.away.map(|position| position.get()),
        idle: posture.idle,
        sounding: posture
            .sounding
            .iter()
            .map(|(tone, placement)| Sounding {
                tone: tone.0,
                string: placement.place.string.get(),
                fret: placement.place.fret.0,
                finger: digit(*placement),
            })
            .collect(),
        barre: posture.barre.map(barre),
        hinge: posture.hinge,
        staying: posture.staying.iter().copied().map(finger_at).collect(),
        bound: posture.bound.iter().copied().map(finger_at).collect(),
    }
}

/// The digit of a placement's finger; 0 is the open string.
pub fn digit(placement: Placement) -> u8 {
    placement.finger.map_or(0, LeftFinger::digit)
}

const fn barre(barre: apoyando_fingering::Barre) -> Barre {
    Barre { fret: barre.fret.0, thin: barre.thin.get(), thick: barre.thick.get() }
}

const fn finger_at((finger, place): (LeftFinger, Place)) -> FingerAt {
    FingerAt { finger: finger.digit(), string: place.string.get(), fret: place.fret.0 }
}

const fn on_string((finger, string): (LeftFinger, StringNumber)) -> FingerOnString {
    FingerOnString { finger: finger.digit(), string: string.get() }
}
