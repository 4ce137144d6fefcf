//! The search against a brute force that tries every sequence of postures.
//!
//! The brute force is written from `docs/model.md` with nothing of the search:
//! it lists the postures of each layer in full and follows every sequence of
//! them that the price found by the search does not already rule out. None may
//! be cheaper, and the first of those as cheap must be the search's own, with
//! all that it lists and every item of its price.

mod again;
mod ahead;
mod alternatives;
mod bars;
mod census;
mod chords;
mod clashes;
mod compare;
mod crossing;
#[path = "../dice/mod.rs"]
mod dice;
mod grip;
mod heard;
mod hinges;
mod holding;
mod house;
mod idle;
mod like;
mod listed;
mod lists;
mod moves;
mod music;
#[path = "../facts/on_paper.rs"]
mod on_paper;
mod paper;
mod plain;
mod played;
mod price;
mod puzzle;
mod question;
mod returning;
mod rules;
mod seams;
mod second;
mod stay;
mod steps;
mod strings;
mod ties;
mod told;
mod walk;
mod ways;
mod ways_out;
mod whole;

use apoyando_hands::{RightPlan, finger};
use apoyando_verify::Rule;

use census::Census;
use compare::{by_own_account, differences, price_of};
use puzzle::Puzzle;
use question::Question;
use walk::{NO_BOUND, Walk};
use ways::Best;

/// How many puzzles the search has to answer.
const PUZZLES: u64 = 8000;

/// The best sequence, found without the search: first some fingering, by
/// following the cheapest few from layer to layer, then none that is dearer.
fn best_by_itself(q: &Question<'_>) -> Option<Best> {
    let mut some = Walk::new(q, NO_BOUND);
    some.widest = 30;
    let bound = some.best()?.price;
    Walk::new(q, bound).best()
}

fn compare_with_the_search(seed: u64) {
    let puzzle = Puzzle::new(seed);
    let problem = puzzle.problem();
    let q = Question::new(&problem);
    let answer = finger(&problem, &RightPlan::default()).expect("a fingering").fingering;
    if q.layers() == 0 {
        assert!(answer.postures.is_empty(), "seed {seed}");
        return;
    }
    let Some(best) = Walk::new(&q, price_of(&answer)).best() else {
        let best = best_by_itself(&q).expect("a fingering");
        let account = by_own_account(&q, &answer, &best);
        panic!("seed {seed}: nothing costs as little as {:?}\n{account}", answer.price);
    };
    let differences = differences(&q, &answer, &best);
    assert!(differences.is_empty(), "seed {seed}:\n{}", differences.join("\n"));
}

#[test]
fn no_sequence_of_postures_is_cheaper_nor_smaller() {
    for seed in 0..PUZZLES {
        compare_with_the_search(seed);
    }
}

/// The checker, a third reading, finds nothing against the left hand of
/// the best fingerings.
#[test]
fn the_checker_has_nothing_against_the_best() {
    for seed in 0..PUZZLES / 8 {
        let puzzle = Puzzle::new(seed);
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        let Some(best) = best_by_itself(&q) else { continue };
        let fingering = listed::fingering(&q, &best.way);
        let faults: Vec<_> = apoyando_verify::verify(&problem, &fingering)
            .into_iter()
            .filter(|v| !v.rule().is_authors() && v.rule() != Rule::RightHand)
            .collect();
        assert!(faults.is_empty(), "seed {seed}: {faults:#?}");
    }
}

#[test]
fn everything_in_the_model_comes_up() {
    let mut census = Census::default();
    for seed in 0..PUZZLES / 2 {
        let puzzle = Puzzle::new(seed);
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        let Some(best) = best_by_itself(&q) else { continue };
        assert_eq!(whole::price(&q, &best.way), best.price, "seed {seed}");
        census.note(&q, &best.way);
    }
    println!("{}", census.shown());
    let missing = census.missing();
    assert!(missing.is_empty(), "the puzzles no longer ask for {missing:?}");
}
