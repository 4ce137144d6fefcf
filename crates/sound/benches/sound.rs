//! How long sound takes to make. A second of sound is 48 000 samples.

use std::hint::black_box;

use apoyando_fretboard::Instrument;
use apoyando_sound::files::flac;
use apoyando_sound::studio::{A4, Sounding, Studio, levelled};
use apoyando_sound::{perform, strings};

fn main() {
    divan::main();
}

/// Sixteen bars of broken chords over basses, 32 seconds.
const PIECE: &str = "X:1\nT:Broken chords\nM:4/4\nL:1/8\nQ:1/4=120\nK:C clef=treble-8\n";
const BARS: &str = "C,EGcGEcG|F,Acfcfac|G,DGBGdBG|C,EGcecGE|";

fn performance() -> apoyando_sound::Performance {
    let text = format!("{PIECE}{}\n", BARS.repeat(4));
    let reading = apoyando_formats::read("bench.abc", text.as_bytes()).expect("it can be read");
    perform(&reading.pieces[0].score, &[None], &Instrument::guitar()).expect("it has no repeats")
}

/// The open ⑥, which has the most partials and rings longest, at most 12 seconds.
#[divan::bench]
fn lowest_string(bencher: divan::Bencher) {
    let guitar = Instrument::guitar();
    let sounding: Sounding = "6-0-1-thumb-hard".parse().expect("a sound");
    let pluck = sounding.pluck(&guitar, A4).expect("a place");
    bencher.bench(|| black_box(strings::ring(&pluck)));
}

/// 32 seconds of music with nothing made before.
#[divan::bench(sample_count = 10)]
fn piece(bencher: divan::Bencher) {
    let (guitar, performance) = (Instrument::guitar(), performance());
    bencher.bench(|| black_box(Studio::new(&guitar, A4).mix(&performance, &|_| true)));
}

/// The same brought to its loudness.
#[divan::bench(sample_count = 5)]
fn level(bencher: divan::Bencher) {
    let (guitar, performance) = (Instrument::guitar(), performance());
    let stereo = Studio::new(&guitar, A4).mix(&performance, &|_| true);
    bencher.bench(|| black_box(levelled(stereo.clone())));
}

/// The same as a file.
#[divan::bench(sample_count = 5)]
fn file(bencher: divan::Bencher) {
    let (guitar, performance) = (Instrument::guitar(), performance());
    let stereo = Studio::new(&guitar, A4).mix(&performance, &|_| true);
    bencher.bench(|| black_box(flac(&[&stereo.left, &stereo.right])));
}
