//! The typesetter: a forme goes in, pages come out.

use std::sync::LazyLock;

use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::{LibraryExt, World};
use typst_layout::PagedDocument;
use typst_library::Library;
use typst_library::diag::{FileError, FileResult, SourceDiagnostic};
use typst_library::foundations::{
    Array, Bytes, Content, Datetime, Duration, IntoValue, Label, NativeElement, Selector,
    StyleChain, Value, dict,
};
use typst_library::introspection::Introspector;
use typst_library::layout::{Abs, Length};
use typst_library::model::{FigureElem, HeadingElem};
use typst_library::text::{Font, FontBook, TextElem};
use typst_utils::{LazyHash, PicoStr};

use crate::cast::{Break, Galley, Measured, Place, Plan, lowest};
use crate::document::Document;
use crate::error::PressError;
use crate::faces::faces;
use crate::forme::{CONTENTS_DEPTH, Entry, Forme, POINTS, Plates, forme};
use crate::take::Take;

/// How a forme is set.
#[derive(Clone, PartialEq, Debug)]
pub enum As {
    /// To be measured: nothing in the margins. The contents list these heads,
    /// without page numbers.
    Galley(Vec<Entry>),
    /// The whole book. The contents find their heads and pages themselves.
    Book,
    /// A take that comes out as it does in the book.
    Proof(Proof),
}

/// What a take must know of the rest of its book.
#[derive(Clone, PartialEq, Debug)]
pub struct Proof {
    /// The number of its first page.
    pub page: usize,
    /// What the running head says until a section says other.
    pub running: String,
    /// What the contents list, with the pages.
    pub contents: Vec<(Entry, usize)>,
}

impl Proof {
    /// Whether a page comes before the first so that odd pages lie on the
    /// right.
    pub const fn padded(&self) -> bool {
        self.page.is_multiple_of(2)
    }
}

/// Sets a forme by a plan.
pub fn typeset(forme: &Forme, plan: &Plan, how: &As) -> Result<PagedDocument, PressError> {
    let gaps = plan.gaps.iter().zip(&plan.breaks).map(|(gap, page)| match page {
        Break::None => Length::from(Abs::pt(*gap)).into_value(),
        Break::Page => Value::None,
        Break::Notes => "notes".into_value(),
    });
    let take = match how {
        As::Galley(entries) => dict! {
            "margins" => false,
            "padded" => false,
            "before" => 0,
            "running" => Value::None,
            "contents" => listed(entries.iter().map(|entry| (entry, None))),
        },
        As::Book => dict! {
            "margins" => true,
            "padded" => false,
            "before" => 0,
            "running" => Value::None,
            "contents" => Value::None,
        },
        As::Proof(proof) => dict! {
            "margins" => true,
            "padded" => proof.padded(),
            "before" => (proof.page - 1 - usize::from(proof.padded())) as i64,
            "running" => TextElem::packed(proof.running.as_str()),
            "contents" => listed(proof.contents.iter().map(|(entry, page)| (entry, Some(*page)))),
        },
    };
    let inputs =
        dict! { "book" => forme.book.clone(), "gaps" => Array::from_iter(gaps), "take" => take };
    let world = Shop { library: LazyHash::new(Library::builder().with_inputs(inputs).build()) };
    let warned = typst::compile::<PagedDocument>(&world);
    // Pages that would look otherwise if they were set once more are wrong somewhere.
    if warned.warnings.iter().any(|warning| warning.message.contains("converge")) {
        return Err(PressError::Setting(said(&warned.warnings)));
    }
    warned.output.map_err(|errors| PressError::Setting(said(&errors)))
}

fn listed<'a>(entries: impl Iterator<Item = (&'a Entry, Option<usize>)>) -> Array {
    entries
        .map(|(entry, page)| {
            dict! {
                "number" => entry.number.clone(),
                "words" => entry.words.clone(),
                "deep" => entry.deep,
                "page" => page.map_or_else(|| "000".to_owned(), |page| page.to_string()),
            }
            .into_value()
        })
        .collect()
}

