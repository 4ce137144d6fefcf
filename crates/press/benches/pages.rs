//! How long it takes to set a thick book: 600 systems, words between them.
//!
//! Run with `cargo bench -p apoyando-press`.

#[path = "../tests/it/sample.rs"]
#[allow(dead_code)]
mod sample;

use apoyando_press::set;

fn main() {
    divan::main();
}

#[divan::bench(sample_count = 5)]
fn lay_out_600_systems(bencher: divan::Bencher) {
    let book = sample::thick_book(600);
    bencher.bench_local(|| set(&book).map(|pages| pages.count()));
}

#[divan::bench(sample_count = 5)]
fn print_600_systems(bencher: divan::Bencher) {
    let book = sample::thick_book(600);
    bencher.bench_local(|| apoyando_press::pdf(&book).map(|pdf| pdf.len()));
}

#[divan::bench(sample_count = 5)]
fn draw_a_page(bencher: divan::Bencher) {
    let pages = set(&sample::book());
    bencher.bench_local(|| pages.as_ref().map(|pages| pages.png(7, 150.0).map(|png| png.len())));
}
