//! A string against what physics says of it.

use std::f64::consts::TAU;

use super::nylon::{MEASURED_LENGTH, STRINGS};
use super::*;
use crate::units::Hertz;

/// A4 = 440 Hz, equal temperament: frequencies of E4 B3 G3 D3 A2 E2 (ISO 16 and twelfth roots
/// of 2).
const OPEN: [f64; 6] = [329.628, 246.942, 195.998, 146.832, 110.0, 82.407];

fn plucked(string: usize, fret: u8) -> Pluck {
    let length = MEASURED_LENGTH * (-f64::from(fret) / 12.0).exp2();
    Pluck {
        string: StringStuff::tuned(Hertz(OPEN[string]), MEASURED_LENGTH),
        length,
        pitch: Hertz(OPEN[string] * (f64::from(fret) / 12.0).exp2()),
        stopped: fret > 0,
        from_bridge: 0.12,
        plucker: Plucker::Free,
        hardness: Hardness::Middle,
        partial: 1,
    }
}

/// How strong a frequency is in a stretch of samples under a window that falls to nothing.
fn strength(samples: &[f32], frequency: f64) -> f64 {
    let count = samples.len() as f64;
    let (mut re, mut im) = (0.0, 0.0);
    for (at, sample) in samples.iter().enumerate() {
        let at = at as f64;
        let window = 0.5 - 0.5 * (TAU * at / count).cos();
        let angle = TAU * frequency * at / f64::from(SAMPLE_RATE);
        re += window * f64::from(*sample) * angle.cos();
        im += window * f64::from(*sample) * angle.sin();
    }
    2.0 * re.hypot(im) * 2.0 / count
}

/// Mersenne's law: *f* = √(*T*/*μ*) / 2*L*. The strings of the table sound their pitches at
/// their length, within a tenth of a semitone.
#[test]
fn tension_mass_and_length_of_the_table_give_the_open_strings() {
    for (string, open) in STRINGS.iter().zip(OPEN) {
        let cents = 1200.0 * (string.pitch(MEASURED_LENGTH).0 / open).log2();
        assert!(cents.abs() < 10.0, "{open} Hz: {cents} cents");
    }
}

/// The partials of a stiff string: *f*ₙ = *n* *f* √(1 + *B n*²) (Fletcher and Rossing, chapter 2).
#[test]
fn partials_stand_where_stiffness_puts_them() {
    for (string, open) in OPEN.iter().enumerate() {
        let pluck = plucked(string, 0);
        let stiff = pluck.string.inharmonicity(pluck.length);
        let modes = pluck.modes();
        let lowest = modes.iter().map(|mode| mode.frequency.0).fold(f64::INFINITY, f64::min);
        assert!((lowest - open).abs() < 1e-9, "{lowest}");
        let limp = open / (1.0 + stiff).sqrt();
        for partial in [2.0, 5.0, 9.0] {
            let there = limp * partial * f64::sqrt(1.0 + stiff * partial * partial);
            let nearest = modes.iter().map(|mode| (mode.frequency.0 - there).abs());
            assert!(nearest.fold(f64::INFINITY, f64::min) < 1e-6, "string {string}, {partial}");
        }
    }
}

/// A string plucked at a point has none of the partials with a node there (Fletcher and Rossing,
/// chapter 2): in its middle, none of the even ones.
#[test]
fn partials_with_a_node_where_it_is_plucked_are_missing() {
    let mut pluck = plucked(0, 0);
    pluck.from_bridge = pluck.length / 2.0;
    let samples = ring(&pluck);
    let at = |partial: f64| strength(&samples[4_800..28_800], OPEN[0] * partial);
    assert!(at(2.0) < 0.003 * at(1.0), "{} {}", at(2.0), at(1.0));
    assert!(at(3.0) > 0.01 * at(1.0));
}

/// Touched at fret 12 or 7 it sounds its octave or twelfth and their multiples only.
#[test]
fn a_harmonic_has_only_multiples_of_its_partial() {
    for partial in [2u8, 3] {
        let pluck = Pluck { partial, pitch: Hertz(OPEN[5] * f64::from(partial)), ..plucked(5, 0) };
        let samples = ring(&pluck);
        let at = |frequency: f64| strength(&samples[2_400..50_400], frequency);
        let own = at(OPEN[5] * f64::from(partial));
        assert!(at(OPEN[5]) < 0.002 * own, "the fundamental of partial {partial}");
        assert!(at(2.0 * OPEN[5] * f64::from(partial)) > 0.01 * own);
    }
}