/// What the typesetter complains of.
pub fn said(errors: &[SourceDiagnostic]) -> String {
    errors.iter().map(|error| error.message.as_str()).collect::<Vec<_>>().join("; ")
}

/// Sets a take to be measured. `listed` are the heads in the contents of the
/// book, if the take holds them. What it was before it changed is not set again where
/// nothing that is measured did: other ink on plates of the same size.
pub fn galley(
    document: &Document,
    take: &Take,
    listed: Vec<Entry>,
    before: Option<&Galley>,
) -> Result<Galley, PressError> {
    let mut forme = forme(document, take, &[], Plates::Blank)?;
    if let Some(before) = before.filter(|it| it.listed == listed && it.forme.is_set_as(&forme)) {
        return Ok(Galley { forme, recto: take.recto, ..before.clone() });
    }
    let how = As::Galley(listed);
    let set = typeset(&forme, &Plan::natural(&forme.gaps), &how)?;
    let mut measured = measure(&set, area(document));
    if measured.figures.len() != forme.figures.len() {
        // What cannot be measured is left as it falls.
        measured.figures.clear();
        forme.figures.clear();
    }
    let As::Galley(listed) = how else { unreachable!("made above") };
    let listed_heads = listed_heads(&set).into_iter().map(|page| page + 1).collect();
    Ok(Galley {
        forme,
        measured,
        recto: take.recto,
        pages: set.pages().len(),
        listed_heads,
        listed,
    })
}

/// Upper and lower edge of the type area, in points from the top.
pub fn area(document: &Document) -> (f64, f64) {
    let paper = &document.paper;
    (paper.top.0 * POINTS, (paper.height.0 - paper.bottom.0) * POINTS)
}

/// Measures pages.
pub fn measure(set: &PagedDocument, area: (f64, f64)) -> Measured {
    let heads = Label::new(PicoStr::constant("head")).map(Selector::Label);
    Measured {
        area,
        figures: figures(set),
        heads: heads.map(|heads| places(set, &heads)).unwrap_or_default(),
        lowest: lowest(set, area),
    }
}

/// Where the figures stand, in reading order.
pub fn figures(set: &PagedDocument) -> Vec<Place> {
    places(set, &Selector::Elem(FigureElem::ELEM, None))
}

/// Where elements stand, in reading order.
pub fn places(set: &PagedDocument, which: &Selector) -> Vec<Place> {
    let introspector = set.introspector();
    let place = |element: &Content| {
        let position = introspector.position(element.location()?)?;
        Some(Place { page: position.page.get() - 1, y: position.point.y.to_pt() })
    };
    introspector.query(which).iter().filter_map(place).collect()
}

/// The pages, from 0, of the heads that are in the contents.
pub fn listed_heads(set: &PagedDocument) -> Vec<usize> {
    let introspector = set.introspector();
    let page = |element: &Content| {
        let heading = element.to_packed::<HeadingElem>()?;
        let styles = StyleChain::default();
        let listed =
            heading.outlined.get(styles) && heading.resolve_level(styles).get() <= CONTENTS_DEPTH;
        Some(introspector.page(element.location()?)?.get() - 1).filter(|_| listed)
    };
    introspector.query(&Selector::Elem(HeadingElem::ELEM, None)).iter().filter_map(page).collect()
}

/// The world of the typesetter: one source, our faces, no files, no clock.
struct Shop {
    library: LazyHash<Library>,
}

/// How the pages look; each part stands on those before it.
const LAYOUT: &str = concat!(
    include_str!("layout/sheet.typ"),
    include_str!("layout/front.typ"),
    include_str!("layout/lesson.typ"),
    include_str!("layout/words.typ"),
    include_str!("layout/book.typ"),
);

/// The one source; its name is interned once for the life of the program.
static SOURCE: LazyLock<Source> = LazyLock::new(|| {
    let path = VirtualPath::new("book.typ").expect("a plain name is a path");
    let id: FileId = RootedPath::new(VirtualRoot::Project, path).intern();
    Source::new(id, LAYOUT.to_owned())
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
