//! How long whole pieces take: `cargo bench -p apoyando-hands`.
//!
//! Pieces of the repository's own invention: a tune in two voices, broken
//! chords over basses, a line, and settings in three and four voices, for
//! everything a hand can do and for a beginner's. Music is made longer in two ways:
//! *again*, four bars over and over, as a study or a song with verses is, where
//! most has been worked out before; and *on*, where the bars come in other orders
//! and on other steps of the scale, and phrases come back after 64 bars at the
//! earliest.

#[path = "../tests/facts/staff.rs"]
#[allow(dead_code)]
mod staff;

use apoyando_fingering::{
    EffortTable, Level, Pin, PinAuthor, PinRule, Pins, Problem, Scope, StringSet,
};
use apoyando_fretboard::{Instrument, StringNumber};
use apoyando_hands::{RightPlan, finger, solve};
use apoyando_music::{BarIndex, Metre, PartIndex, Score};

/// As in the program itself.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

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

const THREE: [&str; 3] = [
    "E4/4 F4/4 G4/4 E4/4 | A4/4 G4/8 F4/8 E4/4 D4/4 | D4/4 E4/8 F4/8 E4/4 D4/4 | C4/4 B3/4 C4/2",
    "C4/2 C4/2 | C4/2 C4/4 A3/4 | B3/2 C4/4 B3/4 | G3/2 G3/2",
    "C3/4 D3/4 E3/4 C3/4 | F3/2 C3/4 F2/4 | G2/4 A2/4 B2/4 G2/4 | C3/4 G2/4 C3/2",
];
const FOUR: [&str; 4] = [
    "E4/2 E4/4 F4/4 | F4/2 E4/4 D4/4 | D4/2 F4/4 D4/4 | E4/1",
    "C4/2 C4/2 | C4/2 C4/4 C4/4 | B3/2 B3/2 | C4/1",
    "G3/1 | A3/2 G3/4 A3/4 | G3/1 | G3/1",
    "C3/4 D3/4 E3/4 C3/4 | F3/2 C3/4 F2/4 | G2/2 G2/2 | C3/1",
];

/// How music is made longer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Longer {
    Again,
    On,
}

fn piece(voices: &[&str], bars: usize, longer: Longer) -> Score {
    let phrase = |voice: &str, number: usize| match longer {
        Longer::Again => voice.to_owned(),
        Longer::On => other_phrase(voice, number),
    };
    let text = |voice: &&str| -> String {
        let phrases: Vec<String> = (0..bars / 4).map(|number| phrase(voice, number)).collect();
        phrases.join(" | ")
    };
    let texts: Vec<String> = voices.iter().map(text).collect();
    let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
    staff::score(Metre::COMMON, None, &texts)
}

/// The bars of a phrase in another order, on another step of the scale.
fn other_phrase(voice: &str, number: usize) -> String {
    const ORDERS: [[usize; 4]; 4] = [[0, 1, 2, 3], [2, 0, 3, 1], [1, 3, 0, 2], [3, 2, 1, 0]];
    const STEPS: [i32; 4] = [0, 1, -1, 2];
    let bars: Vec<&str> = voice.split('|').collect();
    let order = ORDERS[number % ORDERS.len()];
    let by = STEPS[number / ORDERS.len() % STEPS.len()];
    let on = |word: &str| on_another_step(word, by);
    let bar = |bar: usize| bars[bar].split_whitespace().map(on).collect::<Vec<_>>().join(" ");
    order.map(bar).join(" | ")
}

/// A note so many steps higher, an octave higher still if it is off the
/// instrument; its sharp is left out.
fn on_another_step(word: &str, by: i32) -> String {
    const LETTERS: [char; 7] = ['C', 'D', 'E', 'F', 'G', 'A', 'B'];
    let (pitch, value) = word.split_once('/').expect("a stroke before the value");
    let letter = pitch.chars().next().and_then(|c| LETTERS.iter().position(|l| *l == c));
    let (Some(letter), Some(octave)) = (letter, pitch.chars().last().and_then(|c| c.to_digit(10)))
    else {
        return word.to_owned();
    };
    if by == 0 {
        return word.to_owned();
    }
    let lowest = 2 * 7 + 2;
    let step = letter as i32 + 7 * octave as i32 + by;
    let step = if step < lowest { step + 7 } else { step };
    format!("{}{}/{value}", LETTERS[step.rem_euclid(7) as usize], step.div_euclid(7))
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
    bench(bencher, &piece(&TUNE, bars, Longer::Again), &Level::open());
}

#[divan::bench(args = [32, 64, 128])]
fn two_voices_for_a_beginner(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&TUNE, bars, Longer::Again), &Level::first());
}

#[divan::bench(args = [32, 64, 128])]
fn broken_chords(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&ARPEGGIO, bars, Longer::Again), &Level::open());
}

#[divan::bench(args = [32, 64, 128])]
fn broken_chords_for_a_beginner(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&ARPEGGIO, bars, Longer::Again), &Level::first());
}

#[divan::bench(args = [32, 64, 128])]
fn a_line(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&LINE, bars, Longer::Again), &Level::open());
}

#[divan::bench(args = [64])]
fn two_voices_on(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&TUNE, bars, Longer::On), &Level::open());
}

#[divan::bench(args = [64])]
fn broken_chords_on(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&ARPEGGIO, bars, Longer::On), &Level::open());
}

#[divan::bench(args = [Longer::Again, Longer::On])]
fn three_voices_of_300_bars(bencher: divan::Bencher<'_, '_>, longer: Longer) {
    bench(bencher, &piece(&THREE, 300, longer), &Level::open());
}

#[divan::bench(args = [Longer::Again, Longer::On])]
fn four_voices_of_300_bars(bencher: divan::Bencher<'_, '_>, longer: Longer) {
    bench(bencher, &piece(&FOUR, 300, longer), &Level::open());
}

/// From about 1000 notes to 100 000.
#[divan::bench(args = [140, 1400, 14_000], sample_count = 3)]
fn two_voices_very_long(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, &piece(&TUNE, bars, Longer::On), &Level::open());
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
    let (score, level) = (piece(&TUNE, bars, Longer::On), Level::open());
    let given = (Instrument::guitar(), EffortTable::default(), Pins::default());
    let problem = problem_of(&score, &level, &given);
    bencher
        .with_inputs(|| solve(&problem, &RightPlan::default()).expect("a fingering"))
        .bench_values(|solved| solved.all_alternatives());
}

/// A string pinned in bar 40 of 64, the piece being solved already.
#[divan::bench]
fn a_pin_in_bar_40_of_64(bencher: divan::Bencher<'_, '_>) {
    let (score, level) = (piece(&TUNE, 64, Longer::On), Level::open());
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
