//! Section 5: what is played joined, and what it costs if it is not.

use apoyando_fingering::Term;

use super::kit::{Case, charged, hand, moved};
use crate::grip::Posture;
use crate::holding::is_joined;
use crate::question::Question;

fn joined(
    line: &str,
    s: &str,
    n: &str,
    change: impl Fn(Posture, Posture) -> (Posture, Posture),
) -> (bool, i64) {
    let case = Case::new(&[line]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let (s, n) = change(hand(&q, 0, s, Some(1)), hand(&q, 1, n, Some(1)));
    (is_joined(&q, &s, &n, 0), charged(&q, &[s, n], Term::Join))
}

fn as_they_are(s: Posture, n: Posture) -> (Posture, Posture) {
    (s, n)
}

const YES: (bool, i64) = (true, 0);
const NO: (bool, i64) = (false, 240);

#[test]
fn hammering_on_takes_another_finger_on_the_string() {
    assert_eq!(joined("F4.q( G4.q)", "1-1-1", "1-3-3", as_they_are), YES);
    assert_eq!(joined("F4.q( F#4.q)", "1-1-1", "1-2-1", as_they_are), NO);
    assert_eq!(joined("F4.q( G4.q)", "1-1-1", "2-8-3", as_they_are), NO);
    assert_eq!(joined("E4.q( F4.q)", "1-0-0", "1-1-1", as_they_are), YES);
    assert_eq!(joined("F4.q( G4.q)", "x", "1-3-3", as_they_are), NO);
    assert_eq!(joined("F4.q( G4.q)", "1-1-1", "x", as_they_are), (false, 0));
    let unknown = |mut s: Posture, n: Posture| {
        s.position = None;
        (s, n)
    };
    assert_eq!(joined("E4.q( F4.q)", "1-0-0", "1-1-1", unknown), YES);
    let shifted = |s: Posture, mut n: Posture| {
        n.position = Some(2);
        (s, n)
    };
    assert_eq!(joined("F4.q( G4.q)", "1-1-1", "1-3-2", shifted), NO);
    let away = |s: Posture, n: Posture| (s, n.going(2));
    assert_eq!(joined("F4.q( A4.q)", "1-1-1", "1-5-3", away), NO);
    assert_eq!(joined("F4.q G4.q", "1-1-1", "1-3-3", as_they_are), (false, 0));
}

#[test]
fn pulling_off_needs_a_finger_that_waits() {
    assert_eq!(joined("F4.q( E4.q)", "1-1-1", "1-0-0", as_they_are), YES);
    assert_eq!(joined("G4.q( F4.q)", "1-3-3", "1-1-1", as_they_are), NO);
    let waits = |s: Posture, n: Posture| (s.staying(1, 1, 1), n);
    assert_eq!(joined("G4.q( F4.q)", "1-3-3", "1-1-1", waits), YES);
    let elsewhere = |s: Posture, n: Posture| (s.staying(1, 2, 1), n);
    assert_eq!(joined("G4.q( F4.q)", "1-3-3", "1-1-1", elsewhere), NO);
    assert_eq!(joined("G4.q( F4.q)", "1-3-3", "1-1-2", waits), NO);
    // A finger bound by a mordent waits as well.
    let case = Case::new(&["G4.qm( F4.q)"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let s = hand(&q, 0, "1-3-3", Some(1)).binding(&q, 1, 1, 1);
    assert!(is_joined(&q, &s, &hand(&q, 1, "1-1-1", Some(1)), 0));
}

#[test]
fn a_glissando_is_one_finger_wherever_the_hand_is() {
    assert_eq!(joined("F4.q< A4.q>", "1-1-1", "1-5-1", as_they_are), YES);
    assert_eq!(joined("F4.q< A4.q>", "1-1-1", "1-5-4", as_they_are), NO);
    assert_eq!(joined("F4.q< A4.q>", "1-1-1", "2-10-1", as_they_are), NO);
    assert_eq!(joined("E4.q< A4.q>", "1-0-0", "1-5-1", as_they_are), NO);
    let shifted = |s: Posture, mut n: Posture| {
        n.position = Some(5);
        (s, n)
    };
    assert_eq!(joined("F4.q< A4.q>", "1-1-1", "1-5-1", shifted), YES);
}

/// From 3 to 4 or back a slur is weak, a glissando has one finger.
#[test]
fn slurs_of_3_and_4_are_weak() {
    let case = Case::new(&["G4.q( G#4.q)"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let to = |s: &str, n: &str| {
        let way = [hand(&q, 0, s, Some(1)), hand(&q, 1, n, Some(1))];
        charged(&q, &way, Term::JoinWeak)
    };
    assert_eq!(to("1-3-3", "1-4-4"), 6);
    assert_eq!(to("1-3-2", "1-4-4"), 0);
    assert_eq!(to("2-8-3", "1-4-4"), 0, "not joined at all");
}

/// F stemmed both ways outlasts the slur: G is plucked on another string while it
/// sounds, or on its string and cuts it.
#[test]
fn only_what_ends_there_has_to_be_joined() {
    let case = Case::new(&["F4.q( G4.q)", "F4.h"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    assert_eq!(q.wanted[1], [0]);
    let f = hand(&q, 0, "1-1-1", Some(1));
    let apart = [f.clone(), hand(&q, 1, "3-12-4 | 0=1-1-1", Some(1))];
    assert_eq!(charged(&q, &apart, Term::Join), 0);
    let on = [f, hand(&q, 1, "1-3-3", Some(1))];
    assert_eq!(moved(&q, &on), [(Term::Land, 1), (Term::CutMelody, 120)]);
    assert!(!is_joined(&q, &on[0], &on[1], 0));
}

/// What a harmonic leads to is plucked, and so is a harmonic.
#[test]
fn harmonics_are_not_joined() {
    assert_eq!(joined("F5.qa( G4.q)", "1-1-1", "1-3-3", as_they_are), NO);
    assert_eq!(joined("F4.q( G5.qa)", "1-1-1", "1-3-3", as_they_are), NO);
}
