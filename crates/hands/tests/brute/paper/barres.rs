//! Section 5: what a barre is charged on a move, at the usual prices. Without a mark a
//! quarter lasts 833 ms (hurry 1), an eighth 416 ms (2), a sixteenth 208 ms (3).

use apoyando_fingering::{Hinge, Term};

use super::kit::{Case, charged, hand, moved};
use crate::grip::Posture;
use crate::question::Question;
use crate::whole::items;

use Term::{BarreHold, BarreLay};

/// Eight for each string beyond the first, for each where finger 1 already was
/// none of them; twice while others hold.
#[test]
fn laying_a_barre_costs_by_the_string() {
    let case = Case::new(&["F3+C4+F4.q F3+C4+F4.q", "r.q F2.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let lay = |s: Posture, n: Posture| charged(&q, &[s, n], BarreLay);
    let full = || hand(&q, 1, "6-1-1 4-3-3 2-1-1 1-1-1", Some(1)).laid(1, 6);
    let small = |text: &str| hand(&q, 0, text, Some(1));
    assert_eq!(lay(small("x x x"), full()), 40);
    assert_eq!(lay(small("x x 1-1-1"), full()), 40, "five more");
    assert_eq!(lay(small("x x x").staying(1, 1, 1), full()), 40);
    assert_eq!(lay(small("4-3-3 2-1-1 1-1-1").laid(1, 2), full()), 32);
    assert_eq!(lay(small("4-3-3 2-1-1 1-1-1").laid(1, 6), full()), 0);
    let higher = hand(&q, 0, "x x 1-1-1", Some(1));
    assert_eq!(lay(higher, hand(&q, 1, "x 4-3-1 x x", Some(3)).laid(3, 4)), 8);
    let held = Case::new(&["D4.h", "r.q C3+F3.q"]);
    let problem = held.problem();
    let q = Question::new(&problem);
    let before = hand(&q, 0, "2-3-4", Some(1));
    let barre = |kept: &str| hand(&q, 1, &format!("5-3-1 4-3-1{kept}"), Some(3)).laid(4, 5);
    assert_eq!(charged(&q, &[before.clone(), barre(" | 0=2-3-4")], BarreLay), 16);
    assert_eq!(charged(&q, &[before, barre("")], BarreLay), 8);
}

/// From the air at the beginning and after a cut: eight for each string of the span
/// beyond the first, the lifted part among them, and once beside other fingers.
#[test]
fn a_barre_is_laid_where_the_hand_begins() {
    let case = Case::new(&["|: E3+A3+C#4+E4.q F#4.q | [1 E3+A3+C#4+F#4.q :| | [2 C#4+F#4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let first = |hand: Posture| items(&q, &[hand]).get(&(0, BarreLay)).copied().unwrap_or(0);
    let chord = || hand(&q, 0, "4-2-1 3-2-1 2-2-1 1-0-0", Some(2));
    assert_eq!(first(chord().laid(2, 4)), 16);
    assert_eq!(first(chord().hinged(1, 4, Some(Hinge::Thin))), 24);
    assert_eq!(first(hand(&q, 0, "4-2-1 3-2-2 2-2-3 1-0-0", Some(2))), 0);
    // Lying on from layer to layer it is laid once, but for the cut.
    let way = [
        chord().hinged(1, 4, Some(Hinge::Thin)),
        hand(&q, 1, "1-2-1", Some(2)).laid(1, 4),
        hand(&q, 2, "4-2-1 3-2-1 2-2-1 1-2-1", Some(2)).laid(1, 4),
        hand(&q, 3, "2-2-1 1-2-1", Some(2)).laid(1, 2),
    ];
    let laid: Vec<(usize, i64)> = items(&q, &way)
        .into_iter()
        .filter(|((_, term), _)| *term == BarreLay)
        .map(|((layer, _), amount)| (layer, amount))
        .collect();
    assert_eq!(laid, [(0, 24), (3, 8)]);
    // F chord with 2 3 4 beside the full barre: 40 and not 80.
    let case = Case::new(&["F2+C3+F3+A3+C4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let full = hand(&q, 0, "6-1-1 5-3-3 4-3-4 3-2-2 2-1-1 1-1-1", Some(1)).laid(1, 6);
    assert_eq!(items(&q, &[full]).get(&(0, BarreLay)), Some(&40));
}

/// Four for each string beyond the first: nothing while it lies on, one string more
/// where it gets wider, and all of it in the next bar.
#[test]
fn a_barre_is_paid_for_once_a_bar() {
    let case = Case::new(&["C4+F4.q C4+F4.q G#3+C4+F4.q C4+F4.q | C4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let two = |layer| hand(&q, layer, "2-1-1 1-1-1", Some(1)).laid(1, 2);
    let three = hand(&q, 2, "3-1-1 2-1-1 1-1-1", Some(1)).laid(1, 3);
    let held: Vec<(usize, i64)> = items(&q, &[two(0), two(1), three, two(3), two(4)])
        .into_iter()
        .filter(|((_, term), _)| *term == BarreHold)
        .map(|((layer, _), amount)| (layer, amount))
        .collect();
    assert_eq!(held, [(0, 4), (2, 4), (4, 4)]);
}

/// C4 sounds on under finger 1, which is laid flat for F4: a string and one more.
#[test]
fn a_fingertip_is_laid_flat() {
    let case = Case::new(&["r.q F4.q", "C4.h"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let tip = || hand(&q, 0, "2-1-1", Some(1));
    let flat = || hand(&q, 1, "1-1-1 | 0=2-1-1", Some(1)).laid(1, 2);
    assert_eq!(charged(&q, &[tip(), flat()], BarreLay), 16);
    assert_eq!(charged(&q, &[tip().laid(1, 2), flat()], BarreLay), 0);
    let again = Case::new(&["C4.q C4+F4.q"]);
    let problem = again.problem();
    let q = Question::new(&problem);
    let struck = hand(&q, 1, "2-1-1 1-1-1", Some(1)).laid(1, 2);
    assert_eq!(charged(&q, &[hand(&q, 0, "2-1-1", Some(1)), struck], BarreLay), 8);
}

#[test]
fn a_hinge_turns() {
    let case = Case::new(&["E3+A3+C#4+E4.q E3+A3+C#4+F#4.q E3+A3+C#4+E4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let open = |layer| {
        let hand = hand(&q, layer, "4-2-1 3-2-1 2-2-1 1-0-0", Some(2));
        hand.hinged(1, 4, Some(Hinge::Thin))
    };
    let laid = |layer| hand(&q, layer, "4-2-1 3-2-1 2-2-1 1-2-1", Some(2)).laid(1, 4);
    // A fourth string is laid besides.
    assert_eq!(moved(&q, &[open(0), laid(1)]), [(BarreHold, 4), (Term::Hinge, 6)]);
    assert_eq!(moved(&q, &[open(0), laid(1), open(2)]), [(Term::Hinge, 6)]);
    assert_eq!(moved(&q, &[laid(0), laid(1)]), []);
}
