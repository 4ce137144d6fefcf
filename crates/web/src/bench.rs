//! What is open on the bench: the book as it is on disk, its pages, and the journal.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use apoyando_book::Book;
use apoyando_book::edit::{
    Change, Edit, EditError, ItemPlace, Revision, apply, is_of_the_book, text_of,
};
use apoyando_book::journal::{Journal, JournalError};
use apoyando_engrave::System;
use apoyando_fingering::{Finding, FindingPlace, Severity};
use apoyando_fretboard::Instrument;
use apoyando_makeup::{document, paper_of, printing};
use apoyando_press::{Paper, Proofs, Standing};
use apoyando_workshop::plan::PagePlan;
use apoyando_workshop::{Built, BuiltItem, Foreseen, Workshop};

use crate::along::AtHand;
use crate::watch::Seen;

/// A book that is open.
pub struct Bench {
    folder: PathBuf,
    workshop: Workshop,
    proofs: Proofs,
    journal: Journal,
    book: Option<Arc<Book>>,
    built: Option<Arc<Built>>,
    standing: Vec<Standing>,
    paper: Paper,
    /// What keeps the book from being shown as it is on disk, or is to be said of its pages.
    faults: Vec<Finding>,
    /// The files as they were when the book was read last.
    seen: Seen,
    /// Counts the times that something changed.
    turn: u64,
}

/// What came of a change.
#[derive(Clone, PartialEq, Eq, Debug, serde::Serialize)]
pub struct Turned {
    /// Counts the times that something changed.
    pub turn: u64,
    /// How many pages there are.
    pub count: usize,
    /// The pages that do not look as before, from 1.
    pub pages: Vec<usize>,
    /// What would be undone.
    pub undo: Option<String>,
    /// What would be done again.
    pub redo: Option<String>,
}

/// A system of music on a page with the item it belongs to.
pub struct OnPage<'a> {
    /// Where it stands.
    pub standing: Standing,
    /// Which item with music, from 0.
    pub item: usize,
    /// What is drawn.
    pub line: &'a Arc<System>,
}

/// What is to be said of the pages.
fn of_pages(said: &impl ToString, severity: Severity) -> Finding {
    Finding {
        rule: "pages",
        severity,
        place: FindingPlace::default(),
        message: said.to_string(),
        remedy: None,
        remedies: Vec::new(),
    }
}

impl Bench {
    /// Opens a folder. A book with faults is open, too: they are shown.
    ///
    /// # Errors
    /// If the journal cannot be read.
    #[cfg(test)]
    pub fn open(folder: &Path) -> Result<Self, JournalError> {
        let mut bench = Self::laid_out(folder)?;
        bench.turn_over();
        Ok(bench)
    }

    /// A folder whose book was not read yet; it is by [`turn_over`](Self::turn_over).
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn laid_out(folder: &Path) -> Result<Self, JournalError> {
        apoyando_book::tidy(folder);
        Ok(Self {
            folder: folder.to_owned(),
            workshop: Workshop::default(),
            proofs: Proofs::default(),
            journal: Journal::open(folder)?,
            book: None,
            built: None,
            standing: Vec::new(),
            paper: Paper::A4,
            faults: Vec::new(),
            seen: Seen::default(),
            turn: 0,
        })
    }

    /// Reads the book from disk and makes its pages again, as far as they changed.
    pub fn turn_over(&mut self) -> Turned {
        self.turn += 1;
        // What is written while the book is read is seen to be newer.
        self.seen = Seen::of(&self.folder);
        let pages = match Book::open(&self.folder) {
            Ok(book) => self.show(book),
            Err(faults) => {
                // The pages stay as they were.
                self.faults = faults.iter().map(apoyando_book::BookError::finding).collect();
                Vec::new()
            }
        };
        self.turned(pages)
    }

    fn show(&mut self, book: Book) -> Vec<usize> {
        let edition = book.main_edition();
        self.paper = paper_of(&edition);
        let built = self.workshop.build(&printing(&book, &edition), &|_| {});
        let before = self.proofs.count();
        let set = self.proofs.set(document(&built.plan));
        self.faults.clear();
        let pages = match set {
            Ok(pages) => {
                let faults = self.proofs.faults();
                self.faults.extend(faults.iter().map(|it| of_pages(it, Severity::Warning)));
                pages
            }
            Err(error) => {
                self.faults.push(of_pages(&error, Severity::Error));
                (1..=before).collect()
            }
        };
        self.standing = self.proofs.standing();
        (self.book, self.built) = (Some(Arc::new(book)), Some(Arc::new(built)));
        pages
    }

    fn turned(&self, pages: Vec<usize>) -> Turned {
        let (undo, redo) = self.journal.next();
        Turned { turn: self.turn, count: self.proofs.count(), pages, undo, redo }
    }

    /// How things stand; no page counts as changed.
    pub fn now(&self) -> Turned {
        self.turned(Vec::new())
    }

    /// The files as they were when the book was read last.
    pub fn seen(&self) -> &Seen {
        &self.seen
    }

