//! The right hand.

use apoyando_fingering::{
    Pin, PinAuthor, PinRule, RightFinger, RightFingerSet, RightPlan, Scope, Stroke,
};
use apoyando_music::{BarIndex, ToneId};
use apoyando_verify::{Fault, Rule, right_price, verify_right};

use crate::kit::{Case, full_barre, held, score, tune};

fn faults(right: &str) -> Vec<Fault> {
    let mut case = full_barre();
    for (tone, letter) in case.fingering.tones.iter_mut().zip(right.chars()) {
        tone.right = RightFinger::from_letter(letter);
    }
    case.violations().into_iter().map(|violation| violation.fault).collect()
}

#[test]
fn a_sound_without_a_finger_is_found() {
    assert_eq!(faults("pp-ima"), [Fault::NoRightFinger(ToneId(2))]);
}

#[test]
fn the_thumb_alone_brushes_and_only_big_chords() {
    use RightFinger::{I, P};
    assert_eq!(faults("pppima"), []);
    assert_eq!(faults("ppiima"), [Fault::RightFingerTwice(I)]);
    assert_eq!(faults("ppppia"), [Fault::RightFingerTwice(P)]);
    let mut two = tune();
    two.fingering.tones[0].right = Some(P);
    assert!(two.violations().iter().any(|v| v.fault == Fault::RightFingerTwice(P)));
}

#[test]
fn fingers_against_the_order_of_the_strings_are_found() {
    use RightFinger::{I, M};
    assert_eq!(faults("pppmia"), [Fault::RightFingersOutOfOrder { thick: M, thin: I }]);
}

#[test]
fn pins_of_the_right_hand_hold() {
    let only = |finger| PinRule::RightFingers([finger].into_iter().collect());
    let pin = |scope, finger| Pin { scope, rule: only(finger), author: PinAuthor::Author };
    let tone = Scope::Tone(ToneId(2));
    assert_eq!(tune().pinned(pin(tone, RightFinger::I)).violations(), []);
    assert_eq!(tune().pinned(pin(tone, RightFinger::A)).rules(), [Rule::RightHand]);
    let bars = Scope::Bars { first: BarIndex(1), last: BarIndex(1) };
    let rule = PinRule::RightFingers(RightFingerSet::ALL.without(RightFinger::P));
    let case = tune().pinned(Pin { scope: bars, rule, author: PinAuthor::Author });
    let found: Vec<Fault> = case.violations().into_iter().map(|v| v.fault).collect();
    assert!(matches!(found[..], [Fault::RightPin { finger: RightFinger::P, .. }]));
}

/// C4 slurred to D4, then E4: what is plucked is C4 and E4, on ② and ①.
fn slurred(right: &str) -> Case {
    let postures = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 3, 3)]), held(1, &[(2, 1, 0, 0)])];
    let mut case = Case::new(score(&[&["(C4/4 D4/4) E4/4 r/4"]]), &postures, right, &[]);
    case.fingering.tones[1].joined = true;
    for tone in [0, 2] {
        case.fingering.tones[tone].stroke = Some(Stroke::Rest);
    }
    case.effort.rh_repeat = 60;
    case.effort.rh_first = 12;
    case.effort.rh_cross = 3;
    case
}

fn right_faults(case: &Case, plan: &RightPlan) -> Vec<Fault> {
    let found = verify_right(&case.problem(), plan, &case.fingering);
    found.into_iter().map(|violation| violation.fault).collect()
}

/// i and m alternate over the joined D4; i twice is a repeat, though a whole
/// bar of it passes. To begin with m costs 12, and i after it crosses to the
/// thinner string for 3.
#[test]
fn a_joined_note_is_passed_over() {
    let plan = RightPlan::default();
    let price = |right| right_price(&slurred(right).problem(), &plan, &slurred(right).fingering);
    assert_eq!(price("i-m"), Ok(0));
    assert_eq!(price("i-i"), Ok(60));
    assert_eq!(price("m-i"), Ok(15));
    assert_eq!(right_faults(&slurred("imi"), &plan), [Fault::PluckedJoined(ToneId(1))]);
    assert_eq!(right_faults(&slurred("--m"), &plan), [Fault::NoRightFinger(ToneId(0))]);
}

/// A pattern gives its fingers to what is plucked.
#[test]
fn a_pattern_passes_over_joined_notes() {
    let plan = RightPlan::pattern(vec![RightFinger::M, RightFinger::I]);
    assert_eq!(right_faults(&slurred("m-i"), &plan), []);
    let found = vec![RightFinger::M];
    assert_eq!(right_faults(&slurred("m-m"), &plan), [Fault::RightPlan { found }]);
}

