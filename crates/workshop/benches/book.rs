//! The demo book from its folder to its page plan, the press left aside.

use std::path::Path;

use apoyando_book::Book;
use apoyando_fretboard::Millimetres;
use apoyando_workshop::{Printing, Workshop};

/// As in the program itself.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    divan::main();
}

#[divan::bench]
fn demo_book(bencher: divan::Bencher<'_, '_>) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    match Book::open(&folder) {
        Ok(book) => bencher.bench_local(|| {
            // A workshop of its own for every run: nothing is remembered.
            let edition = &book.main_edition();
            let printing = Printing { book: &book, edition, line: Millimetres(175.0) };
            Workshop::default().build(&printing, &|_| {})
        }),
        Err(faults) => {
            for fault in faults {
                eprintln!("{fault}");
            }
        }
    }
}
