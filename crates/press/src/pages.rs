//! From the forme to pages, and from pages to PDF and PNG.

use std::sync::LazyLock;

use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::{LibraryExt, comemo};
use typst_layout::PagedDocument;
use typst_library::diag::{FileError, FileResult, SourceDiagnostic};
use typst_library::foundations::{
    Array, Bytes, Datetime, Dict, Duration, IntoValue, NativeElement, Selector, Smart, dict,
};
use typst_library::introspection::Introspector;
use typst_library::layout::{Abs, Length};
use typst_library::model::FigureElem;
use typst_library::text::{Font, FontBook};
use typst_library::{Library, World};
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};
use typst_utils::LazyHash;

use crate::document::Document;
use crate::error::{Fault, PressError};
use crate::faces::faces;
use crate::forme::{Forme, POINTS, forme};
use crate::spread::spread;

/// Pages, set and ready to be written.
pub struct Pages {
    set: PagedDocument,
    faults: Vec<Fault>,
}

/// Sets a document.
///
/// # Errors
/// Paper too small, a staff of absurd height, a drawing with lengths that are
/// not numbers. Words that cannot be printed and systems that do not fit are
/// no errors but [faults](Pages::faults).
pub fn set(document: &Document) -> Result<Pages, PressError> {
    let Forme { book, gaps, figures, faults } = forme(document)?;
    let natural: Vec<f64> = gaps.iter().map(|gap| gap.height).collect();
    let first = typeset(&book, &natural);
    let set = first.and_then(|first| {
        let before = places(&first);
        let spread = spread(document, &first, &before, &gaps, &figures);
        if spread == natural {
            return Ok(first);
        }
        let second = typeset(&book, &spread)?;
        // Growing gaps must move nothing to another page.
        let pages = |places: &[Place]| places.iter().map(|place| place.page).collect::<Vec<_>>();
        let same = pages(&places(&second)) == pages(&before)
            && first.pages().len() == second.pages().len();
        Ok(if same { second } else { first })
    });
    comemo::evict(0);
    Ok(Pages { set: set?, faults })
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
        &self.faults
    }

    /// The pages as tagged PDF (PDF/UA-1, ISO 14289-1), with embedded subset
    /// fonts and bookmarks. The same document gives the same bytes.
    ///
    /// # Errors
    /// Where the PDF cannot be written; a fault of ours.
    pub fn pdf(&self) -> Result<Vec<u8>, PressError> {
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
        if !(10.0..=1200.0).contains(&dpi) {
            return Err(PressError::Resolution { dpi });
        }
        let pages = self.count();
        let found = page.checked_sub(1).and_then(|index| self.set.pages().get(index));
        let found = found.ok_or(PressError::NoSuchPage { page, pages })?;
        let options = typst_render::RenderOptions {
            pixel_per_pt: (dpi / 72.0).into(),
            ..typst_render::RenderOptions::default()
        };
        let drawn = typst_render::render(found, &options).encode_png();
        comemo::evict(0);
        drawn.map_err(|error| PressError::Picture(error.to_string()))
    }
}

/// Where a figure came to stand.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Place {
    /// Its page, from 0.
    pub page: usize,
}

fn places(set: &PagedDocument) -> Vec<Place> {
    let introspector = set.introspector();
    introspector
        .query(&Selector::Elem(FigureElem::ELEM, None))
        .iter()
        .filter_map(|figure| introspector.page(figure.location()?))
        .map(|page| Place { page: page.get() - 1 })
        .collect()
}

fn typeset(book: &Dict, gaps: &[f64]) -> Result<PagedDocument, PressError> {
    let lengths = gaps.iter().map(|gap| Length::from(Abs::pt(*gap)).into_value());
    let inputs = dict! { "book" => book.clone(), "gaps" => Array::from_iter(lengths) };
    let world = Shop { library: LazyHash::new(Library::builder().with_inputs(inputs).build()) };
    let warned = typst::compile::<PagedDocument>(&world);
    warned.output.map_err(|errors| PressError::Setting(said(&errors)))
}

fn said(errors: &[SourceDiagnostic]) -> String {
    errors.iter().map(|error| error.message.as_str()).collect::<Vec<_>>().join("; ")
}

/// The world of the typesetter: one source, our faces, no files, no clock.
struct Shop {
    library: LazyHash<Library>,
}

/// The one source; its name is interned once for the life of the program.
static SOURCE: LazyLock<Source> = LazyLock::new(|| {
    let path = VirtualPath::new("book.typ").expect("a plain name is a path");
    let id: FileId = RootedPath::new(VirtualRoot::Project, path).intern();
    Source::new(id, include_str!("book.typ").to_owned())
});

impl World for Shop {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &faces().book
    }

    fn main(&self) -> FileId {
        SOURCE.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == SOURCE.id() { Ok(SOURCE.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn file(&self, _: FileId) -> FileResult<Bytes> {
        Err(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        faces().fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

/// Height of the type area in points.
pub fn type_area(document: &Document) -> (f64, f64) {
    let paper = &document.paper;
    (paper.top.0 * POINTS, (paper.height.0 - paper.bottom.0) * POINTS)
}
