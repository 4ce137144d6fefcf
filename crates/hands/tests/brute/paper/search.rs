//! Questions so small that the best fingering is seen, asked of the search.

use apoyando_fingering::{HouseStyle, LeftFinger, LeftFingerSet, PinRule, Position};
use apoyando_fretboard::StringNumber;
use apoyando_hands::{RightPlan, finger};

use super::kit::Case;
use super::postures::shape;
use crate::compare::{differences, price_of};
use crate::question::Question;
use crate::walk::Walk;

/// A trill on the open ① binds finger 1 to F; F is struck two layers on, on ①,
/// and cuts the E. Let go a layer before, at the same price, the E leaves its string to finger 1,
/// which stays and need not land.
#[test]
fn an_open_string_is_let_go_for_the_finger_of_its_ornament() {
    let first = [StringNumber::FIRST].into_iter().collect();
    let case = Case::new(&["E4.wt", "r.q A3.q F4.h"]).pinned(2, PinRule::Strings(first));
    let problem = case.problem();
    let q = Question::new(&problem);
    let answer = finger(&problem, &RightPlan::default()).expect("a fingering").fingering;
    let best = Walk::new(&q, price_of(&answer)).best().expect("one as cheap");
    assert_eq!(differences(&q, &answer, &best), Vec::<String>::new());
    assert_eq!(best.way[1].stays[0], Some((1, 1)));
}

/// D by 3 in I, where the house has 4 unless what sounds is its shape with 3: the open E
/// in the bass is not of the shape and is let go for 60, where the house costs 200.
#[test]
fn an_open_string_is_let_go_for_a_shape_of_the_house() {
    let three = [None, Some(LeftFinger::One), Some(LeftFinger::Two), Some(LeftFinger::Four)]
        .into_iter()
        .fold(LeftFingerSet::ALL, |set, finger| set.without(finger));
    let mut case = Case::new(&["r.q D4.q", "E2.h"]).pinned(1, PinRule::LeftFingers(three));
    case.house = HouseStyle {
        third_fret: Some(LeftFinger::Four),
        shapes: vec![shape("xxxx3x", [0, 0, 0, 0, 3, 0])],
        ..HouseStyle::NONE
    };
    case.level.positions = Position::new(1).into_iter().collect();
    case.effort.house = 200;
    let problem = case.problem();
    let q = Question::new(&problem);
    let answer = finger(&problem, &RightPlan::default()).expect("a fingering").fingering;
    let best = Walk::new(&q, price_of(&answer)).best().expect("one as cheap");
    assert_eq!(differences(&q, &answer, &best), Vec::<String>::new());
    assert!(best.way[1].kept.is_empty());
}
