//! The right hand against a brute force that tries every sequence of hands.
//!
//! The brute force is written from section 6 of `docs/model.md` with nothing of
//! the search: it lists every hand of every layer, throws out what the rules
//! throw out, and prices every sequence of the rest. The cheapest, and of equals
//! the smallest, must be the search's own, with its price; so must the price of
//! every alternative. The checker, a third reading, must agree.

mod alike;
mod brute;
#[path = "../dice/mod.rs"]
mod dice;
#[path = "../brute/heard.rs"]
#[allow(dead_code)]
mod heard;
mod joined;
mod puzzle;

use apoyando_fingering::{Fingering, RightFinger};
use apoyando_fretboard::StringNumber;
use apoyando_hands::finger;
use apoyando_hands::right::{RightHand, choices, pluck};

use brute::{Brute, Hand};
use dice::Dice;
use puzzle::Puzzle;

/// What came up in the puzzles, so that none of it goes untested.
#[derive(Default, PartialEq, Eq, Debug)]
struct Seen {
    left_out: bool,
    joined: bool,
    passed_over: bool,
    awry: bool,
    contradicted: bool,
    thumb_over_three: bool,
    brushed_by_pins: bool,
    crossed: bool,
    alternating: bool,
    excluded: bool,
    dearer: bool,
    cut: bool,
    seam: bool,
    back_to_itself: bool,
    two_seams_over_one: bool,
    otherwise_for_a_seam: bool,
}

impl Seen {
    const fn everything() -> Self {
        Self {
            left_out: true,
            joined: true,
            passed_over: true,
            awry: true,
            contradicted: true,
            thumb_over_three: true,
            brushed_by_pins: true,
            crossed: true,
            alternating: true,
            excluded: true,
            dearer: true,
            cut: true,
            seam: true,
            back_to_itself: true,
            two_seams_over_one: true,
            otherwise_for_a_seam: true,
        }
    }

    fn note(&mut self, brute: &Brute<'_>, way: &[Hand]) {
        self.passed_over |= way.len() < brute.heard.layers.len();
        for (layer, hand) in brute.layers.iter().zip(way) {
            let thumbs = hand.iter().filter(|f| **f == RightFinger::P).count();
            self.awry |= layer.awry && hand.len() > 4;
            self.contradicted |= layer.contradicted;
            self.thumb_over_three |= !layer.awry && hand.len() == 6 && thumbs == 3;
            self.brushed_by_pins |= !layer.awry && hand.len() < 5 && thumbs > 1;
        }
        let line = way.iter().filter(|hand| hand.len() == 1).count();
        self.alternating |= line >= 5;
        let nexts = &brute.nexts;
        let goes_on = |layer: usize| nexts.iter().any(|n| (n.layer, n.next) == (layer, layer + 1));
        self.cut |= (1..way.len()).any(|layer| !goes_on(layer - 1));
        let seams: Vec<_> = nexts.iter().filter(|next| next.is_seam()).collect();
        self.seam |= !seams.is_empty();
        self.back_to_itself |= seams.iter().any(|seam| seam.layer == seam.next);
        let over = |at: usize| {
            let spans = |seam: &&&brute::Next| {
                seam.layer.min(seam.next) < at && at < seam.layer.max(seam.next)
            };
            seams.iter().filter(spans).count()
        };
        self.two_seams_over_one |= (0..way.len()).any(|layer| over(layer) > 1);
        let written: Vec<_> = nexts.iter().filter(|next| !next.is_seam()).copied().collect();
        self.otherwise_for_a_seam |= !seams.is_empty() && brute.best_over(&written).1 != way;
    }
}

/// What came up of basses in single lines.
#[derive(Default, PartialEq, Eq, Debug)]
struct Basses {
    low: bool,
    too_fast: bool,
    deep: bool,
    long_scale: bool,
    quick_scale: bool,
    rising_scale: bool,
    slow_steps: bool,
    by_a_finger: bool,
    again: bool,
}

impl Basses {
    const fn everything() -> Self {
        Self {
            low: true,
            too_fast: true,
            deep: true,
            long_scale: true,
            quick_scale: true,
            rising_scale: true,
            slow_steps: true,
            by_a_finger: true,
            again: true,
        }
    }

