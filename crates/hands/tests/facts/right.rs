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

fn pinned(tone: u32, fingers: &[RightFinger]) -> Pin {
    Pin {
        scope: Scope::Tone(ToneId(tone)),
        rule: PinRule::RightFingers(fingers.iter().copied().collect()),
        author: PinAuthor::Author,
    }
}

fn rules(solution: &Solution) -> Vec<&str> {
    solution.findings.iter().map(|finding| finding.rule).collect()
}

/// Common practice, no source: a slow arpeggio over the basses repeats the
/// thumb, a fast one brings the fingers down; over all six strings the thumb
/// glides over its three at any speed.
#[test]
fn the_thumb_repeats_in_slow_arpeggios() {
    let four = |quarters| {
        let score = score(Metre::new(2, 4), Some(quarters), &["A2/8 E3/8 A3/8 C4/8"]);
        letters(&solve(&score, &Level::first(), &[]))
    };
    assert_eq!(four(60), "ppim");
    assert_eq!(four(220), "pima");
    let six = |quarters| {
        let notes = "G2/8 B2/8 D3/8 G3/8 B3/8 G4/8";
        let score = score(Metre::new(3, 4), Some(quarters), &[notes]);
        letters(&solve(&score, &Level::first(), &[]))
    };
    assert_eq!([six(60), six(132), six(220)], ["pppima"; 3]);
}

/// Common practice, no source: in a fast turn between two strings m and a do not
/// alternate; slowly each finger keeps its own string.
#[test]
fn fast_turns_between_two_strings_leave_the_ring_finger_out() {
    let play = |quarters| {
        let notes = "C4/8 E4/8 C4/8 E4/8 C4/8 E4/8 G3/8 E4/8";
        let score = score(Metre::COMMON, Some(quarters), &[notes]);
        letters(&solve(&score, &Level::first(), &[]))
    };
    assert!(play(60).starts_with("mamama"), "{}", play(60));
    let fast = play(160);
    assert!(!fast.contains("mam") && !fast.contains("ama"), "{fast}");
    assert!(fast.as_bytes().windows(2).all(|w| w[0] != w[1]), "{fast}");
}

/// What pins make impossible is done with as little disorder as can be: the
/// thumb is not sent over to the thinnest string.
#[test]
fn pins_that_break_the_order_break_no_more_of_it() {
    use RightFinger::{A, I, P};
    let chord = score(Metre::COMMON, None, &["E2+B2+E3+G#3+B3+E4/1"]);
    let play = |pins: &[Pin]| solve(&chord, &Level::first(), pins);
    let first = play(&[pinned(0, &[I])]);
    assert_eq!(letters(&first), "ipppma");
    assert_eq!(rules(&first), ["right-hand-out-of-order"]);
    assert_eq!(letters(&play(&[pinned(0, &[A]), pinned(5, &[I])])), "appppi");
    // p on the thinnest string can only be the thumb over all of them.
    let strum = play(&[pinned(5, &[P])]);
    assert_eq!((letters(&strum).as_str(), rules(&strum).len()), ("pppppp", 0));
}

/// Common practice, no source: p p i m in a chord of four is a brush.
#[test]
fn a_smaller_chord_is_brushed_where_pins_ask_for_it() {
    use RightFinger::P;
    let score = score(Metre::COMMON, None, &["C3+E3+G3+C4/1"]);
    let solution = solve(&score, &Level::first(), &[pinned(1, &[P])]);
    assert_eq!((letters(&solution).as_str(), rules(&solution).len()), ("ppim", 0));
    let any_but_p = [RightFinger::I, RightFinger::M, RightFinger::A];
    let solution = solve(&score, &Level::first(), &[pinned(0, &any_but_p)]);
    assert_eq!(rules(&solution), ["right-hand-out-of-order"], "four sounds, three fingers");
}

#[test]
fn pins_that_leave_no_finger_are_named_and_pass() {
    use RightFinger::{I, P};
    let score = score(Metre::COMMON, None, &["E4/4 F4/4 G4/4 E4/4"]);
    let over_bars =
        super::staff::over_all(PinRule::RightFingers(RightFingerSet::ALL.without(P).without(I)));
    let solution = solve(&score, &Level::first(), &[pinned(0, &[P, I]), over_bars]);
    assert_eq!(rules(&solution), ["pins-contradict"]);
    let found = letters(&solution);
    assert!(found[1..].chars().all(|c| c == 'm' || c == 'a'), "{found}");
}

/// Rest stroke for the melody and free stroke for the rest, as the author says;
/// a voice goes before the part.
#[test]
fn strokes_are_given_by_voice() {
    let score = score(Metre::COMMON, None, &["E4/4 G4/4 E4/4 D4/4", "C3/2 G3/2"]);
    let tones = score.tones(apoyando_music::PartIndex(0));
    let plan = RightPlan {
        stroke: Some(Stroke::Free),
        voice_strokes: vec![(apoyando_music::VoiceNumber(1), Stroke::Rest)],
        ..RightPlan::default()
    };
    let solution = solve_with(&score, &Level::first(), &[], &plan);
    for (tone, played) in tones.as_slice().iter().zip(&solution.fingering.tones) {
        let wanted = if tone.voice.0 == 1 { Stroke::Rest } else { Stroke::Free };
        assert_eq!(played.stroke, Some(wanted), "{}", tone.pitch);
    }
}

