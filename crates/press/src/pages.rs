//! From the document to pages, and from pages to PDF and PNG.

use std::sync::Arc;

use apoyando_engrave::meter;
use typst::comemo;
use typst_layout::{Page, PagedDocument};
use typst_library::foundations::Smart;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::cast::{Chosen, Galley, Plan, cast, left};
use crate::document::Document;
use crate::error::{Fault, PressError};
use crate::forme::{Forme, Plates, forme};
use crate::galleys::{Known, galleys};
use crate::pixels;
use crate::placed::placed;
use crate::steps::{Step, UNWATCHED, Watch, step};
use crate::take::Take;
use crate::typesetter::{As, area, figures, said, typeset};

/// Pages, set and ready to be written.
pub struct Pages {
    set: PagedDocument,
    forme: Forme,
    area: (f64, f64),
}

/// Sets a document.
///
/// # Errors
/// Paper too small, a staff of absurd height, a drawing with lengths that are
/// not numbers. Words that cannot be printed and systems that do not fit are
/// no errors but [faults](Pages::faults).
pub fn set(document: &Document) -> Result<Pages, PressError> {
    set_watched(document, UNWATCHED)
}

/// [`set`], telling of every step.
///
/// # Errors
/// As [`set`]; [`PressError::Stopped`] when no more steps are wanted.
pub fn set_watched(document: &Document, watch: Watch<'_>) -> Result<Pages, PressError> {
    let set = best(document, watch);
    comemo::evict(0);
    set
}

/// The best lines and pages; if words ran otherwise than measured, the best
/// pages with the lines that are best by themselves; then only grown gaps, and
/// at the worst the pages as they are.
fn best(document: &Document, watch: Watch<'_>) -> Result<Pages, PressError> {
    let takes = Take::all(document).into_iter().map(|take| (take, Known::Nothing));
    let galleys = galleys(document, takes.collect(), watch)?;
    // What was needed to measure is in the way while the whole book is set.
    comemo::evict(0);
    let height = galleys.first().map_or(0.0, |galley| galley.height());
    for (before, choose) in WAYS.iter().enumerate() {
        step(watch, Step::Setting { time: before + 1 })?;
        let chosen = choose(&galleys);
        let forme = whole(document, &chosen)?;
        let plan = Plan::of(&chosen, &forme, height);
        let set = typeset(&forme, &plan, &As::Book)?;
        if plan.kept(&figures(&set)) {
            return Ok(Pages { set, forme, area: area(document) });
        }
    }
    step(watch, Step::Setting { time: WAYS.len() + 1 })?;
    let forme = whole(document, &left(&galleys))?;
    let set = typeset(&forme, &Plan::natural(&forme.gaps), &As::Book)?;
    Ok(Pages { set, forme, area: area(document) })
}

/// A way to choose lines and pages.
pub type Way = fn(&[Arc<Galley>]) -> Vec<Chosen>;

/// Ways to choose lines and pages, the best first.
pub const WAYS: [Way; 3] = [
    cast,
    |galleys| {
        cast(&galleys.iter().map(|galley| Arc::new(galley.without_choice())).collect::<Vec<_>>())
    },
    left,
];

fn whole(document: &Document, chosen: &[Chosen]) -> Result<Forme, PressError> {
    let castings: Vec<usize> = chosen.iter().flat_map(|c| c.castings.iter().copied()).collect();
    forme(document, &Take::whole(document), &castings, Plates::Inked)
}

/// Sets a document and writes it as PDF.
///
/// # Errors
/// See [`set`] and [`Pages::pdf`].
pub fn pdf(document: &Document) -> Result<Vec<u8>, PressError> {
    set(document)?.pdf()
}

/// Sets a document and draws one page, from 1, at so many dots per inch.
///
/// # Errors
/// See [`set`] and [`Pages::png`].
pub fn png(document: &Document, page: usize, dpi: f64) -> Result<Vec<u8>, PressError> {
    set(document)?.png(page, dpi)
}

impl Pages {
    /// How many there are.
    pub fn count(&self) -> usize {
        self.set.pages().len()
    }

    /// What the reader should not be the first to notice.
    pub fn faults(&self) -> &[Fault] {
        &self.forme.faults
    }

    /// Where systems, heads and other things stand, for the meter.
    #[must_use]
    pub fn placed(&self) -> Vec<meter::pages::Page> {
        placed(&self.set, &self.forme, self.area)
    }

    /// The pages as tagged PDF (PDF/UA-1, ISO 14289-1), with embedded subset
    /// fonts and bookmarks. The same document gives the same bytes.
    ///
    /// # Errors
    /// Where the PDF cannot be written; a fault of ours.
    pub fn pdf(&self) -> Result<Vec<u8>, PressError> {
        self.pdf_watched(UNWATCHED)
    }

    /// [`pdf`](Self::pdf), telling when it begins.
    ///
    /// # Errors
    /// As [`pdf`](Self::pdf); [`PressError::Stopped`] when no more steps are wanted.
    pub fn pdf_watched(&self, watch: Watch<'_>) -> Result<Vec<u8>, PressError> {
        step(watch, Step::Writing)?;
        let options = PdfOptions {
            ident: Smart::Auto,
            creator: Smart::Custom(Some("apoyando".to_owned())),
            timestamp: None,
            standards: PdfStandards::new(&[PdfStandard::Ua_1])
                .map_err(|error| PressError::Pdf(error.message().to_string()))?,
            ..PdfOptions::default()
        };
        let written = typst_pdf::pdf(&self.set, &options);
        comemo::evict(0);
        written.map_err(|errors| PressError::Pdf(said(&errors)))
    }

    /// A picture of a page, from 1, at so many dots per inch.
    ///
    /// # Errors
    /// No such page; a resolution below 10 or above 1200.
    pub fn png(&self, page: usize, dpi: f64) -> Result<Vec<u8>, PressError> {
        let drawn = picture(self.set.pages(), page, dpi);
        comemo::evict(0);
        drawn
    }
}

/// A picture of one of these pages, from 1.
pub fn picture<'a>(
    pages: impl IntoIterator<Item = &'a Page>,
    page: usize,
    dpi: f64,
) -> Result<Vec<u8>, PressError> {
    if !(10.0..=1200.0).contains(&dpi) {
        return Err(PressError::Resolution { dpi });
    }
    let pages: Vec<&Page> = pages.into_iter().collect();
    let found = page.checked_sub(1).and_then(|index| pages.get(index));
    let found = found.ok_or(PressError::NoSuchPage { page, pages: pages.len() })?;
    let options = typst_render::RenderOptions {
        pixel_per_pt: (dpi / 72.0).into(),
        ..typst_render::RenderOptions::default()
    };
    let drawn = typst_render::render(found, &options);
    pixels::png(drawn.data(), (drawn.width(), drawn.height()), dpi)
}
