//! Voices held against each other.

use apoyando_fingering::{Level, PinRule, Position};
use apoyando_music::Metre;

use crate::staff::{over_all, positions, score, shown, solve};

/// Common practice, no source: C and G7 broken over held basses, 3 and 1, then
/// 2 and 1; nothing is let go.
#[test]
fn broken_chords_over_held_basses() {
    let upper = "r/8 G3/8 C4/8 E4/8 C4/8 G3/8 r/4 | r/8 G3/8 B3/8 F4/8 B3/8 G3/8 r/4";
    let score = score(Metre::COMMON, None, &[upper, "C3/2. r/4 | B2/2. r/4"]);
    for level in [Level::open(), Level::first()] {
        let solution = solve(&score, &level, &[]);
        assert_eq!(shown(&solution), "⑤3/3 ③0 ②1/1 ①0 ②1/1 ③0 ⑤2/2 ③0 ②0 ①1/1 ②0 ③0");
        assert!(solution.fingering.let_go.is_empty());
    }
}

/// Common practice, no source: over a held bass the notes of a line go from finger to
/// finger, the lower finger on the thicker string, as A minor is held.
#[test]
fn a_line_over_a_bass_goes_from_finger_to_finger() {
    let given = score(Metre::COMMON, None, &["C4/4 A3/4 E3/2", "A2/1"]);
    let solution = solve(&given, &Level::first(), &[]);
    assert_eq!(shown(&solution), "②1/1 ⑤0 ③2/3 ④2/2");
}

/// Common practice, no source: over C on ⑤ a B flat on ③ is played by 4 beside 3, as C7 is
/// held; 3 is not left waiting there, to be crossed by 4.
#[test]
fn a_finger_that_waits_is_not_crossed() {
    let upper = "A3/2 C4/4 A3/4 | Bb3/4 D4/4 Bb3/2 | C4/8 Bb3/8 A3/4 A3/8 G3/8 G3/4";
    let given = score(Metre::COMMON, Some(88), &[upper, "D3/2 D3/2 | G2/2 G2/2 | C3/2 C3/2"]);
    let first = PinRule::Positions(Position::new(1).into_iter().collect());
    for level in [Level::open(), Level::first()] {
        let solution = solve(&given, &level, &[over_all(first)]);
        let all = shown(&solution);
        assert!(all.contains(" ②1/1 ⑤3/3 ③3/4 "), "{all}");
    }
}

/// Common practice, no source: over a bass on fret 3 a line on frets 3 and 4 of the thin
/// strings is played by 3 and 4, the bass by 2; the hand stays in I.
#[test]
fn a_bass_on_the_third_fret_leaves_3_and_4_to_the_line() {
    let begins = |upper: &str, bass: &str, as_played: &str| {
        let voices = [&format!("{upper} | C4/4 A3/4 F3/2"), &format!("{bass}/1 | F2/1")];
        let given = score(Metre::COMMON, None, &voices.map(String::as_str));
        let solution = solve(&given, &Level::open(), &[]);
        assert!(shown(&solution).starts_with(as_played), "{}", shown(&solution));
        assert_eq!(positions(&solution), ["I"]);
    };
    begins("Bb3/4 D4/4 Bb3/4 D4/4", "G2", "③3/3 ⑥3/2 ②3/4 ③3/3 ②3/4 ");
    begins("D4/4 Eb4/4 D4/4 Bb3/4", "C3", "②3/3 ⑤3/2 ②4/4 ②3/4 ③3/3 ");
}

/// Common practice, no source: Am, Dm and E broken are the chords' shapes, each
/// taken whole.
#[test]
fn broken_chords_are_taken_as_shapes() {
    let upper = "r/8 E3/8 A3/8 C4/8 E4/8 C4/8 A3/8 E3/8 | r/8 A3/8 D4/8 F4/8 D4/8 A3/8 r/4 \
                 | r/8 E3/8 G#3/8 B3/8 E4/8 B3/8 G#3/8 E3/8";
    let score = score(Metre::COMMON, None, &[upper, "A2/1 | D3/2. r/4 | E2/1"]);
    let solution = solve(&score, &Level::first(), &[]);
    assert_eq!(
        shown(&solution),
        "⑤0 ④2/2 ③2/3 ②1/1 ①0 ②1/1 ③2/3 ④2/2 \
         ④0 ③2/2 ②3/3 ①1/1 ②3/3 ③2/2 \
         ⑥0 ④2/2 ③1/1 ②0 ①0 ②0 ③1/1 ④2/2"
    );
    assert!(solution.fingering.let_go.is_empty());
}

/// The bass on ⑥ is held to its end while the line moves over it.
#[test]
fn a_held_bass_stays_under_a_moving_line() {
    let score = score(
        Metre::COMMON,
        None,
        &["r/8 B3/8 C4/8 D4/8 E4/8 D4/8 C4/8 B3/8 | C4/1", "G2/1 | C3/1"],
    );
    let solution = solve(&score, &Level::first(), &[]);
    assert_eq!(positions(&solution), ["I"]);
    assert!(solution.fingering.let_go.is_empty());
    assert!(solution.findings.is_empty());
    let bass = &solution.fingering.postures[0].sounding;
    assert!(solution.fingering.postures[1..8].iter().all(|p| p.sounding.contains(&bass[0])));
}

/// An open bass rings on by itself.
#[test]
fn an_open_bass_costs_nothing_to_hold() {
    let score = score(Metre::COMMON, None, &["E4/8 G4/8 F4/8 D4/8 E4/8 C4/8 D4/8 B3/8", "A2/1"]);
    let solution = solve(&score, &Level::first(), &[]);
    assert_eq!(shown(&solution), "①0 ⑤0 ①3/3 ①1/1 ②3/3 ①0 ②1/1 ②3/3 ②0");
    assert!(solution.fingering.let_go.is_empty());
}

/// A bass that no finger can hold is let go, and it is said.
#[test]
fn a_bass_that_cannot_be_held_is_named() {
    let score = score(Metre::COMMON, None, &["r/2 A4/4 C5/4", "F2/1"]);
    let solution = solve(&score, &Level::first(), &[]);
    assert_eq!(solution.fingering.let_go.len(), 1);
    let finding = solution.findings.iter().find(|f| f.rule == "bass-cut-short").expect("a finding");
    assert!(finding.message.contains("F2 (written F3)"), "{}", finding.message);
    assert_eq!(finding.place.bar, Some(1));
}
