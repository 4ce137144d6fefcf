//! Scales lie where every handbook prints them.

use apoyando_fingering::{LeftFinger, LeftFingerSet, Level, PinRule, StringSet};
use apoyando_fretboard::StringNumber;
use apoyando_music::Metre;

use crate::staff::{over_all, positions, score, shown, solve};

/// Fingers one voice in 4/4 and shows every tone.
fn line(level: &Level, text: &str) -> String {
    shown(&solve(&score(Metre::COMMON, None, &[text]), level, &[]))
}

/// Common practice, no source: scales in open position, one finger to a fret.
#[test]
fn open_position_scales_take_one_finger_to_a_fret() {
    let scales = [
        ("C major", "C3/8 D3/8 E3/8 F3/8 G3/8 A3/8 B3/8 C4/8", "⑤3/3 ④0 ④2/2 ④3/3 ③0 ③2/2 ②0 ②1/1"),
        (
            "G major",
            "G2/8 A2/8 B2/8 C3/8 D3/8 E3/8 F#3/8 G3/8 | A3/8 B3/8 C4/8 D4/8 E4/8 F#4/8 G4/4",
            "⑥3/3 ⑤0 ⑤2/2 ⑤3/3 ④0 ④2/2 ④4/4 ③0 ③2/2 ②0 ②1/1 ②3/3 ①0 ①2/2 ①3/3",
        ),
        (
            "F major",
            "F3/8 G3/8 A3/8 Bb3/8 C4/8 D4/8 E4/8 F4/8",
            "④3/3 ③0 ③2/2 ③3/3 ②1/1 ②3/3 ①0 ①1/1",
        ),
        ("A minor", "A2/8 B2/8 C3/8 D3/8 E3/8 F3/8 G3/8 A3/8", "⑤0 ⑤2/2 ⑤3/3 ④0 ④2/2 ④3/3 ③0 ③2/2"),
        (
            "E minor",
            "E2/8 F#2/8 G2/8 A2/8 B2/8 C3/8 D3/8 E3/8 | F#3/8 G3/8 A3/8 B3/8 C4/8 D4/8 E4/4",
            "⑥0 ⑥2/2 ⑥3/3 ⑤0 ⑤2/2 ⑤3/3 ④0 ④2/2 ④4/4 ③0 ③2/2 ②0 ②1/1 ②3/3 ①0",
        ),
        (
            "D minor",
            "D3/8 E3/8 F3/8 G3/8 A3/8 Bb3/8 C4/8 D4/8",
            "④0 ④2/2 ④3/3 ③0 ③2/2 ③3/3 ②1/1 ②3/3",
        ),
        (
            "chromatic",
            "E3/8 F3/8 F#3/8 G3/8 G#3/8 A3/8 Bb3/8 B3/8 | C4/8 C#4/8 D4/8 Eb4/8 E4/8 F4/8 F#4/8 G4/8",
            "④2/2 ④3/3 ④4/4 ③0 ③1/1 ③2/2 ③3/3 ②0 ②1/1 ②2/2 ②3/3 ②4/4 ①0 ①1/1 ①2/2 ①3/3",
        ),
    ];
    for (name, text, textbook) in scales {
        assert_eq!(line(&Level::open(), text), textbook, "{name}");
        assert_eq!(line(&Level::first(), text), textbook, "{name} at the first level");
    }
}

/// Common practice, no source: D major through the whole of position II, up to
/// its highest note and down to its lowest, every finger on its own fret.
#[test]
fn d_major_fits_position_two() {
    let text = "D3/8 E3/8 F#3/8 G3/8 A3/8 B3/8 C#4/8 D4/8 | E4/8 F#4/8 G4/8 A4/8 G4/8 F#4/8 E4/8 D4/8 \
                | C#4/8 B3/8 A3/8 G3/8 F#3/8 E3/8 D3/8 C#3/8 | B2/8 A2/8 G2/8 F#2/8 E2/8 F#2/8 G2/8 A2/8 \
                | B2/8 C#3/8 D3/4 r/2";
    let score = score(Metre::COMMON, None, &[text]);
    for level in [Level::open(), Level::first()] {
        let solution = solve(&score, &level, &[]);
        assert_eq!(positions(&solution), ["II"]);
        assert!(
            shown(&solution).starts_with(
                "④0 ④2/1 ④4/3 ③0 ③2/1 ②0 ②2/1 ②3/2 ①0 ①2/1 ①3/2 ①5/4 ①3/2 ①2/1 ①0 ②3/2 \
                 ②2/1 ②0 ③2/1 ③0 ④4/3 ④2/1 ④0 ⑤4/3 ⑤2/1 ⑤0 ⑥3/2 ⑥2/1 ⑥0"
            ),
            "{}",
            shown(&solution)
        );
    }
}

/// Common practice, no source: position II ends at A on ①; the B above it is
/// ① fret 7, and finger 4 there means position IV.
#[test]
fn finger_4_on_the_seventh_fret_means_position_four() {
    let finger_4 = over_all(PinRule::LeftFingers(LeftFingerSet::NONE.with(Some(LeftFinger::Four))));
    let on_first = over_all(PinRule::Strings(StringSet::NONE.with(StringNumber::FIRST)));
    for (note, place, position) in [("A4/1", "①5/4", "II"), ("B4/1", "①7/4", "IV")] {
        let score = score(Metre::COMMON, None, &[note]);
        let solution = solve(&score, &Level::open(), &[finger_4, on_first]);
        assert_eq!(shown(&solution), place);
        assert_eq!(positions(&solution), [position]);
    }
}

const A_MAJOR: &str = "A2/8 B2/8 C#3/8 D3/8 E3/8 F#3/8 G#3/8 A3/8 | \
                       B3/8 C#4/8 D4/8 E4/8 F#4/8 G#4/8 A4/4";

/// Common practice, no source: A major lies in II, with finger 1 reaching back
/// for G♯ on ③.
#[test]
fn a_major_lies_in_two_with_finger_1_reaching_back() {
    let solution = solve(&score(Metre::COMMON, None, &[A_MAJOR]), &Level::open(), &[]);
    assert!(shown(&solution).contains("③1/1"), "{}", shown(&solution));
    assert_eq!(positions(&solution), ["II"]);
}

/// Common practice, no source: where no finger may reach, A major begins in I
/// and leaves it for II on an open string, ② or ①; schools differ.
#[test]
fn a_shift_takes_the_open_string() {
    let level = Level { extension: 0, ..Level::open() };
    let solution = solve(&score(Metre::COMMON, None, &[A_MAJOR]), &level, &[]);
    let in_one = "⑤0 ⑤2/2 ⑤4/4 ④0 ④2/2 ④4/4 ③1/1 ③2/2";
    let accepted = [
        format!("{in_one} ②0 ②2/2 ②3/3 ①0 ①2/1 ①4/3 ①5/4"),
        format!("{in_one} ②0 ②2/1 ②3/2 ①0 ①2/1 ①4/3 ①5/4"),
    ];
    assert!(accepted.contains(&shown(&solution)), "{}", shown(&solution));
    assert!(solution.fingering.shifts.iter().all(|shift| shift.over_open));
    assert_eq!(positions(&solution), ["I", "II"]);
}
