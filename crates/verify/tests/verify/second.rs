//! M5: another finger takes over a note that sounds on.

use apoyando_fingering::{
    LeftFinger, LeftFingerSet, Pin, PinAuthor, PinRule, Scope, SecondFinger, Term,
};
use apoyando_music::ToneId;
use apoyando_verify::{Fault, Rule, SecondFault};

use crate::kit::{Case, at, barre, case, held, quarters, score};

/// C4, E4, D4, E4 over a held C3: 4 takes the bass over, and 3 is free for D4.
fn taken_over() -> Case {
    let score = score(&[&["C4/4 E4/4 D4/4 E4/4"], &["C3/1"]]);
    let mut case = case(
        score,
        &[
            held(1, &[(0, 2, 1, 1), (1, 5, 3, 3)]),
            held(1, &[(1, 5, 3, 4), (2, 1, 0, 0)]),
            held(1, &[(1, 5, 3, 4), (3, 2, 3, 3)]),
            held(1, &[(1, 5, 3, 4), (4, 1, 0, 0)]),
        ],
    );
    case.level.substitution = true;
    case.fingering.tones[1].second =
        Some(SecondFinger { finger: LeftFinger::Four, from: quarters(1) });
    case
}

/// What is wrong with the changes of finger, and that nothing else is.
fn faults(case: &Case) -> Vec<SecondFault> {
    let fault = |fault: Fault| match fault {
        Fault::Second { fault, .. } => fault,
        other => panic!("{other}"),
    };
    case.hand_faults().into_iter().map(fault).collect()
}

fn pinned(finger: LeftFinger) -> Pin {
    let rule = PinRule::SecondFingers(LeftFingerSet::NONE.with(Some(finger)));
    Pin { scope: Scope::Tone(ToneId(1)), rule, author: PinAuthor::Author }
}

#[test]
fn a_second_finger_is_clean_where_it_is_taught() {
    let case = taken_over();
    assert_eq!(faults(&case), []);
    assert!(!case.rules().contains(&Rule::Record), "{:?}", case.violations());
}

#[test]
fn a_second_finger_that_is_not_taught_or_not_allowed_is_found() {
    let mut case = taken_over();
    case.level.substitution = false;
    assert_eq!(faults(&case), [SecondFault::NotTaught]);
    let mut case = taken_over();
    case.level.fingers = LeftFingerSet::ALL.without(Some(LeftFinger::Four));
    assert_eq!(faults(&case), [SecondFault::NotAllowed]);
    assert_eq!(faults(&taken_over().pinned(pinned(LeftFinger::Two))), [SecondFault::Pinned]);
}

#[test]
fn a_note_that_is_taken_over_twice_is_found() {
    let mut case = taken_over();
    case.put_in(3, 1, at(5, 3, 2));
    case.move_hand(3, 2);
    assert_eq!(faults(&case), [SecondFault::Twice]);
}

/// Finger 1 is on ②1 until then.
#[test]
fn a_second_finger_that_was_elsewhere_is_found() {
    let mut case = taken_over();
    for layer in 1..4 {
        case.put_in(layer, 1, at(5, 3, 1));
        case.move_hand(layer, 3);
    }
    case.put_in(2, 3, at(2, 3, 2));
    let elsewhere = SecondFault::Elsewhere(at(2, 1, 1).place);
    assert_eq!(faults(&case), [elsewhere]);
}

/// Two basses are taken over at once; one of them alone would do.
#[test]
fn two_at_once_are_found() {
    let two = |second: u8| {
        let score = score(&[&["E4/2 E4/2"], &["C3+F3/1"]]);
        let mut case = case(
            score,
            &[
                held(2, &[(0, 1, 0, 0), (1, 5, 3, 1), (2, 4, 3, 2)]),
                held(1, &[(1, 5, 3, 3), (2, 4, 3, second), (3, 1, 0, 0)]),
            ],
        );
        case.level.substitution = true;
        case
    };
    assert_eq!(faults(&two(4)), [SecondFault::SecondAtOnce]);
    let mut one = two(4);
    one.put_in(0, 2, at(4, 3, 4));
    assert_eq!(faults(&one), []);
}

/// A barre stops F3 and C4; 1 is what would have to go.
#[test]
fn what_a_barre_stops_is_not_taken_over() {
    let score = score(&[&["C4/2 E4/2"], &["F2/1"]]);
    let mut case = case(
        score,
        &[
            held(1, &[(0, 2, 1, 1), (1, 6, 1, 1)]).with(barre(1, 1, 6)),
            held(1, &[(1, 6, 1, 2), (2, 1, 0, 0)]),
        ],
    );
    case.level.substitution = true;
    let found: Vec<Fault> = case.hand_faults();
    let of_barre = |fault: &Fault| matches!(fault, Fault::Second { fault: SecondFault::Barre, .. });
    assert!(found.iter().any(of_barre), "{found:?}");
}