    fn note(&mut self, brute: &Brute<'_>, hand: &RightHand, way: &[Hand]) {
        use apoyando_fingering::Term;
        let basses: Vec<usize> = (0..way.len()).filter(|l| brute.is_lone_bass(*l)).collect();
        self.low |= brute.lies_low() && basses.len() > 3;
        self.deep |= !brute.lies_low() && !basses.is_empty();
        let low = brute.layers.iter().filter(|layer| layer.struck.iter().all(|s| s.string >= 4));
        self.too_fast |= 2 * low.count() > way.len() + 2 && !brute.lies_low();
        for (layer, hand) in brute.layers.iter().zip(way) {
            let (first, last) = brute.run_of(layer.at);
            let up = (first..=last).any(|at| brute.goes_up(at));
            let scale = brute.is_of_a_scale(layer.at);
            self.long_scale |= last - first >= 7 && brute.lies_low();
            self.quick_scale |= scale && last - first < 7 && !up;
            self.rising_scale |= scale && up && brute.lies_low();
            self.slow_steps |= !scale && last - first >= 4;
            self.by_a_finger |=
                brute.is_lone_bass(brute.number(layer.at)) && hand[0] != RightFinger::P;
        }
        self.again |= hand.items.iter().any(|item| item.term == Term::RhAgain);
    }
}

/// What the search says, in the brute force's words.
fn said(brute: &Brute<'_>, hand: &RightHand) -> Vec<Hand> {
    let of_layer = |layer: &brute::Layer| {
        layer
            .struck
            .iter()
            .map(|s| hand.tones[brute.heard.sounds[s.sound].tones[0].0 as usize].unwrap().0)
            .collect()
    };
    brute.layers.iter().map(of_layer).collect()
}

/// Solves and compares; gives what the search found.
fn compare(seed: u64, puzzle: &Puzzle, left: &Fingering, seen: &mut Seen) -> RightHand {
    let problem = puzzle.problem();
    let hand = pluck(&problem, &puzzle.plan, left).expect("a right hand");
    let mut brute = Brute::new(&problem, &puzzle.plan, left);
    let (price, way) = brute.best();
    seen.note(&brute, &way);
    seen.crossed |= hand.items.iter().any(|i| i.term == apoyando_fingering::Term::RhCross);
    assert_eq!(said(&brute, &hand), way, "seed {seed}");
    assert_eq!(hand.effort, price as u64, "seed {seed}: {way:?}");
    let sum: i64 = hand.items.iter().map(|item| item.amount).sum();
    assert_eq!(sum, i64::from(price), "seed {seed}: {:?}", hand.items);
    let mut struck_tones = 0;
    for (layer, hand_here) in brute.layers.iter().zip(&way).enumerate() {
        let (beat, fingers) = hand_here;
        for (struck, finger) in beat.struck.iter().zip(fingers) {
            let stroke = brute.stroke(layer, *struck, *finger);
            for tone in &brute.heard.sounds[struck.sound].tones {
                struck_tones += 1;
                assert_eq!(hand.tones[tone.0 as usize], Some((*finger, stroke)), "seed {seed}");
            }
        }
    }
    assert_eq!(hand.tones.iter().flatten().count(), struck_tones, "seed {seed}");
    let awry = brute.layers.iter().filter(|layer| layer.awry).count();
    let named = |rule| hand.findings.iter().filter(|f| f.rule == rule).count();
    assert_eq!(named("right-hand-out-of-order"), awry, "seed {seed}: {:?}", hand.findings);
    if seed.is_multiple_of(4) {
        alternatives(seed, puzzle, left, &mut brute, seen);
    }
    hand
}

/// Every finger on every struck sound.
fn alternatives(
    seed: u64,
    puzzle: &Puzzle,
    left: &Fingering,
    brute: &mut Brute<'_>,
    seen: &mut Seen,
) {
    let found = choices(&puzzle.problem(), &puzzle.plan, left).expect("choices");
    let mut next = found.iter();
    let best = brute.best().0;
    for layer in 0..brute.layers.len() {
        for struck in brute.layers[layer].struck.clone() {
            let said = next.next().expect("choices of every struck sound");
            assert_eq!(said.tones, brute.heard.sounds[struck.sound].tones, "seed {seed}");
            for finger in RightFinger::ALL {
                let free = brute.allowed(layer, struck.sound, None).contains(&finger);
                brute.obey(layer, Some((struck.sound, finger)));
                let there = free && !brute.layers[layer].awry;
                let price = there.then(|| brute.best().0 as u64);
                assert_eq!(said.of(finger), price, "seed {seed}, layer {layer}, {finger}");
                seen.excluded |= price.is_none();
                seen.dearer |= price.is_some_and(|price| price > best as u64);
            }
            brute.obey(layer, None);
        }
    }
    assert!(next.next().is_none(), "seed {seed}");
}

