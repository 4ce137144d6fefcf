//! While a card is read, the ways that it shows are made ready, so that one that is taken is
//! there at once.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use apoyando_book::Book;
use apoyando_book::edit::{Command, Edit, apply};
use apoyando_makeup::{document, printing};
use apoyando_workshop::Progress;

use crate::along::AtHand;
use crate::server::Shared;

/// Counts what has been asked for: whoever foresees stops when something else is.
#[derive(Clone, Default)]
pub struct Attention(Arc<AtomicU64>);

impl Attention {
    /// Turns to something else.
    pub fn turn(&self) -> u64 {
        self.0.fetch_add(1, Ordering::Relaxed) + 1
    }

    fn is_still(&self, at: u64) -> bool {
        self.0.load(Ordering::Relaxed) == at
    }
}

/// Makes what each of some ways would make of its item and of its pages, the first first, while
/// nothing else is asked for.
pub fn foresee(shared: &Shared, ways: Vec<Edit>) {
    let attention = shared.attention.turn();
    let shared = shared.clone();
    tokio::task::spawn_blocking(move || {
        let is_still = || shared.attention.is_still(attention);
        let (folder, at_hand, proofs) = {
            let mut bench = shared.bench();
            if !is_still() {
                return;
            }
            bench.expect_nothing();
            (bench.folder().to_owned(), bench.at_hand(), bench.proofs().clone())
        };
        let Some(AtHand { workshop, turn, .. }) = at_hand else { return };
        for edit in ways {
            if !is_still() {
                return;
            }
            let Command::Pin { at, .. } = &edit.command else { continue };
            // What cannot be done is said to whoever asks for it.
            let Ok(change) = apply(&folder, &edit) else { continue };
            let Ok(book) = Book::open_after(&folder, &change) else { continue };
            let edition = book.main_edition();
            let printing = printing(&book, &edition);
            let Some(foreseen) = workshop.foresee(&printing, at) else { continue };
            workshop.expect(foreseen.clone());
            let go_on = |_: &Progress| {
                if is_still() { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
            };
            let Some(built) = workshop.build_while(&printing, &go_on) else { return };
            let mut ahead = proofs.clone();
            if ahead.set(document(&built.plan)).is_err() {
                continue;
            }
            let mut bench = shared.bench();
            if is_still() {
                bench.expect(turn, foreseen, ahead);
            }
        }
    });
}
