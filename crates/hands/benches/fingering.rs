//! How long whole pieces take: `cargo bench -p apoyando-hands`.
//!
//! Pieces of the repository's own invention: a tune in two voices, broken
//! chords over basses, and a line, each of four bars over and over, for everything
//! a hand can do and for a beginner's.

#[path = "../tests/facts/staff.rs"]
#[allow(dead_code)]
mod staff;

use apoyando_fingering::{
    EffortTable, Level, Pin, PinAuthor, PinRule, Pins, Problem, Scope, StringSet,
};
use apoyando_fretboard::{Instrument, StringNumber};
use apoyando_hands::{RightPlan, finger, solve};
use apoyando_music::{BarIndex, Metre, PartIndex, Score};

const TUNE: [&str; 2] = [
    "C4/8 D4/8 E4/8 F4/8 G4/4 E4/4 | D4/8 C4/8 D4/8 B3/8 C4/2 \
     | A4/8 G4/8 F4/8 E4/8 D4/4 G4/4 | C5/8 B4/8 A4/8 G4/8 E4/2",
    "C3/2 C3/2 | G2/2 C3/2 | F3/2 B2/2 | A2/2 C3/2",
];
const ARPEGGIO: [&str; 2] = [
    "r/8 E3/8 A3/8 C4/8 E4/8 C4/8 A3/8 E3/8 | r/8 A3/8 D4/8 F4/8 D4/8 A3/8 r/4 \
     | r/8 E3/8 G#3/8 B3/8 E4/8 B3/8 G#3/8 E3/8 | r/8 G3/8 C4/8 E4/8 C4/8 G3/8 r/4",
    "A2/1 | D3/2. r/4 | E2/1 | C3/2. r/4",
];
const LINE: [&str; 1] =
    ["E4/8 F4/8 G4/8 A4/8 B4/8 C5/8 D5/8 E5/8 | D5/8 B4/8 G4/8 F4/8 D4/8 B3/8 C4/4 \
      | A3/8 C4/8 E4/8 A4/8 G#4/8 B4/8 E4/4 | F4/8 D4/8 E4/8 C4/8 D4/8 B3/8 C4/4"];

fn piece(voices: &[&str], bars: usize) -> Score {
    let texts: Vec<String> =
        voices.iter().map(|voice| vec![*voice; bars / 4].join(" | ")).collect();
    let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
    staff::score(Metre::COMMON, None, &texts)
}

fn bench(bencher: divan::Bencher<'_, '_>, score: &Score, level: &Level) {
    let instrument = Instrument::guitar();
    let (effort, pins) = (EffortTable::default(), Pins::default());
    let problem = Problem {
        score,
        part: PartIndex(0),
        instrument: &instrument,
        level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    bencher.bench(|| finger(&problem, &RightPlan::default()));
}

#[divan::bench(args = [32, 64, 128])]
fn two_voices(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&TUNE, bars), &Level::open());
}

#[divan::bench(args = [32, 64, 128])]
fn two_voices_for_a_beginner(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&TUNE, bars), &Level::first());
}

#[divan::bench(args = [32, 64, 128])]
fn broken_chords(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&ARPEGGIO, bars), &Level::open());
}

#[divan::bench(args = [32, 64, 128])]
fn broken_chords_for_a_beginner(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&ARPEGGIO, bars), &Level::first());
}

#[divan::bench(args = [32, 64, 128])]
fn a_line(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&LINE, bars), &Level::open());
}

fn problem_of<'a>(
    score: &'a Score,
    level: &'a Level,
    (instrument, effort, pins): &'a (Instrument, EffortTable, Pins),
) -> Problem<'a> {
    Problem {
        score,
        part: PartIndex(0),
        instrument,
        level,
        pins,
        effort,
        house: &apoyando_fingering::NO_HOUSE,
    }
}

/// Every alternative of every note priced, the piece being solved already.
#[divan::bench(args = [32, 64, 128])]
fn alternatives_in_two_voices(bencher: divan::Bencher<'_, '_>, bars: usize) {
    let (score, level) = (piece(&TUNE, bars), Level::open());
    let given = (Instrument::guitar(), EffortTable::default(), Pins::default());
    let problem = problem_of(&score, &level, &given);
    bencher
        .with_inputs(|| solve(&problem, &RightPlan::default()).expect("a fingering"))
        .bench_values(|solved| solved.all_alternatives());
}

/// A string pinned in bar 40 of 64, the piece being solved already.
#[divan::bench]
fn a_pin_in_bar_40_of_64(bencher: divan::Bencher<'_, '_>) {
    let (score, level) = (piece(&TUNE, 64), Level::open());
    let given = (Instrument::guitar(), EffortTable::default(), Pins::default());
    let problem = problem_of(&score, &level, &given);
    let tones = score.tones(PartIndex(0));
    let bar = score.bar(BarIndex(39)).start;
    let tone = tones.as_slice().iter().find(|tone| tone.onset >= bar).expect("a note there");
    let second = StringNumber::new(2).expect("a string");
    let pins = Pins(vec![Pin {
        scope: Scope::Tone(tone.id),
        rule: PinRule::Strings(StringSet::NONE.with(second)),
        author: PinAuthor::Author,
    }]);
    bencher
        .with_inputs(|| solve(&problem, &RightPlan::default()).expect("a fingering"))
        .bench_values(|solved| solved.repin(&pins));
}

fn main() {
    divan::main();
}
