//! From a book to everything that is printed of it.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use apoyando_book::{Item, PinsFile, Section};
use apoyando_engrave::Engraving;
use apoyando_fingering::Finding;
use rayon::prelude::*;

use crate::advised::Advised;
use crate::foresight::Foresight;
use crate::item::{BuiltItem, Made, MadeOf, common_key, item_key};
use crate::memo::Memo;
use crate::order::{Opened, lay_out};
use crate::piece::FingeredPart;
use crate::plan::PagePlan;
use crate::printing::Printing;
use crate::write::Material;

/// How far a run has come.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Progress {
    /// Items that are done.
    pub done: usize,
    /// All items.
    pub of: usize,
    /// The one that was done last.
    pub what: String,
}

/// A book, built.
#[derive(Clone, Debug)]
pub struct Built {
    /// Items with music, in the order of the book.
    pub items: Vec<Arc<BuiltItem>>,
    /// The order of the pages.
    pub plan: PagePlan,
    /// All findings, in the order of the book.
    pub findings: Vec<Finding>,
    /// What is to be remembered of the pins of each piece, by the path of its
    /// pins file in the folder, where that has changed; `None` where there is
    /// nothing to remember any more.
    pub remember: Vec<(String, Option<PinsFile>)>,
}

/// What a run knows and remembers. A clone knows what is known by now, and goes its own way.
#[derive(Clone, Default)]
pub struct Workshop {
    pub(crate) advised: Advised,
    pub(crate) written: Memo<Option<Arc<Material>>>,
    pub(crate) fingered: Memo<Vec<FingeredPart>>,
    pub(crate) engraved: Memo<Engraving>,
    pub(crate) opened: Memo<Opened>,
    made: Memo<Made>,
    pub(crate) foresight: Foresight,
}

impl Workshop {
    /// Works everything out for one edition of a book. Items stand for
    /// themselves and are made side by side; what comes of them is in the order
    /// of the book, the same in every run.
    pub fn build(&self, printing: &Printing<'_>, progress: &(dyn Fn(&Progress) + Sync)) -> Built {
        let common = common_key(printing);
        let made = self.made(printing, common, &|done| {
            progress(done);
            ControlFlow::Continue(())
        });
        self.built(printing, common, made)
    }

    /// [`build`](Self::build) as long as it is wanted; `None` when `progress` broke it off.
    pub fn build_while(
        &self,
        printing: &Printing<'_>,
        progress: &(dyn Fn(&Progress) -> ControlFlow<()> + Sync),
    ) -> Option<Built> {
        let all: usize = printing.book.sections.iter().map(|section| section.items.len()).sum();
        let common = common_key(printing);
        let made = self.made(printing, common, progress);
        (made.len() == all).then(|| self.built(printing, common, made))
    }

    /// Every item; fewer when it was broken off.
    fn made(
        &self,
        printing: &Printing<'_>,
        common: u128,
        progress: &(dyn Fn(&Progress) -> ControlFlow<()> + Sync),
    ) -> Vec<Made> {
        let book = printing.book;
        let all: Vec<(&Section, usize, &Item)> = book
            .sections
            .iter()
            .flat_map(|section| {
                section.items.iter().enumerate().map(move |(index, item)| (section, index, item))
            })
            .collect();
        let (done, stopped) = (AtomicUsize::new(0), AtomicBool::new(false));
        all.par_iter()
            .filter_map(|(section, index, item)| {
                if stopped.load(Ordering::Relaxed) {
                    return None;
                }
                let key = item_key(common, book, section, *index, item);
                let make = || self.make(printing, section, *index, item);
                let made = self.made.get(key, || self.foreseen(key).unwrap_or_else(make));
                self.keep(&made);
                let went = progress(&Progress {
                    done: done.fetch_add(1, Ordering::Relaxed) + 1,
                    of: all.len(),
                    what: format!("{}: {}", section.title, item.kind.word()),
                });
                if went.is_break() {
                    stopped.store(true, Ordering::Relaxed);
                    return None;
                }
                Some(made)
            })
            .collect()
    }

    fn built(&self, printing: &Printing<'_>, common: u128, made: Vec<Made>) -> Built {
        let built = lay_out(self, printing, common, made);
        self.end_round();
        built
    }

    /// Keeps what an item was made of: it is of use again when the item is planned in
    /// another line.
    fn keep(&self, made: &Made) {
        if let Made::Music(made) = made {
            let MadeOf { written, fingered, engraved } = made.of;
            self.written.keep(written);
            self.fingered.keep(fingered);
            self.engraved.keep(engraved);
        }
    }

    /// Forgets what has not been of use in a long time.
    fn end_round(&self) {
        self.advised.end_round();
        self.written.end_round();
        self.fingered.end_round();
        self.engraved.end_round();
        self.opened.end_round();
        self.made.end_round();
        self.foresight.clear();
    }
}
