//! Fingers that can stay down from one chord to the next.

use apoyando_fingering::{LeftFinger, Placement};
use apoyando_fretboard::Place;
use apoyando_music::{Duration, Moment};

use super::Spot;
use super::moves::ShiftAdvice;
use super::reading::Reading;

/// A finger that stays where it is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Kept {
    /// The finger.
    pub finger: LeftFinger,
    /// Where it stays.
    pub place: Place,
}

/// Fingers that two chords have in common. A pivot is told with its shift.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CommonFingers {
    /// Where the second chord is struck, or begins if it is broken.
    pub spot: Spot,
    /// The fingers that stay, from the index on.
    pub kept: Vec<Kept>,
}

/// The notes that the hand holds together.
struct Grip {
    from: Moment,
    placements: Vec<Placement>,
    /// Stopped places that are struck, not only held on.
    struck: Vec<Kept>,
}

/// So many notes held together are a chord.
const NOTES_OF_A_CHORD: usize = 3;

pub(super) fn find(reading: &Reading<'_>, shifts: &[ShiftAdvice]) -> Vec<CommonFingers> {
    let mut found = Vec::new();
    // The last chord, less the fingers that have been elsewhere since.
    let mut last: Option<(Vec<Placement>, Vec<Kept>, Moment)> = None;
    for grip in grips(reading) {
        if grip.placements.len() < NOTES_OF_A_CHORD {
            if let Some((_, stayed, _)) = &mut last {
                stayed.retain(|kept| {
                    grip.placements
                        .iter()
                        .all(|p| p.finger != Some(kept.finger) || p.place == kept.place)
                });
            }
            continue;
        }
        let near = |before: Moment| grip.from - before <= Duration::WHOLE * 2;
        if let Some((placements, stayed, at)) = &last
            && *placements != grip.placements
            && near(*at)
        {
            let pivot = shifts.iter().find(|s| s.spot.at == grip.from).and_then(|s| s.pivot);
            let mut kept: Vec<Kept> = grip.struck.clone();
            kept.retain(|one| stayed.contains(one) && pivot.map(|p| p.0) != Some(one.finger));
            if !kept.is_empty() {
                found.push(CommonFingers { spot: Spot::of(reading.score(), grip.from), kept });
            }
        }
        let stopped = grip.placements.iter().filter_map(kept_of).collect();
        last = Some((grip.placements, stopped, grip.from));
    }
    found
}

fn kept_of(placement: &Placement) -> Option<Kept> {
    Some(Kept { finger: placement.finger?, place: placement.place })
}

/// Cuts the postures where anything that was held is no longer.
fn grips(reading: &Reading<'_>) -> Vec<Grip> {
    let mut grips: Vec<Grip> = Vec::new();
    let mut before: Vec<Placement> = Vec::new();
    for posture in &reading.fingering.postures {
        let mut here: Vec<Placement> = posture.sounding.iter().map(|(_, p)| *p).collect();
        here.sort_unstable();
        here.dedup();
        let goes_on = !before.is_empty() && before.iter().all(|p| here.binary_search(p).is_ok());
        if !goes_on {
            grips.push(Grip { from: posture.at, placements: Vec::new(), struck: Vec::new() });
        }
        if let Some(grip) = grips.last_mut() {
            let struck = posture
                .sounding
                .iter()
                .filter(|(tone, _)| reading.tones.get(*tone).onset == posture.at)
                .filter_map(|(_, placement)| kept_of(placement));
            grip.struck.extend(struck);
            grip.struck.sort_unstable();
            grip.struck.dedup();
            grip.placements.clone_from(&here);
        }
        before = here;
    }
    grips
}
