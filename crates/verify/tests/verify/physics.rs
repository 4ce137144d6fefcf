//! P1 to P8.

use apoyando_fingering::{LeftFinger, Position};
use apoyando_fretboard::Place;
use apoyando_verify::{BarreFault, Fault, Rule};

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

/// Each fault of a barre by itself.
#[test]
fn faults_of_a_barre_are_found() {
    let faults = |case: &Case| -> Vec<BarreFault> {
        let fault = |violation: apoyando_verify::Violation| match violation.fault {
            Fault::Barre { fault, .. } => Some(fault),
            _ => None,
        };
        case.violations().into_iter().filter_map(fault).collect()
    };
    let with = |barre| {
        let mut case = full_barre();
        case.fingering.postures[0].barre = Some(barre);
        case
    };
    let place = |string, fret| at(string, fret, 1).place;
    assert_eq!(faults(&full_barre()), []);
    assert_eq!(faults(&with(barre(1, 3, 3))), [BarreFault::NoBarre]);
    assert_eq!(faults(&with(barre(1, 6, 1))), [BarreFault::NoBarre]);
    assert_eq!(faults(&with(barre(0, 1, 6))), [BarreFault::NoBarre]);
    assert_eq!(faults(&with(barre(1, 1, 7))), [BarreFault::NoBarre]);
    let outside = faults(&with(barre(1, 1, 2)));
    assert_eq!(outside, [BarreFault::FingerOneOutside(place(6, 1))]);
    let mut other = full_barre();
    other.put(4, at(2, 1, 2));
    assert!(faults(&other).contains(&BarreFault::NotByFingerOne(place(2, 1))));
    assert!(faults(&with(barre(2, 1, 6))).contains(&BarreFault::Below(place(1, 1))));

    // A barre that stops nothing, and one wider than what is to come.
    let tune = |barre| {
        let mut case = tune();
        case.fingering.postures[0].barre = Some(barre);
        case
    };
    assert!(faults(&tune(barre(1, 2, 3))).contains(&BarreFault::IdleEnd(crate::kit::string(3))));
    let mut idle = tune(barre(1, 1, 2));
    idle.put(0, at(2, 1, 2));
    assert!(faults(&idle).contains(&BarreFault::StopsNothing));
}

/// A barre laid early: F4 comes in the ninth layer, the last that counts.
#[test]
fn a_barre_may_be_laid_eight_layers_early() {
    let early = |rests: &str| {
        let bar = format!("C4/8 {rests} F4/8 r/8");
        let score = score(&[&[&bar, "r/1"]]);
        let layers = score.tones(apoyando_music::PartIndex(0)).len();
        let mut postures = vec![held(1, &[(0, 2, 1, 1)]).with(barre(1, 1, 2))];
        let rest: Vec<[(u32, u8, u8, u8); 1]> = (1..layers as u32)
            .map(|tone| {
                [if tone as usize == layers - 1 { (tone, 1, 1, 1) } else { (tone, 3, 0, 0) }]
            })
            .collect();
        postures.extend(rest.iter().map(|sounding| held(1, sounding)));
        let case = Case::new(score, &postures, "", &[]);
        let idle = |v: &apoyando_verify::Violation| {
            matches!(v.fault, Fault::Barre { fault: BarreFault::IdleEnd(_), .. })
        };
        case.violations().iter().filter(|v| idle(v)).count()
    };
    assert_eq!(early("G3/16 G3/16 G3/16 G3/16 G3/16 G3/16 G3/16 r/16 r/8"), 0);
    assert_eq!(early("G3/16 G3/16 G3/16 G3/16 G3/16 G3/16 G3/16 G3/16 r/8"), 1);
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
