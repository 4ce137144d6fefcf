//! How long the right hand takes: `cargo bench -p apoyando-hands --bench
//! right_hand`.
//!
//! Every time is also given per onset. A right hand alone reads the part and
//! searches once; the practice pairs read it once and search seven times.

#[path = "../tests/facts/staff.rs"]
#[allow(dead_code)]
mod staff;

use apoyando_fingering::{EffortTable, Fingering, Level, Pins, Problem};
use apoyando_fretboard::Instrument;
use apoyando_hands::right::{choices, pluck, practice};
use apoyando_hands::{RightPlan, finger};
use apoyando_music::{Metre, PartIndex, Score};
use divan::counter::ItemsCount;

/// Broken chords, chords and a line, of this repository's invention.
const FOUR_BARS: [&str; 2] = [
    "r/8 E3/8 A3/8 C4/8 E4/8 C4/8 A3/8 E3/8 | r/8 A3/8 D4/8 F4/8 D4/8 A3/8 r/4 \
     | E3+G#3+B3+E4/4 E3+G#3+B3+E4/4 E4/8 F4/8 G4/8 F4/8 \
     | E4/8 D4/8 C4/8 B3/8 A3/8 B3/8 C4/8 D4/8",
    "A2/1 | D3/2. r/4 | E2/2 r/2 | A2/1",
];

fn piece(bars: usize) -> Score {
    let texts = FOUR_BARS.map(|voice| vec![voice; bars / 4].join(" | "));
    staff::score(Metre::COMMON, None, &[&texts[0], &texts[1]])
}

fn bench<T>(
    bencher: divan::Bencher<'_, '_>,
    bars: usize,
    question: impl Fn(&Problem<'_>, &RightPlan, &Fingering) -> T + Sync,
) {
    let score = piece(bars);
    let instrument = Instrument::guitar();
    let (effort, pins) = (EffortTable::default(), Pins::default());
    let level = Level::first();
    let problem = Problem {
        score: &score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let plan = RightPlan::default();
    let left = finger(&problem, &plan).expect("a fingering").fingering;
    bencher
        .counter(ItemsCount::new(left.postures.len()))
        .bench(|| question(&problem, &plan, &left));
}

#[divan::bench(args = [64, 512, 4096])]
fn alone(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, bars, pluck);
}

#[divan::bench(args = [64, 512, 4096])]
fn practice_pairs(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, bars, practice);
}

#[divan::bench(args = [64, 512, 4096])]
fn every_alternative(bencher: divan::Bencher<'_, '_>, bars: usize) {
    bench(bencher, bars, choices);
}

/// As in the program itself.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    divan::main();
}
