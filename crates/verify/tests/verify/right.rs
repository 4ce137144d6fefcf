//! The right hand.

use apoyando_fingering::{Pin, PinAuthor, PinRule, RightFinger, RightFingerSet, Scope};
use apoyando_music::{BarIndex, ToneId};
use apoyando_verify::{Fault, Rule};

use crate::kit::{full_barre, tune};

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
