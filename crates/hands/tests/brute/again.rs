//! A problem solved again under other pins against one solved from the start.

use apoyando_fingering::{Pins, Problem};
use apoyando_hands::{RightPlan, solve};

use crate::puzzle::Puzzle;

/// The alternatives come from both tables, so that they show whether any of
/// either was left as it was.
#[test]
fn solving_again_is_solving() {
    let mut changed = 0;
    for seed in 2000..2300 {
        let (puzzle, other) = (Puzzle::new(seed), Puzzle::new(seed + 1));
        let before = puzzle.problem();
        let none = Pins::default();
        let mut solved = solve(&before, &RightPlan::default()).expect("a fingering");
        let price = solved.solution().fingering.price;
        // To other pins, to none, and back.
        for pins in [other.problem().pins, &none, before.pins] {
            solved = solved.repin(pins).expect("a fingering");
            let fresh =
                solve(&Problem { pins, ..before }, &RightPlan::default()).expect("the same");
            assert_eq!(solved.solution(), fresh.solution(), "seed {seed}");
            assert_eq!(solved.all_alternatives(), fresh.all_alternatives(), "seed {seed}");
            changed += usize::from(fresh.solution().fingering.price != price);
        }
        assert_eq!(solved.solution().fingering.price, price, "seed {seed}");
    }
    assert!(changed > 100, "pins that change nothing prove nothing: {changed}");
}
