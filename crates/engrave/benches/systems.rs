//! How fast scores are engraved.

#[path = "../tests/scores/gallery.rs"]
mod gallery;
#[path = "../tests/scores/mod.rs"]
mod scores;

use apoyando_engrave::{Sheet, Style, engrave, svg};

fn main() {
    divan::main();
}

/// 32 bars in two voices on some six systems.
#[divan::bench]
fn two_voices(bencher: divan::Bencher<'_, '_>) {
    let score = gallery::long();
    let systems = engrave(&Sheet::bare(&score), &Style::default()).systems.len();
    bencher
        .counter(divan::counter::ItemsCount::new(systems))
        .bench(|| engrave(&Sheet::bare(&score), &Style::default()));
}

/// Eight bars for two players on two systems.
#[divan::bench]
fn duet(bencher: divan::Bencher<'_, '_>) {
    let score = gallery::duet();
    let systems = engrave(&Sheet::bare(&score), &Style::default()).systems.len();
    bencher
        .counter(divan::counter::ItemsCount::new(systems))
        .bench(|| engrave(&Sheet::bare(&score), &Style::default()));
}

/// Sixteen times as long: the time should grow with the length.
#[divan::bench]
fn long_score(bencher: divan::Bencher<'_, '_>) {
    let score = gallery::very_long();
    let systems = engrave(&Sheet::bare(&score), &Style::default()).systems.len();
    bencher
        .counter(divan::counter::ItemsCount::new(systems))
        .bench(|| engrave(&Sheet::bare(&score), &Style::default()));
}

/// One system written out as SVG.
#[divan::bench]
fn written_as_svg(bencher: divan::Bencher<'_, '_>) {
    let score = gallery::long();
    let engraving = engrave(&Sheet::bare(&score), &Style::default());
    bencher.bench(|| svg(&engraving.systems[0].drawing));
}