/// The same pitch on a thicker string is another sound: E4 open on ① and at fret 9 of ③.
#[test]
fn the_same_note_on_another_string_sounds_otherwise() {
    let colour = |pluck: &Pluck| {
        let samples = ring(pluck);
        let part = &samples[2_400..26_400];
        let first = strength(part, pluck.pitch.0);
        (2..=8).map(|n| strength(part, pluck.pitch.0 * f64::from(n)) / first).collect::<Vec<_>>()
    };
    let (open, stopped) = (plucked(0, 0), Pluck { pitch: Hertz(OPEN[0]), ..plucked(2, 9) });
    let (open, stopped) = (colour(&open), colour(&stopped));
    let most = open.iter().zip(&stopped).map(|(a, b)| (20.0 * (a / b).log10()).abs());
    assert!(most.fold(0.0, f64::max) > 6.0, "{open:?} {stopped:?}");
}

/// How fast a sound dies, in shares of its amplitude a second, between two times.
fn dying(samples: &[f32], frequency: f64) -> f64 {
    let at = |second: f64| {
        let begin = (second * f64::from(SAMPLE_RATE)) as usize;
        strength(&samples[begin..begin + 9_600], frequency)
    };
    (at(0.3) / at(1.3)).ln()
}

/// Plucked along the top alone, a mode dies as the table's losses say; towards the top the bridge
/// takes more.
#[test]
fn modes_die_as_their_losses_say() {
    let pluck = plucked(5, 0);
    let modes = pluck.modes();
    let own = pluck.string.decay(pluck.length, 1.0, pluck.pitch);
    let fundamental: Vec<f64> =
        modes.iter().filter(|it| it.frequency.0 < 100.0).map(|it| it.decay).collect();
    assert_eq!(fundamental.len(), 2);
    assert!((fundamental[1] - own).abs() < 1e-9 && fundamental[0] > own);
    let samples = ring(&pluck);
    let heard = dying(&samples, OPEN[5]);
    assert!(heard > own * 0.98 && heard < fundamental[0] * 1.02, "{heard} {own} {fundamental:?}");
}

/// A rest stroke is louder, a soft pluck darker.
#[test]
fn strokes_and_strength_are_heard() {
    let loud = |plucker| {
        let samples = ring(&Pluck { plucker, ..plucked(1, 1) });
        samples[..24_000].iter().map(|it| f64::from(*it).powi(2)).sum::<f64>()
    };
    assert!(loud(Plucker::Rest) > 1.3 * loud(Plucker::Free));
    let bright = |hardness| {
        let pluck = Pluck { hardness, ..plucked(1, 1) };
        let samples = ring(&pluck);
        strength(&samples[1_200..13_200], pluck.pitch.0 * 14.0)
            / strength(&samples[1_200..13_200], pluck.pitch.0)
    };
    assert!(bright(Hardness::Hard) > 1.3 * bright(Hardness::Middle));
    assert!(bright(Hardness::Middle) > 1.5 * bright(Hardness::Soft));
}

/// It begins at once and ends in silence, without a click at either end.
#[test]
fn a_sound_begins_at_once_and_dies_away() {
    for string in 0..6 {
        for fret in [0, 7, 19] {
            let samples = ring(&plucked(string, fret));
            let loudest = samples.iter().fold(0.0f32, |most, it| most.max(it.abs()));
            let first = samples.iter().position(|it| it.abs() > 0.1 * loudest);
            assert!(first.is_some_and(|at| at < 96), "{string} {fret}: {first:?}");
            assert!(samples[0].abs() < 0.02 * loudest, "{string} {fret}");
            let tail = &samples[samples.len() - 480..];
            assert!(tail.iter().all(|it| it.abs() < 0.001 * loudest), "{string} {fret}");
            assert!(loudest < 1.5, "{string} {fret}: {loudest}");
        }
    }
}

/// What rings on is left out; until it fades it is the same sound.
#[test]
fn a_short_sound_is_the_beginning_of_the_whole() {
    let (longest, fade) = (Seconds(2.5), Seconds(0.5));
    let whole = ring(&plucked(5, 0));
    let short = ring_shortly(&plucked(5, 0), longest, fade);
    assert_eq!(short.len(), 120_000);
    assert!(whole.len() > short.len());
    assert_eq!(short[..96_000], whole[..96_000]);
    assert_eq!(short.last(), Some(&0.0));
    // A sound that dies sooner is left whole: the highest note stopped.
    let (longest, fade) = (Seconds(11.0), Seconds(1.0));
    let high = ring(&plucked(0, 19));
    assert!(high.len() < 11 * 48_000);
    assert_eq!(ring_shortly(&plucked(0, 19), longest, fade), high);
}