    /// Makes an edit, and others of other files that belong to it: they are one step.
    ///
    /// # Errors
    /// As [`apply`] and [`Journal::make`]; nothing is changed then.
    pub fn edit(&mut self, edit: &Edit, also: &[Edit], said: &str) -> Result<Turned, JournalError> {
        let first: Change = apply(&self.folder, edit)?;
        let others: Vec<Change> =
            also.iter().map(|edit| apply(&self.folder, edit)).collect::<Result<_, _>>()?;
        self.journal.make(&first, said)?;
        for change in &others {
            if let Err(error) = self.journal.make_with(change, said) {
                self.journal.undo()?;
                return Err(error);
            }
        }
        Ok(self.turn_over())
    }

    /// Undoes the last edit.
    ///
    /// # Errors
    /// As [`Journal::undo`].
    pub fn undo(&mut self) -> Result<Turned, JournalError> {
        self.journal.undo()?;
        Ok(self.turn_over())
    }

    /// Makes the edit again that was undone last.
    ///
    /// # Errors
    /// As [`Journal::redo`].
    pub fn redo(&mut self) -> Result<Turned, JournalError> {
        self.journal.redo()?;
        Ok(self.turn_over())
    }

    /// The revision of a file of the book as it is on disk.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn revision(&self, file: &str) -> Result<Option<Revision>, EditError> {
        Ok(text_of(&self.folder, file)?.as_deref().map(Revision::of))
    }

    /// A file of the book as it is on disk.
    ///
    /// # Errors
    /// If it is not the book's or cannot be read.
    pub fn text(&self, file: &str) -> Result<Option<String>, EditError> {
        if !is_of_the_book(file) {
            return Err(EditError::NotOfTheBook(file.to_owned()));
        }
        text_of(&self.folder, file)
    }

    /// The files that the book's author writes, the plan first.
    pub fn files(&self) -> Vec<String> {
        let mut files = vec!["book.toml".to_owned()];
        for folder in ["sections", "text", "pieces"] {
            let entries =
                std::fs::read_dir(self.folder.join(folder)).into_iter().flatten().flatten();
            let names =
                entries.map(|entry| format!("{folder}/{}", entry.file_name().to_string_lossy()));
            let mut names: Vec<String> = names.filter(|name| is_of_the_book(name)).collect();
            names.sort();
            files.append(&mut names);
        }
        files
    }

    /// What is needed to make something of the book as it is shown; `None` if there is none.
    pub fn at_hand(&self) -> Option<AtHand> {
        let (book, built) = (self.book.clone()?, self.built.clone()?);
        Some(AtHand { book, built, turn: self.turn, workshop: self.workshop.clone() })
    }

    /// Has an item at hand as the book at a moment may come to have it, with its pages, if it is
    /// still that book.
    pub fn expect(&mut self, turn: u64, foreseen: Foreseen, ahead: Proofs) {
        if turn == self.turn {
            self.workshop.expect(foreseen);
            self.proofs.expect(ahead);
        }
    }

    /// Has nothing at hand of what may come.
    pub fn expect_nothing(&mut self) {
        self.workshop.expect_nothing();
        self.proofs.expect_nothing();
    }

    /// The folder of the book.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The book as it is shown.
    pub fn book(&self) -> Option<&Book> {
        self.book.as_deref()
    }

    /// The order of its pages.
    pub fn plan(&self) -> Option<&PagePlan> {
        self.built.as_ref().map(|built| &built.plan)
    }

    /// An item with music, from 0.
    pub fn item(&self, index: usize) -> Option<&Arc<BuiltItem>> {
        self.built.as_ref()?.items.get(index)
    }

    /// An item with music and the instrument it is played on.
    pub fn playable(&self, index: usize) -> Option<(Arc<BuiltItem>, Instrument)> {
        Some((self.item(index)?.clone(), self.book()?.instrument.clone()))
    }

    /// Where an item stands in the plan.
    pub fn place_of(&self, index: usize) -> Option<ItemPlace> {
        let item = self.item(index)?;
        Some(ItemPlace { section: item.section.clone(), item: item.index })
    }

    /// The pages.
    pub const fn proofs(&self) -> &Proofs {
        &self.proofs
    }

    /// The paper they are on.
    pub const fn paper(&self) -> Paper {
        self.paper
    }

    /// What is to be said of the book.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        let built = self.built.as_ref().into_iter().flat_map(|built| &built.findings);
        self.faults.iter().chain(built)
    }

    /// The first page on which each item with music stands.
    pub fn page_of(&self, item: usize) -> Option<usize> {
        self.standing.iter().find(|standing| standing.music == item).map(|standing| standing.page)
    }

    /// The systems of a page. The press counts music as the workshop does: whatever has
    /// systems, in reading order.
    pub fn systems(&self, page: usize) -> impl Iterator<Item = OnPage<'_>> {
        let musics: Vec<_> = self
            .plan()
            .into_iter()
            .flat_map(|plan| &plan.sections)
            .flat_map(|section| section.blocks.iter().filter_map(|block| block.music()))
            .collect();
        self.standing.iter().filter(move |standing| standing.page == page).filter_map(
            move |standing| {
                let music = musics.get(standing.music)?;
                let line = music.offers.get(standing.casting)?.systems.get(standing.system)?;
                Some(OnPage { standing: *standing, item: standing.music, line })
            },
        )
    }
}
