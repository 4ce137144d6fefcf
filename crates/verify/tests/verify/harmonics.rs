//! Natural and artificial harmonics.

use apoyando_fingering::{LeftFinger, Term};
use apoyando_verify::{Fault, Rule, StayFault};

use crate::kit::{Case, Stopped, at, barre, case, held, quarters, score};

/// The faults of one note by itself; in the position of its finger's fret.
fn faults(note: &str, placed: Stopped) -> Vec<Rule> {
    let position = (placed.2 + 1).saturating_sub(placed.3).max(1);
    let sounding = [placed];
    case(score(&[&[note]]), &[held(position, &sounding)])
        .rules_of_the_hand()
        .into_iter()
        .filter(|rule| *rule != Rule::RightHand)
        .collect()
}

/// Partials of a string: the octave at 12, the twelfth at 7 and 19, the double
/// octave at 5 (and 24), the seventeenth at 4, 9 and 16. Physics of strings.
#[test]
fn natural_harmonics_lie_where_strings_give_them() {
    assert_eq!(faults("E5/1o", (0, 1, 12, 1)), []);
    for fret in [7, 19] {
        assert_eq!(faults("B5/1o", (0, 1, fret, 1)), [], "{fret}");
    }
    assert_eq!(faults("B5/1o", (0, 2, 5, 1)), []);
    for fret in [4, 9, 16] {
        assert_eq!(faults("B5/1o", (0, 3, fret, 1)), [], "{fret}");
    }
    // Stopped there they would sound otherwise; E5 is stopped on ①12 too.
    assert_eq!(faults("B5/1", (0, 1, 7, 1)), [Rule::P1]);
    assert_eq!(faults("E5/1", (0, 1, 12, 1)), []);
    assert_eq!(faults("E5/1o", (0, 2, 17, 1)), [Rule::P1]);
    assert_eq!(faults("E6/1o", (0, 1, 24, 4)), [Rule::P1], "a guitar has 19 frets");
    assert_eq!(faults("E5/1o", (0, 1, 12, 0)), [Rule::P3]);
}

/// F5 by touching an octave above the stopped F4.
#[test]
fn artificial_harmonics_are_stopped_an_octave_below() {
    assert_eq!(faults("F5/1a", (0, 1, 1, 1)), []);
    assert_eq!(faults("F5/1a", (0, 1, 13, 1)), [Rule::P1]);
    assert_eq!(faults("E5/1a", (0, 1, 0, 0)), [Rule::P1]);
    assert_eq!(faults("E5/1a", (0, 2, 5, 1)), []);
    let wrong = case(score(&[&["E5/1o"]]), &[held(5, &[(0, 2, 5, 1)])]);
    let said = wrong.violations()[0].to_string();
    assert_eq!(said, "bar 1, beat 1: ②5 gives key 83 as a harmonic, wanted is key 76 [P1]");
}

/// E5 at the twelfth fret rings on as an open string over a bass. On paper: 2 for
/// the finger, 21 for XII. A harmonic is no open string of the melody.
fn ringing() -> Case {
    let postures = [held(12, &[(0, 1, 12, 1)]), held(12, &[(0, 1, 0, 0), (1, 5, 0, 0)])];
    Case::new(score(&[&["E5/1o"], &["r/2 A2/2"]]), &postures, "mp", &[])
        .costing(&[(Term::Stop, quarters(0), 2), (Term::Height, quarters(0), 21)])
}

#[test]
fn a_natural_harmonic_is_kept_as_its_open_string() {
    assert_eq!(ringing().violations(), []);
    let mut touched = ringing();
    touched.put_in(1, 0, at(1, 12, 1));
    touched.fingering.postures[1].idle = false;
    assert_eq!(touched.rules_of_the_hand(), [Rule::M1]);
    let mut elsewhere = ringing();
    elsewhere.put_in(1, 0, at(2, 0, 0));
    assert_eq!(elsewhere.rules_of_the_hand(), [Rule::M1]);
}

/// A finger may not stay where it touched, nor behind a string that is touched.
#[test]
fn fingers_do_not_stay_on_harmonics() {
    // B5 on ②5, then 1 would stay there as a guide under the open A2.
    let stays = case(
        score(&[&["B5/4o A2/4 C4/4 r/4"]]),
        &[
            held(5, &[(0, 2, 5, 1)]),
            held(5, &[(1, 5, 0, 0)]).staying(&[(1, 2, 5)]),
            held(5, &[(2, 3, 5, 1)]),
        ],
    );
    let fault = Fault::StaysUncalled { finger: LeftFinger::One, place: at(2, 5, 1).place };
    assert_eq!(stays.hand_faults(), [fault]);
    let behind = case(
        score(&[&["E4/4 E5/4o E4/4 r/4"]]),
        &[
            held(5, &[(0, 2, 5, 1)]),
            held(5, &[(1, 1, 12, 4)]).staying(&[(1, 1, 5)]),
            held(5, &[(2, 2, 5, 1)]),
        ],
    );
    let touched = at(1, 12, 4).place;
    assert!(behind.hand_faults().iter().any(|fault| matches!(
        fault,
        Fault::Stays { fault: StayFault::NotInFront(place), .. } if *place == touched
    )));
}

/// Finger 1 touches one string; two need two fingers, under a barre or not.
#[test]
fn one_finger_touches_one_string() {
    let two = |placed: &[Stopped]| case(score(&[&["B4+E5/1o"]]), &[held(12, placed)]);
    assert_eq!(two(&[(0, 2, 12, 1), (1, 1, 12, 2)]).hand_faults(), []);
    let one = two(&[(0, 2, 12, 1), (1, 1, 12, 1)]);
    assert!(matches!(one.hand_faults()[..], [Fault::FingerInTwoPlaces { .. }]));
    let laid = case(
        score(&[&["B4+E5/1o"]]),
        &[held(12, &[(0, 2, 12, 1), (1, 1, 12, 1)]).with(barre(12, 1, 2))],
    );
    assert!(laid.rules_of_the_hand().contains(&Rule::P4));
}
