//! The right hand.

use apoyando_fingering::{
    Level, Pin, PinAuthor, PinRule, RightFinger, RightFingerSet, Scope, Stroke,
};
use apoyando_hands::{RightPlan, Solution};
use apoyando_music::{BarIndex, Metre, ToneId};

use crate::staff::{score, solve, solve_with};

fn letters(solution: &Solution) -> String {
    solution.fingering.tones.iter().map(|t| t.right.map_or('—', |f| f.letter())).collect()
}

/// Common practice, no source: scales alternate, the same finger twice running
/// is the fault; with rest strokes.
#[test]
fn lines_alternate() {
    let score = score(Metre::COMMON, None, &["C3/8 D3/8 E3/8 F3/8 G3/8 A3/8 B3/8 C4/8"]);
    let solution = solve(&score, &Level::first(), &[]);
    let found = letters(&solution);
    assert!(found == "imimimim" || found == "mimimimi", "{found}");
    assert!(solution.fingering.tones.iter().all(|t| t.stroke == Some(Stroke::Rest)));
    for pair in [[RightFinger::I, RightFinger::A], [RightFinger::A, RightFinger::M]] {
        let plan = RightPlan { pair, ..RightPlan::default() };
        let solution = solve_with(&score, &Level::first(), &[], &plan);
        let found = letters(&solution);
        assert!(found.chars().all(|c| pair.iter().any(|f| f.letter() == c)), "{found}");
        assert!(found.as_bytes().windows(2).all(|w| w[0] != w[1]), "{found}");
    }
}

/// Common practice, no source: a line on one string begins with the first
/// finger of its pair.
#[test]
fn the_pair_begins_with_its_first_finger() {
    let score = score(Metre::COMMON, None, &["E4/4 F4/4 G4/4 E4/4"]);
    assert_eq!(letters(&solve(&score, &Level::first(), &[])), "imim");
    let plan = RightPlan { pair: [RightFinger::M, RightFinger::I], ..RightPlan::default() };
    assert_eq!(letters(&solve_with(&score, &Level::first(), &[], &plan)), "mimi");
}

/// Common practice, no source: p i m a at home over a held bass, free stroke.
#[test]
fn arpeggios_take_the_fingers_at_home() {
    let upper = "r/8 G3/8 C4/8 E4/8 C4/8 G3/8 r/4";
    let score = score(Metre::COMMON, None, &[upper, "C3/2. r/4"]);
    let solution = solve(&score, &Level::first(), &[]);
    assert_eq!(letters(&solution), "pimami");
    assert!(solution.fingering.tones.iter().all(|t| t.stroke == Some(Stroke::Free)));
}

/// Common practice, no source: chords of four by p i m a, of six with the thumb
/// over three strings.
#[test]
fn chords_lie_under_the_fingers() {
    let score = score(Metre::COMMON, None, &["D3+A3+D4+F#4/2 E2+B2+E3+G#3+B3+E4/2"]);
    assert_eq!(letters(&solve(&score, &Level::first(), &[])), "pimapppima");
}

/// Common practice, no source: the thumb plays the basses of a part in two
/// voices, the fingers its melody.
#[test]
fn the_thumb_plays_the_basses() {
    let score = score(Metre::COMMON, None, &["E4/4 G4/4 E4/4 D4/4", "C3/2 G3/2"]);
    let solution = solve(&score, &Level::first(), &[]);
    let tones = score.tones(apoyando_music::PartIndex(0));
    for (tone, played) in tones.as_slice().iter().zip(&solution.fingering.tones) {
        assert_eq!(played.right == Some(RightFinger::P), tone.voice.0 == 2, "{}", tone.pitch);
    }
}

#[test]
fn a_pattern_is_obeyed_and_a_pin_outranks_it() {
    use RightFinger::{A, I, M, P};
    let score = score(Metre::COMMON, None, &["C3/8 G3/8 C4/8 E4/8 C3/8 G3/8 C4/8 E4/8"]);
    let plan = RightPlan::pattern(vec![P, M, I, A]);
    assert_eq!(letters(&solve_with(&score, &Level::first(), &[], &plan)), "pmiapmia");
    let pin = Pin {
        scope: Scope::Tone(ToneId(3)),
        rule: PinRule::RightFingers(RightFingerSet::NONE.with(M)),
        author: PinAuthor::Author,
    };
    assert_eq!(letters(&solve_with(&score, &Level::first(), &[pin], &plan)), "pmimpmia");
    let late =
        apoyando_hands::RightPattern { bars: Some((BarIndex(1), BarIndex(1))), fingers: vec![P] };
    let plan = RightPlan { patterns: vec![late], ..RightPlan::default() };
    assert_eq!(letters(&solve_with(&score, &Level::first(), &[], &plan)), "pimapima");
}