/// The same sounds on any strings, one to a string in each layer, any of them
/// joined: what a left hand could never do asks more of the right one.
fn scattered(seed: u64, left: &Fingering) -> Fingering {
    let mut dice = Dice(seed ^ 0xabcd);
    let mut left = left.clone();
    for posture in 0..left.postures.len() {
        let mut strings: Vec<u8> = (1..=6).collect();
        let mut places: Vec<(apoyando_fretboard::Place, StringNumber, bool)> = Vec::new();
        for (tone, placement) in left.postures[posture].sounding.clone() {
            let own = &mut left.tones[tone.0 as usize];
            let struck = own.left == Some(placement) && struck_at(&left.postures, posture, tone);
            if !struck {
                continue;
            }
            let old = placement.place;
            let (string, joined) = match places.iter().find(|(place, ..)| *place == old) {
                Some((_, string, joined)) => (*string, *joined),
                None => {
                    let pick = strings.remove(dice.below(strings.len() as u64) as usize);
                    let string = StringNumber::new(pick).unwrap();
                    let joined = dice.one_in(6);
                    places.push((old, string, joined));
                    (string, joined)
                }
            };
            own.joined = joined;
            if let Some(left) = &mut own.left {
                left.place.string = string;
            }
        }
    }
    left
}

fn struck_at(
    postures: &[apoyando_fingering::Posture],
    posture: usize,
    tone: apoyando_music::ToneId,
) -> bool {
    let first = postures.iter().position(|p| p.sounding.iter().any(|(own, _)| *own == tone));
    first == Some(posture)
}

#[test]
fn no_sequence_of_hands_is_cheaper_nor_smaller() {
    let mut seen = Seen::default();
    let mut compared = 0;
    for seed in 0..3000 {
        let puzzle = Puzzle::new(seed);
        let problem = puzzle.problem();
        let solution = finger(&problem, &puzzle.plan).expect("a fingering");
        seen.left_out |= solution.fingering.price.escapes > 0;
        seen.joined |= solution.fingering.tones.iter().any(|tone| tone.joined);
        let hand = compare(seed, &puzzle, &solution.fingering, &mut seen);
        if solution.plucked_alike.is_empty() {
            assert_eq!(solution.right_effort, hand.effort, "seed {seed}");
            assert_eq!(solution.right_items, hand.items, "seed {seed}");
        }
        let faults = apoyando_verify::verify_right(&problem, &puzzle.plan, &solution.fingering);
        assert!(faults.is_empty(), "seed {seed}: {faults:#?}");
        let faults: Vec<_> = apoyando_verify::verify(&problem, &solution.fingering)
            .into_iter()
            .filter(|violation| !violation.rule().is_authors())
            .collect();
        assert!(faults.is_empty(), "seed {seed}: {faults:#?}");
        let price = apoyando_verify::right_price(&problem, &puzzle.plan, &solution.fingering);
        assert_eq!(price, Ok(solution.right_effort), "seed {seed}");
        compare(seed, &puzzle, &scattered(seed, &solution.fingering), &mut seen);
        compared += 2;
    }
    assert_eq!(compared, 6000);
    assert_eq!(seen, Seen::everything(), "the puzzles no longer ask for all of this");
}

#[test]
fn basses_of_single_lines_are_found_as_the_model_says() {
    let (mut seen, mut basses) = (Seen::default(), Basses::default());
    for seed in 0..2000 {
        let puzzle = Puzzle::walking(seed);
        let problem = puzzle.problem();
        let solution = finger(&problem, &puzzle.plan).expect("a fingering");
        let hand = compare(seed, &puzzle, &solution.fingering, &mut seen);
        let brute = Brute::new(&problem, &puzzle.plan, &solution.fingering);
        basses.note(&brute, &hand, &brute.best().1);
        let faults = apoyando_verify::verify_right(&problem, &puzzle.plan, &solution.fingering);
        assert!(faults.is_empty(), "seed {seed}: {faults:#?}");
        let price = apoyando_verify::right_price(&problem, &puzzle.plan, &solution.fingering);
        assert_eq!(price, Ok(solution.right_effort), "seed {seed}");
    }
    assert_eq!(basses, Basses::everything(), "the puzzles no longer ask for all of this");
}
