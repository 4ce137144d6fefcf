//! Open basses that ring into a foreign harmony.

use apoyando_fingering::{Finding, FretSet, Level, Pin, PinAuthor, PinRule, Scope, Severity};
use apoyando_fretboard::Fret;
use apoyando_hands::{Solution, Thumb, ringing};
use apoyando_music::{BarIndex, Metre, PartIndex, Score};

use crate::staff::{score, solve};

const RULE: &str = "open-bass-rings-on";

fn played(voices: &[&str]) -> (Score, Solution) {
    let score = score(Metre::COMMON, None, voices);
    let solution = solve(&score, &Level::first(), &[]);
    (score, solution)
}

fn found(solution: &Solution) -> Vec<&Finding> {
    solution.findings.iter().filter(|finding| finding.rule == RULE).collect()
}

/// Bar and beat of every finding: `2.1`.
fn places(voices: &[&str]) -> Vec<String> {
    let (_, solution) = played(voices);
    let place =
        |f: &&Finding| format!("{}.{}", f.place.bar.unwrap(), f.place.beat.as_deref().unwrap());
    found(&solution).iter().map(place).collect()
}

/// Common practice, no source: A minor to E, the open ⑤ is what teachers
/// correct; A is no tone of E, and nothing else stops the string.
#[test]
fn the_tonic_bass_is_damped_under_the_dominant() {
    let (score, solution) = played(&["A3+C4+E4/1 | G#3+B3+E4/1", "A2/1 | E2/1"]);
    let found = found(&solution);
    let [finding] = found[..] else { panic!("{found:#?}") };
    assert_eq!(finding.severity, Severity::Advice);
    assert_eq!((finding.place.bar, finding.place.beat.as_deref()), (Some(2), Some("1")));
    assert_eq!(
        finding.message,
        "the open ⑤, played at bar 1, beat 1, rings on into a harmony that has no A, \
         until it dies away"
    );
    let remedy = finding.remedy.as_deref().unwrap();
    assert!(remedy.starts_with("damp it: play ⑥ with a rest stroke of p, which ends on ⑤"));
    let all = ringing(&score, PartIndex(0), &solution.fingering);
    assert_eq!(all.len(), 1);
    assert!(matches!(all[0].thumb, Thumb::NextString(s) if s.get() == 6));
}

/// Common practice, no source: E to A minor needs nothing, for E is the fifth
/// of A minor; nor does D under A when the D string is stopped at once.
#[test]
fn a_chord_tone_may_ring() {
    assert!(places(&["G#3+B3+E4/1 | A3+C4+E4/1", "E2/1 | A2/1"]).is_empty());
}

/// The open ⑤ is struck again in its new bar: nothing of the old note is left.
#[test]
fn what_is_struck_again_has_stopped() {
    assert!(places(&["C4+E4/1 | D4+G4/1", "A2/1 | B2/1"]).is_empty());
}

/// Common practice, no source: a stopped bass ends with its finger.
#[test]
fn a_stopped_bass_stops_with_its_finger() {
    assert!(places(&["E4+C4/1 | D4+B3+G4/1", "C3/1 | D3/1"]).is_empty());
}

/// A bass of one beat, a rest written after it: it is damped where the harmony
/// changes, and the string is taken again two beats later.
#[test]
fn a_written_rest_does_not_silence_by_itself() {
    let (score, solution) =
        played(&["A3+C4+E4/4 r/4 G3+B3+D4/4 r/4 | A3+C4+E4/1", "A2/4 r/4 G2/4 r/4 | A2/1"]);
    let found = found(&solution);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].place.beat.as_deref(), Some("3"));
    assert!(found[0].message.ends_with("until ⑤ is taken again at bar 2, beat 1"));
    let all = ringing(&score, PartIndex(0), &solution.fingering);
    assert_eq!(all[0].until, Some(score.bars()[1].start));
}

/// Common practice, no source: the tones of a broken chord are one harmony, so
/// the bass is damped where it begins, not at its second note.
#[test]
fn a_broken_chord_is_one_harmony() {
    let upper = "r/8 E3/8 A3/8 C4/8 E4/8 C4/8 A3/8 E3/8 | r/8 E3/8 G#3/8 B3/8 E4/8 B3/8 G#3/8 E3/8";
    assert_eq!(places(&[upper, "A2/1 | E2/1"]), ["2.1"]);
}

/// A suspension is not judged; its resolution is.
#[test]
fn a_suspension_is_not_judged() {
    let voices = ["A3+C4+E4/1 | A3+B3+E4/2 G#3+B3+E4/2", "A2/1 | E2/1"];
    let solution = solve(&score(Metre::COMMON, Some(92), &voices), &Level::first(), &[]);
    let found = found(&solution);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].place.beat.as_deref(), Some("3"));
}

/// A single line over its own open strings has nothing to damp.
#[test]
fn a_line_has_nothing_to_damp() {
    assert!(places(&["A2/4 D3/4 E2/4 G2/4 | D3/4 C3/4 E2/4 F2/4"]).is_empty());
}

/// After five seconds a bass is hardly heard: at a slow tempo the harmony comes
/// too late for it.
#[test]
fn a_bass_dies_away() {
    let voices = ["A3+C4+E4/1 | G#3+B3+E4/1", "A2/1 | E2/1"];
    for (quarters, expected) in [(60, 1), (40, 0)] {
        let score = score(Metre::COMMON, Some(quarters), &voices);
        let solution = solve(&score, &Level::first(), &[]);
        assert_eq!(found(&solution).len(), expected, "{quarters}");
    }
}

/// The finding goes with the fingering: the same A stopped on ⑥ does not ring.
#[test]
fn it_is_the_open_string_that_rings() {
    let score = score(Metre::COMMON, None, &["A3+C4+E4/1 | G#3+B3+E4/1", "A2/1 | E2/1"]);
    let stopped = Pin {
        scope: Scope::Bars { first: BarIndex(0), last: BarIndex(0) },
        rule: PinRule::Frets((1..=19).fold(FretSet::NONE, |set, fret| set.with(Fret(fret)))),
        author: PinAuthor::Author,
    };
    let solution = solve(&score, &Level::open(), &[stopped]);
    assert_eq!(solution.fingering.price.broken, 0);
    assert_eq!(solution.fingering.tones[3].left.unwrap().place.to_string(), "⑥5");
    assert!(found(&solution).is_empty());
}
