//! Words that stand on other ink.

use super::Fault;
use super::scan::{Item, items};
use crate::drawing::{Drawing, Kind};

/// What is made of words or stands among them.
const WORDS: &[Kind] = &[
    Kind::CueName,
    Kind::Dashes,
    Kind::Expression,
    Kind::HoldLine,
    Kind::LongRestFigure,
    Kind::Lyric,
    Kind::LyricLine,
    Kind::Rehearsal,
    Kind::RehearsalBox,
];

/// By how much strips reach past the ink they stand for.
const ROUGH: f64 = 0.02;

/// Words that touch other ink. A barline that joins staves may be interrupted by
/// them.
#[must_use]
pub fn words_on_ink(drawing: &Drawing) -> Vec<Fault> {
    let all = items(drawing);
    let free = |kind: Kind| matches!(kind, Kind::Halo | Kind::BarLine);
    let mut faults = Vec::new();
    for (at, one) in all.iter().enumerate() {
        for other in all[at + 1..].iter().filter(|other| one.area.meets(other.area)) {
            // The strokes of a box meet, and a line and its hook.
            let strokes = matches!(one.kind, Kind::RehearsalBox | Kind::HoldLine);
            if one.kind == other.kind && strokes && one.owner == other.owner {
                continue;
            }
            let words = WORDS.contains(&one.kind) || WORDS.contains(&other.kind);
            if words && !free(one.kind) && !free(other.kind) && touch(one, other) {
                faults.push(Fault {
                    rule: "words-on-ink",
                    place: one.area,
                    message: format!(
                        "ink of kind {:?} touches {:?} at {:?}",
                        one.kind, other.kind, other.area
                    ),
                });
            }
        }
    }
    faults
}

fn touch(one: &Item, other: &Item) -> bool {
    one.strips.iter().any(|a| other.strips.iter().any(|b| a.grown(-ROUGH).meets(b.grown(-ROUGH))))
}
