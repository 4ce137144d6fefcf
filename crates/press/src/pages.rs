//! From the forme to pages, and from pages to PDF and PNG.

use std::sync::LazyLock;

use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::{LibraryExt, comemo};
use typst_layout::PagedDocument;
use typst_library::diag::{FileError, FileResult, SourceDiagnostic};
use typst_library::foundations::{
    Array, Bytes, Content, Datetime, Dict, Duration, IntoValue, Label, NativeElement, Selector,
    Smart, Value, dict,
};
use typst_library::introspection::Introspector;
use typst_library::layout::{Abs, Length};
use typst_library::model::FigureElem;
use typst_library::text::{Font, FontBook};
use typst_library::{Library, World};
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};
use typst_utils::{LazyHash, PicoStr};

use crate::cast::{Break, Measured, Place, Plan, cast, lowest, spread};
use crate::document::Document;
use crate::error::{Fault, PressError};
use crate::faces::faces;
use crate::forme::{Forme, POINTS, forme};

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
    let set = best(document);
    comemo::evict(0);
    set
}

/// The best lines and pages; if words ran otherwise than measured, the best
/// pages with the lines that are best by themselves; then only grown gaps, and
/// at the worst the pages as they are.
fn best(document: &Document) -> Result<Pages, PressError> {
    let plain = forme(document, &[])?;
    let set = typeset(&plain.book, &Plan::natural(&plain.gaps))?;
    let measured = measure(document, &set);
    let alone: Vec<usize> = plain.musics.iter().map(|choices| choices[0].casting).collect();
    let (chosen, plan) = cast(&measured, &plain);
    if chosen == alone {
        if let Some(set) = planned(&plain, &set, &plan)? {
            return Ok(Pages { set, faults: plain.faults });
        }
    } else {
        for castings in [&chosen, &alone] {
            let forme = forme(document, castings)?;
            let set = typeset(&forme.book, &Plan::natural(&forme.gaps))?;
            let (_, plan) = cast(&measure(document, &set), &forme);
            if let Some(set) = planned(&forme, &set, &plan)? {
                return Ok(Pages { set, faults: forme.faults });
            }
        }
    }
    let plan = spread(&measured, &plain.gaps, &plain.figures);
    let spread = planned(&plain, &set, &plan)?;
    Ok(Pages { set: spread.unwrap_or(set), faults: plain.faults })
}

/// Pages set by a plan, if they come out as planned. `natural` are those set
/// without.
fn planned(
    forme: &Forme,
    natural: &PagedDocument,
    plan: &Plan,
) -> Result<Option<PagedDocument>, PressError> {
    let before = Plan::natural(&forme.gaps);
    if (&plan.gaps, &plan.breaks) == (&before.gaps, &before.breaks) {
        let kept = plan.kept(&places(natural, &figures_of()));
        return Ok(kept.then(|| natural.clone()));
    }
    let set = typeset(&forme.book, plan)?;
    Ok(plan.kept(&places(&set, &figures_of())).then_some(set))
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

fn figures_of() -> Selector {
    Selector::Elem(FigureElem::ELEM, None)
}

/// Where the elements stand, in reading order.
fn places(set: &PagedDocument, which: &Selector) -> Vec<Place> {
    let introspector = set.introspector();
    let place = |element: &Content| {
        let position = introspector.position(element.location()?)?;
        Some(Place { page: position.page.get() - 1, y: position.point.y.to_pt() })
    };
    introspector.query(which).iter().filter_map(place).collect()
}

fn measure(document: &Document, set: &PagedDocument) -> Measured {
    let paper = &document.paper;
    let area = (paper.top.0 * POINTS, (paper.height.0 - paper.bottom.0) * POINTS);
    let heads = Label::new(PicoStr::constant("head")).map(Selector::Label);
    Measured {
        area,
        figures: places(set, &figures_of()),
        heads: heads.map(|heads| places(set, &heads)).unwrap_or_default(),
        lowest: lowest(set, area),
    }
}

fn typeset(book: &Dict, plan: &Plan) -> Result<PagedDocument, PressError> {
    let gaps = plan.gaps.iter().zip(&plan.breaks).map(|(gap, page)| match page {
        Break::None => Length::from(Abs::pt(*gap)).into_value(),
        Break::Page => Value::None,
        Break::Notes => "notes".into_value(),
    });
    let inputs = dict! { "book" => book.clone(), "gaps" => Array::from_iter(gaps) };
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