/// The first layer of the part is the first in which something is plucked.
#[test]
fn the_right_hand_begins_with_what_is_plucked() {
    let first = |right| {
        let postures = [held(0, &[]), held(1, &[(1, 2, 3, 3)])];
        let mut case = Case::new(score(&[&["C4/2 D4/2"]]), &postures, right, &[]);
        case.fingering.tones[1].stroke = Some(Stroke::Rest);
        case.effort.rh_first = 12;
        right_price(&case.problem(), &RightPlan::default(), &case.fingering)
    };
    assert_eq!(first("-i"), Ok(0));
    assert_eq!(first("-m"), Ok(12));
}

/// D4 is joined over a bass struck with it, which is plucked alone and is no
/// line: two basses by p, and the D4 of the left hand.
#[test]
fn what_is_plucked_beside_a_joined_note_is_alone() {
    let postures = [held(1, &[(0, 2, 1, 1), (1, 5, 0, 0)]), held(1, &[(2, 2, 3, 3), (3, 4, 0, 0)])];
    let case = |right| {
        let music = score(&[&["(C4/4 D4/4) r/2"], &["A2/4 D3/4 r/2"]]);
        let mut case = Case::new(music, &postures, right, &[]);
        case.fingering.tones[2].joined = true;
        for tone in [0, 1, 3] {
            case.fingering.tones[tone].stroke = Some(Stroke::Free);
        }
        case.effort.rh_thumb_repeat = 3;
        case.effort.rh_home = 2;
        case.effort.rh_bass = 30;
        case
    };
    let price = |right| {
        let case = case(right);
        right_price(&case.problem(), &RightPlan::default(), &case.fingering)
    };
    // m on ② and p on ⑤ are at home; p twice within a second costs 3.
    assert_eq!(price("mp-p"), Ok(3));
    // A bass by i costs 30, and no way from home, as it is alone.
    assert_eq!(price("mp-i"), Ok(30));
    let found = right_faults(&case("mpap"), &RightPlan::default());
    assert_eq!(found, [Fault::PluckedJoined(ToneId(2))]);
}

/// F2 C3 D3 A2 on ⑥ ⑤ ④ ⑤ at leisure: basses of a single line, for the thumb. A finger on
/// one costs 30, and there is no line to begin; with p of the pair they are a line, and p
/// begins it.
#[test]
fn basses_of_a_single_line_are_for_the_thumb() {
    let postures = [
        held(1, &[(0, 6, 1, 1)]),
        held(1, &[(1, 5, 3, 3)]),
        held(1, &[(2, 4, 0, 0)]),
        held(1, &[(3, 5, 0, 0)]),
    ];
    let price = |right, plan: &RightPlan| {
        let mut case = Case::new(score(&[&["F2/4 C3/4 D3/4 A2/4"]]), &postures, right, &[]);
        for (tone, letter) in case.fingering.tones.iter_mut().zip(right.chars()) {
            let rest = plan.pair.contains(&RightFinger::P) && letter != 'p';
            tone.stroke = Some(if rest { Stroke::Rest } else { Stroke::Free });
        }
        case.effort.rh_bass = 30;
        case.effort.rh_first = 12;
        case.effort.rh_thumb_line = 100;
        (case.effort.rh_thumb_repeat, case.effort.rh_tangle) = (0, 0);
        right_price(&case.problem(), plan, &case.fingering)
    };
    let usual = RightPlan::default();
    assert_eq!(price("pppp", &usual), Ok(0));
    assert_eq!(price("ppip", &usual), Ok(30));
    let with_p = RightPlan { pair: [RightFinger::P, RightFinger::I], ..RightPlan::default() };
    assert_eq!(price("pipi", &with_p), Ok(0));
}

/// Half notes over a bass, more than a second apart: one finger twice costs 4, and two
/// that take turns nothing but the way of one from home.
#[test]
fn a_finger_that_plays_again_in_time_costs_little() {
    let postures = [held(1, &[(0, 2, 1, 1), (1, 5, 0, 0)]), held(1, &[(2, 2, 1, 1), (3, 4, 0, 0)])];
    let price = |right| {
        let music = score(&[&["C4/2 C4/2"], &["A2/2 D3/2"]]);
        let mut case = Case::new(music, &postures, right, &[]);
        for tone in &mut case.fingering.tones {
            tone.stroke = Some(Stroke::Free);
        }
        case.effort.rh_again = 4;
        case.effort.rh_home = 1;
        right_price(&case.problem(), &RightPlan::default(), &case.fingering)
    };
    assert_eq!(price("mpmp"), Ok(4));
    assert_eq!(price("mpip"), Ok(1));
}
