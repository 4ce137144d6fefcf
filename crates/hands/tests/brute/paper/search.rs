//! Questions so small that the best fingering is seen, asked of the search.

use apoyando_fingering::PinRule;
use apoyando_fretboard::StringNumber;
use apoyando_hands::{RightPlan, finger};

use super::kit::Case;
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
