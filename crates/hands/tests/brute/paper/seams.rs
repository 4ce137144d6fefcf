//! Section 5: what a seam is charged, at the usual prices.

use apoyando_fingering::Term;

use super::kit::{Case, hand};
use crate::grip::Posture;
use crate::question::Question;
use crate::whole::items;

/// What is charged for moving the hand, by layer.
fn shifts(q: &Question<'_>, way: &[Posture]) -> Vec<(usize, i64, i64, i64)> {
    let items = items(q, way);
    let of = |layer, term| items.get(&(layer, term)).copied().unwrap_or(0);
    (0..way.len())
        .map(|layer| {
            let each = [Term::Shift, Term::Travel, Term::Ease].map(|term| of(layer, term));
            (layer, each[0], each[1], each[2])
        })
        .filter(|(_, shift, ..)| *shift > 0)
        .collect()
}

/// |: F A :| with A in V: on to A a shift, and back to F another, over 833 ms: 32
/// and 25, less 40 % for the end of the phrase: 22.
#[test]
fn the_way_back_is_a_move_of_its_own() {
    let case = Case::new(&["|: F4.q A4.q :|"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = |position| [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "1-5-4", Some(position))];
    assert_eq!(shifts(&q, &way(2)), [(0, 32, 6, -15), (1, 32, 6, 0)]);
    assert_eq!(shifts(&q, &way(1)), []);
    let way = [hand(&q, 0, "2-6-4", Some(1)), hand(&q, 1, "1-5-2", Some(5))];
    assert_eq!(shifts(&q, &way), [(0, 32, 25, -22), (1, 32, 25, 0)]);
    // Two thirds of the time are there: hurry 2 back and forth in eighths.
    let case = Case::new(&["|: F4.e A4.e :|"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "2-6-4", Some(1)), hand(&q, 1, "1-5-2", Some(5))];
    assert_eq!(shifts(&q, &way), [(0, 64, 50, -45), (1, 64, 50, 0)]);
}

/// Idle on one side it is eased by 30 more; it is charged where the hand first
/// comes down.
#[test]
fn an_open_string_eases_the_way_back() {
    let case = Case::new(&["|: E4.q F4.q A4.q :|"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way =
        [hand(&q, 0, "1-0-0", None), hand(&q, 1, "1-1-1", Some(1)), hand(&q, 2, "1-5-1", Some(5))];
    // Back from V to I: 57 · 70 / 100; on with finger 1 as a guide: 30 %.
    assert_eq!(shifts(&q, &way), [(1, 32, 25, -39), (2, 32, 25, -17)]);
    // The last is idle and stands in I: nothing to do.
    let case = Case::new(&["|: F4.q E4.q :|"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "1-0-0", Some(1))];
    assert_eq!(shifts(&q, &way), []);
    let way = [hand(&q, 0, "x", None), hand(&q, 1, "1-0-0", None)];
    assert_eq!(shifts(&q, &way), []);
}

/// |: F |1 A :|2 C: F and A in I, C in V. From A to C there is a cut and no move;
/// from F to C a seam, and from A back to F one that costs nothing.
#[test]
fn over_a_cut_nothing_moves() {
    let case = Case::new(&["|: F4.q | [1 G4.q :| | [2 C5.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [
        hand(&q, 0, "1-1-1", Some(1)),
        hand(&q, 1, "1-3-3", Some(1)),
        hand(&q, 2, "1-8-4", Some(5)),
    ];
    assert_eq!(shifts(&q, &way), [(2, 32, 25, -22)]);
    let last: Vec<Term> =
        items(&q, &way).keys().filter(|(layer, _)| *layer == 2).map(|(_, term)| *term).collect();
    // Neither does finger 4 land.
    use Term::{Ease, Finger4, Height, Shift, Stop, Travel};
    assert_eq!(last, [Stop, Finger4, Height, Shift, Travel, Ease]);
}
