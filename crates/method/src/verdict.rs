//! How a grip lies on the neck: the position that a reader sees, and what it asks there.

use apoyando_fingering::{LeftFinger, Position};
use apoyando_fretboard::Fret;

use crate::grip::Grip;
use crate::written::Verdict;

impl Verdict {
    /// From easy to far, wherever it lies.
    pub(crate) const fn rank(self) -> u8 {
        match self {
            Self::OwnFingers => 0,
            Self::FingerFour => 1,
            Self::Extension => 2,
            Self::Barre => 3,
            Self::Elsewhere(_) => 4,
            Self::OutOfReach => 5,
        }
    }
}

/// The position that a reader sees: above I, where finger 1 stands only on the fret next
/// to its own, the position of that fret. In I the shapes of E and A are known so.
pub(crate) fn seen(grip: &Grip, frets: &[Option<Fret>]) -> Option<Position> {
    let position = grip.position?;
    let next = Position::new(position.get() + 1).filter(|_| position > Position::FIRST);
    let of_first = || {
        let on = |string: &usize| grip.fingers[*string] == Some(LeftFinger::One);
        (0..frets.len()).filter(on).filter_map(|string| frets[string])
    };
    let leads =
        |next: &Position| of_first().count() > 0 && of_first().all(|fret| fret.0 == next.get());
    Some(next.filter(leads).unwrap_or(position))
}

/// How a grip lies in its position; `None` if more leaves its fret than finger
/// 1 or the highest finger down, for then the hand is really in another
/// position.
pub(crate) fn verdict_of(grip: &Grip, frets: &[Option<Fret>]) -> Option<Verdict> {
    if grip.barre.is_some() {
        return (grip.extended == 0).then_some(Verdict::Barre);
    }
    match grip.extended {
        0 if grip.uses(LeftFinger::Four) => Some(Verdict::FingerFour),
        0 => Some(Verdict::OwnFingers),
        1 if outer_is_extended(grip, frets) => Some(Verdict::Extension),
        _ => None,
    }
}

/// The finger outside its fret.
pub(crate) fn extended(grip: &Grip, frets: &[Option<Fret>]) -> Option<LeftFinger> {
    grip.fingers.iter().zip(frets).find_map(|(finger, fret)| {
        let (finger, fret, position) = ((*finger)?, (*fret)?, grip.position?);
        let offset = position.offset(finger, fret);
        let out = if finger == LeftFinger::One { offset < 0 } else { offset > 0 };
        out.then_some(finger)
    })
}

fn outer_is_extended(grip: &Grip, frets: &[Option<Fret>]) -> bool {
    let highest = grip.fingers.iter().flatten().max().copied();
    let finger = extended(grip, frets);
    finger == Some(LeftFinger::One) || finger == highest
}

/// The fingers that stop something with their frets, from the thin string on.
fn stops(grip: &Grip, frets: &[Option<Fret>]) -> Vec<(LeftFinger, Fret)> {
    let stops = grip.fingers.iter().zip(frets);
    stops.filter_map(|(finger, fret)| Some(((*finger)?, (*fret)?))).collect()
}

/// Whether a finger stands on a thinner string than a higher one on its fret.
pub(crate) fn crosses(grip: &Grip, frets: &[Option<Fret>]) -> bool {
    let stops = stops(grip, frets);
    let thicker = |at: usize| stops[at + 1..].iter();
    (0..stops.len()).any(|at| {
        let (finger, fret) = stops[at];
        thicker(at).any(|(other, there)| *there == fret && finger < *other)
    })
}

/// The fret on which two different fingers stand.
pub(crate) fn two_on_a_fret(grip: &Grip, frets: &[Option<Fret>]) -> Option<Fret> {
    let stops = stops(grip, frets);
    stops
        .iter()
        .find(|(finger, fret)| stops.iter().any(|(other, at)| other != finger && at == fret))
        .map(|(_, fret)| *fret)
}