/// p i in turn is asked for like any pair.
#[test]
fn the_thumb_may_be_of_the_pair() {
    let score = score(Metre::COMMON, None, &["E3/8 F3/8 G3/8 A3/8 B3/8 A3/8 G3/8 F3/8"]);
    let plan = RightPlan { pair: [RightFinger::P, RightFinger::I], ..RightPlan::default() };
    let found = letters(&solve_with(&score, &Level::first(), &[], &plan));
    assert!(found.as_bytes().windows(2).all(|w| w[0] != w[1]), "{found}");
    assert!(found.chars().all(|c| c == 'p' || c == 'i'), "{found}");
}

/// Common practice, no source: where a broken chord has two notes on its bass
/// string, the thumb plays both; i does not go before it there.
#[test]
fn no_finger_goes_before_the_thumb_on_its_string() {
    let notes = "A2/8 C3/8 E3/8 A3/8 E3/8 C3/8";
    for quarters in [60, 90] {
        let score = score(Metre::new(3, 4), Some(quarters), &[notes]);
        assert_eq!(letters(&solve(&score, &Level::first(), &[])), "ppimip");
    }
}

/// Common practice, no source: a figure over the basses keeps one order of fingers,
/// whichever strings it lies on, and a slow one is no line.
#[test]
fn a_figure_that_comes_again_is_plucked_as_before() {
    let bars = ["A2/8 E3/8 A3/8 A2/8 E3/8 A3/8", "E2/8 B2/8 E3/8 E2/8 B2/8 E3/8"];
    let score = score(Metre::new(6, 8), Some(80), &[&bars.join(" | ")]);
    assert_eq!(letters(&solve(&score, &Level::first(), &[])), "pimpimpimpim");
}

/// Common practice, no source: an accompaniment in quarters has the thumb on its
/// basses; a tune that goes through a chord has i and m.
#[test]
fn a_slow_accompaniment_is_no_line() {
    let slow = score(Metre::COMMON, None, &["C3/4 E3/4 G3/4 E3/4"]);
    assert_eq!(letters(&solve(&slow, &Level::first(), &[])), "pimi");
    // It stands on its bass.
    let high = score(Metre::COMMON, Some(80), &["E3/4 C3/4 G3/4 C3/4"]);
    assert_eq!(letters(&solve(&high, &Level::first(), &[])), "ppip");
    let tune = score(Metre::COMMON, None, &["G3/4 B3/4 D4/4 B3/4"]);
    assert_eq!(letters(&solve(&tune, &Level::first(), &[])), "imim");
}

/// Common practice, no source: ④ ⑤ ⑥ are the thumb's in an accompaniment that leaps
/// about; what lies on ③ there is for the fingers.
#[test]
fn the_thumb_has_the_basses_of_a_second_guitar() {
    let notes =
        "F2/4 C3/4 D3/4 F3/4 | E3/4 C3/4 D3/4 B2/4 | G2/4 D3/4 C3/4 E3/4 | C3/4 G3/4 F3/4 E3/4";
    let second = score(Metre::COMMON, Some(88), &[notes]);
    let found = letters(&solve(&second, &Level::first(), &[]));
    assert_eq!(found, "ppppppppppppp".to_owned() + "ipp");
    let plan = RightPlan { pair: [RightFinger::P, RightFinger::I], ..RightPlan::default() };
    let found = letters(&solve_with(&second, &Level::first(), &[], &plan));
    assert!(found.contains('i'), "p of the pair takes turns: {found}");
    let fast = score(Metre::COMMON, Some(176), &[&notes.replace("/4", "/8")]);
    assert!(!letters(&solve(&fast, &Level::first(), &[])).contains("ppp"));
}

/// Common practice, no source: a scale is alternated wherever it lies; a bass that goes
/// a few steps at leisure is none.
#[test]
fn scales_on_the_basses_alternate() {
    let play = |quarters, notes: &str| {
        letters(&solve(&score(Metre::COMMON, Some(quarters), &[notes]), &Level::first(), &[]))
    };
    let octave = "F2/4 G2/4 A2/4 Bb2/4 C3/4 D3/4 E3/4 F3/4";
    assert_eq!(play(60, octave), "imimimim");
    let bass = "C3/4 B2/4 A2/4 G2/4 F2/2 C3/2";
    assert_eq!(play(60, bass), "pppppp");
    let quick = "C3/8 B2/8 A2/8 G2/8 F2/2 C3/2";
    assert!(play(120, quick).starts_with("imimi"), "{}", play(120, quick));
}

/// Common practice, no source: a bass written into a tune is plucked by the thumb.
#[test]
fn a_bass_deep_below_its_tune_is_for_the_thumb() {
    let tune = "C4/4 D4/4 A2/4 C4/4 | B3/4 A3/4 E2/4 E3/4 | B3/2 C4/2";
    let found = letters(&solve(&score(Metre::COMMON, Some(96), &[tune]), &Level::first(), &[]));
    assert_eq!(found.match_indices('p').map(|(at, _)| at).collect::<Vec<_>>(), [2, 6], "{found}");
}

/// Common practice, no source: over a bass, too, the fingers take turns in a slow tune.
#[test]
fn a_slow_tune_over_a_bass_alternates() {
    let score = score(Metre::COMMON, Some(60), &["E4/2 E4/2 E4/2 E4/2", "C3/2 C3/2 A2/2 A2/2"]);
    let found: String = letters(&solve(&score, &Level::first(), &[])).replace('p', "");
    assert_eq!(found.len(), 4);
    assert!(found.as_bytes().windows(2).all(|w| w[0] != w[1]), "{found}");
}
