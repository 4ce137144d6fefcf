//! Section 5: the order of ties.

use apoyando_fingering::Hinge;

use super::kit::{Case, hand};
use crate::grip::Posture;
use crate::question::Question;
use crate::ties::rank;

/// Each is smaller than the next.
#[test]
fn layers_are_compared_thing_by_thing() {
    let case = Case::new(&["r.q C4+F4.q G4.q", "A2.h."]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let on = |text: &str, position| hand(&q, 1, text, position);
    let kept = |text: &str, position| hand(&q, 1, &format!("{text} | 0=5-0-0"), position);
    let ascending: Vec<Posture> = vec![
        // String, fret and finger of the first sound, then of the second.
        kept("2-1-1 1-1-2", Some(1)),
        kept("2-1-1 x", None),
        // The position, an unknown one first; then how far away.
        kept("2-1-1 x", Some(1)),
        kept("2-1-1 x", Some(1)).going(2),
        kept("2-1-1 x", Some(2)),
        // Kept before let go; then the barre by its strings and its hinge.
        on("2-1-1 x", Some(2)),
        on("2-1-1 x", Some(2)).laid(1, 2),
        on("2-1-1 x", Some(2)).laid(1, 3),
        on("2-1-1 x", Some(2)).hinged(1, 3, Some(Hinge::Thin)),
        on("2-1-1 x", Some(2)).hinged(1, 3, Some(Hinge::Thick)),
        on("2-1-1 x", Some(2)).laid(2, 3),
        // Another finger.
        kept("2-1-2 1-1-1", Some(1)),
        // Where fingers stay, one after the other.
        kept("2-1-2 1-1-1", Some(2)),
        kept("2-1-2 1-1-1", Some(2)).staying(4, 1, 3),
        kept("2-1-2 1-1-1", Some(2)).staying(3, 1, 2),
        kept("2-1-2 1-1-1", Some(2)).staying(3, 1, 2).staying(4, 1, 3),
        kept("2-1-2 1-1-1", Some(2)).staying(3, 1, 3),
        kept("2-1-2 1-1-1", Some(2)).staying(3, 2, 1),
        kept("3-5-1 1-1-2", Some(1)),
        // What is left out comes last.
        kept("x 1-1-1", Some(1)),
    ];
    for pair in ascending.windows(2) {
        assert!(rank(&q, &pair[0]) < rank(&q, &pair[1]), "{pair:#?}");
    }
}
