//! Section 5: what is let go or no longer rings is charged, at the usual prices. Without a mark a
//! quarter lasts 833 ms (hurry 1), an eighth 416 ms (2), a sixteenth 208 ms (3).

use apoyando_fingering::Term;

use super::kit::{Case, charged, hand};
use crate::grip::Posture;
use crate::question::Question;

use Term::{CutBass, CutInner, CutMelody, Ring};

/// A half note let go at its middle: 120, 60 or 30 by its role; at its last
/// quarter 15 % of that.
#[test]
fn what_is_let_go_is_cut() {
    let case = Case::new(&["E4.h. F4.q", "E2+G2.h. r.q", "r.q C4.q D4.q r.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    // Of three voices the third is that of the basses.
    let first = hand(&q, 0, "6-0-0 6-3-3 1-0-0", Some(1));
    let n = |kept: &str| hand(&q, 1, &format!("2-1-1 | {kept}"), Some(1));
    let cut = |n: Posture| {
        let way = [first.clone(), n];
        [CutMelody, CutBass, CutInner].map(|term| charged(&q, &way, term))
    };
    assert_eq!(cut(n("0=6-0-0 1=6-3-3 2=1-0-0")), [0, 0, 0]);
    assert_eq!(cut(n("0=6-0-0 1=6-3-3")), [120, 0, 0]);
    assert_eq!(cut(n("1=6-3-3 2=1-0-0")), [0, 0, 30]);
    assert_eq!(cut(n("2=1-0-0")), [0, 0, 60]);
    let case = Case::new(&["C4.q D4.q E4.q F4.q", "A2.w"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let a = |layer: usize, struck: &str| hand(&q, layer, &format!("{struck} | 0=5-0-0"), Some(1));
    let first = hand(&q, 0, "5-0-0 2-1-1", Some(1));
    let second = a(1, "2-3-3");
    let gone = |layer: usize, struck: &str| hand(&q, layer, struck, Some(1));
    assert_eq!(charged(&q, &[first.clone(), gone(1, "2-3-3")], CutBass), 60);
    let late = [first.clone(), second.clone(), a(2, "1-0-0"), gone(3, "1-1-1")];
    assert_eq!(charged(&q, &late, CutBass), 9, "60 · 15 / 100");
    let left_out = hand(&q, 0, "x 2-1-1", Some(1));
    assert_eq!(charged(&q, &[left_out, gone(1, "2-3-3")], CutBass), 0);
}

/// C E G broken: C rings on after its eighth; let go, it costs 16, and its cut as
/// well if it is cut.
#[test]
fn what_should_ring_on_is_missed() {
    let case = Case::new(&["C3.q~ C3.e r.e", "r.e E3.e G3.e C4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let c = hand(&q, 0, "5-3-3", Some(1));
    let second = |kept: &str| hand(&q, 1, &format!("4-2-2 | {kept}"), Some(1));
    let charges = |n: Posture, term| charged(&q, &[c.clone(), n], term);
    assert_eq!([CutMelody, Ring].map(|term| charges(second(""), term)), [120, 16]);
    assert_eq!([CutMelody, Ring].map(|term| charges(second("0=5-3-3"), term)), [0, 0]);
    let held = [
        c.clone(),
        second("0=5-3-3"),
        hand(&q, 2, "3-0-0 | 0=5-3-3 1=4-2-2", Some(1)),
        hand(&q, 3, "2-1-1 | 1=4-2-2 2=3-0-0", Some(1)),
    ];
    assert_eq!([CutMelody, Ring].map(|term| charged(&q, &held, term)), [0, 16]);
}