#[test]
fn harmonics_and_ornaments_are_not_taken_over() {
    // C3 on ⑤3 touched an octave above; C3 with a trill to D3, for which 4 is bound.
    for (bass, fret, bound, fault) in [
        ("C4/1a", 3, None, SecondFault::Harmonic),
        ("C3/1t", 3, Some((4, 5, 5)), SecondFault::Ornamented),
    ] {
        let score = score(&[&["E4/2 E4/2"], &[bass]]);
        let bound: Vec<_> = bound.into_iter().collect();
        let mut case = case(
            score,
            &[
                held(2, &[(0, 1, 0, 0), (1, 5, fret, 2)]).bound(&bound),
                held(3, &[(1, 5, fret, 1), (2, 1, 0, 0)]),
            ],
        );
        case.level.substitution = true;
        assert_eq!(faults(&case), [fault]);
    }
}

#[test]
fn a_second_finger_has_its_place_in_the_record() {
    for second in [
        None,
        Some(SecondFinger { finger: LeftFinger::Two, from: quarters(1) }),
        Some(SecondFinger { finger: LeftFinger::Four, from: quarters(2) }),
    ] {
        let mut case = taken_over();
        case.fingering.tones[1].second = second;
        assert!(case.rules().contains(&Rule::Record), "{second:?}");
    }
    let mut case = taken_over();
    case.fingering.tones[0].second =
        Some(SecondFinger { finger: LeftFinger::Four, from: quarters(1) });
    assert!(case.rules().contains(&Rule::Record), "a note that is not taken over");
}

/// A quarter at 72 lasts 833 ms.
#[test]
fn a_change_costs_its_value() {
    assert_eq!(taken_over().cost_of(Term::Substitute), 20);
    assert_eq!(taken_over().cost_of(Term::Unchanged), 0);
    assert_eq!(taken_over().pinned(pinned(LeftFinger::Four)).cost_of(Term::Unchanged), 0);
}

/// Finger 4 is asked for. Kept by 3 to the end, that is charged on the last move; let go
/// before, there.
#[test]
fn a_change_that_is_asked_for_and_not_made_is_charged_once() {
    let mut kept = taken_over().pinned(pinned(LeftFinger::Four));
    kept.put_in(1, 1, at(5, 3, 3));
    kept.put_in(2, 1, at(5, 3, 3));
    kept.put_in(3, 1, at(5, 3, 3));
    kept.put_in(2, 3, at(2, 3, 4));
    kept.fingering.tones[1].second = None;
    assert_eq!(faults(&kept), []);
    let charged = |case: &Case| -> Vec<(usize, i64)> {
        let bill = case.bill().into_iter().filter(|(_, term, _)| *term == Term::Unchanged);
        bill.map(|(layer, _, amount)| (layer, amount)).collect()
    };
    assert_eq!(charged(&kept), [(3, 240)]);
    for layer in 2..4 {
        kept.fingering.postures[layer].sounding.retain(|(tone, _)| tone.0 != 1);
    }
    // The open E4 of the last layer leaves the hand idle.
    kept.fingering.postures[3].idle = true;
    assert_eq!(charged(&kept), [(2, 240)]);
    kept.level.substitution = false;
    assert_eq!(charged(&kept), [], "nobody asks for what is not taught");
}

/// Finger 2 stays behind 3 on ⑤ and goes along it into its place: that guides the shift.
#[test]
fn a_finger_that_stays_may_take_over() {
    let score = score(&[&["E4/4 C4/4 E4/4 E4/4"], &["B2/4 C3/2."]]);
    let held_by_two = |stays: bool| {
        let second = held(1, &[(2, 2, 1, 1), (3, 5, 3, 3)]);
        let mut case = case(
            score.clone(),
            &[
                held(1, &[(0, 1, 0, 0), (1, 5, 2, 2)]),
                if stays { second.staying(&[(2, 5, 2)]) } else { second },
                held(2, &[(3, 5, 3, 2), (4, 1, 0, 0)]),
                held(2, &[(3, 5, 3, 2), (5, 1, 0, 0)]),
            ],
        );
        case.level.substitution = true;
        case
    };
    assert_eq!(faults(&held_by_two(true)), []);
    assert!(held_by_two(true).cost_of(Term::Ease) < 0, "finger 2 guides the shift");
    assert_eq!(held_by_two(false).cost_of(Term::Ease), 0, "no finger is where it was");
}
