//! P1 to P8.

use apoyando_fingering::{LeftFinger, Position};
use apoyando_fretboard::Place;
use apoyando_verify::{Fault, Rule};

use crate::kit::{Case, at, barre, full_barre, held, score, tune};

#[test]
fn fingerings_without_a_fault_are_clean() {
    assert_eq!(tune().violations(), []);
    assert_eq!(full_barre().violations(), []);
}

#[test]
fn a_wrong_fret_is_found() {
    let mut case = tune();
    case.put(2, at(2, 2, 3));
    assert_eq!(case.rules(), [Rule::P1, Rule::Price]);
    let first = &case.violations()[0];
    assert_eq!(first.to_string(), "bar 1, beat 2: ②2 sounds key 61, wanted is key 62 [P1]");
    // D4 on ⑥ would lie at fret 22.
    let mut case = tune();
    case.put(2, at(6, 22, 3));
    assert!(case.rules().contains(&Rule::P1));
}

#[test]
fn two_sounds_on_a_string_are_found() {
    let mut case = tune();
    case.put(5, at(4, 7, 4));
    case.move_hand(3, 4);
    assert!(case.violations().iter().any(|v| matches!(v.fault, Fault::StringShared { .. })));
    assert!(case.rules().contains(&Rule::P2));
}

#[test]
fn a_finger_on_an_open_string_and_a_fret_without_are_found() {
    let mut case = tune();
    case.put(3, at(1, 0, 1));
    assert!(case.rules_of_the_hand().contains(&Rule::P3));
    let mut case = tune();
    case.put(2, at(2, 3, 0));
    assert!(case.rules_of_the_hand().contains(&Rule::P3));
}

#[test]
fn a_finger_in_two_places_is_found() {
    let mut case = tune();
    case.put(5, at(3, 2, 2));
    assert_eq!(case.rules_of_the_hand(), [Rule::P4]);
}

#[test]
fn fingers_out_of_order_are_found() {
    let mut case = tune();
    case.put(1, at(6, 5, 1));
    case.put(0, at(2, 1, 2));
    let rules = case.rules_of_the_hand();
    assert!(rules.contains(&Rule::P5), "{rules:?}");

    // On the fret of a barre no other finger can stand.
    let postures = [held(1, &[(0, 3, 1, 2), (1, 2, 1, 1), (2, 1, 1, 1)]).with(barre(1, 1, 2))];
    let case = Case::new(score(&[&["G#3+C4+F4/1"]]), &postures, "ima", &[]);
    assert_eq!(case.rules_of_the_hand(), [Rule::P5]);
}

/// 1 on ②1 and 4 on ⑥5: along the neck x(5) − x(1) = 163.0 − 36.5 mm, and
/// 4 strings of slant against the hand, 8.0 mm: 134.5 mm for a reach of 125.
#[test]
fn a_reach_too_wide_is_found() {
    let mut case = tune();
    case.put(1, at(6, 5, 4));
    assert_eq!(case.rules_of_the_hand(), [Rule::P6]);
}

/// The same frets the other way round lie in the turn of the hand: 1 on ⑥1
/// and 4 on ②5 are 126.5 − 8.0 mm along and about 37 across, 124.2 in all.
#[test]
fn the_hand_turns_towards_the_thin_strings() {
    let score = score(&[&["F2+E4/1"]]);
    let case = Case::new(score, &[held(1, &[(0, 6, 1, 1), (1, 2, 5, 4)])], "pi", &[]);
    assert_eq!(case.rules_of_the_hand(), []);
}

#[test]
fn a_finger_too_far_from_its_fret_is_found() {
    let mut case = tune();
    case.move_hand(1, 7);
    assert_eq!(case.rules_of_the_hand(), [Rule::P7]);
    let wanted = Fault::OutOfPosition {
        finger: LeftFinger::Three,
        place: Place { ..at(2, 3, 3).place },
        position: Position::new(7).unwrap(),
    };
    assert_eq!(case.violations()[0].fault, wanted);
}

#[test]
fn fingers_down_without_a_position_are_found() {
    let mut case = tune();
    case.move_hand(0, 0);
    assert_eq!(case.rules_of_the_hand(), [Rule::P8]);
}
