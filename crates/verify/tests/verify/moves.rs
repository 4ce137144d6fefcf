//! M1 and M2; changes of finger are in `second`.

use apoyando_verify::Rule;

use crate::kit::{at, tune};

/// E3, held, wanders from ④2 to ⑤7.
#[test]
fn a_held_sound_that_moves_is_found() {
    let mut case = tune();
    case.put_in(3, 4, at(5, 7, 4));
    assert!(case.rules_of_the_hand().contains(&Rule::M1));
    let mut case = tune();
    case.put_in(3, 4, at(4, 2, 1));
    assert_eq!(case.rules_of_the_hand(), [Rule::M5], "another finger, and it is not taught");
}

/// The bass of the second bar falls silent on its second beat and sounds again
/// on its third.
#[test]
fn a_sound_that_comes_back_is_found() {
    let mut case = tune();
    case.fingering.postures[5].sounding.retain(|(tone, _)| tone.0 != 7);
    assert_eq!(case.rules_of_the_hand(), [Rule::M2]);
}

/// The bass of the second bar is not struck, but sounds on its second beat.
#[test]
fn a_sound_left_out_that_is_kept_is_found() {
    let mut case = tune();
    case.fingering.postures[4].sounding.retain(|(tone, _)| tone.0 != 7);
    assert!(case.rules_of_the_hand().contains(&Rule::M2));
}
