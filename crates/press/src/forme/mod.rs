//! The forme: the document with every word and every plate made ready, and
//! with what the press must know to spread it over the pages.

mod diagrams;
mod figures;
mod heads;
mod music;
mod opener;
mod practice;
mod sane;

use std::str::FromStr;

use typst_library::foundations::{Array, Content, Dict, IntoValue, Value, dict};
use typst_library::layout::{Abs, Length};
use typst_library::text::{Lang, TextElem};

use crate::document::{Block, Document, NoticeKind, Opening, PageBreak, Section, Sign, TEXT_SIZE};
use crate::error::{Fault, PressError};
use crate::paper::Millimetres;
use crate::take::Take;
use crate::words::{Setter, short};

pub(crate) use sane::check;

pub use figures::{Begin, Choice, Figure, Gap, Head, Role, Size};
pub use heads::CONTENTS_DEPTH;

/// Points in a millimetre.
pub const POINTS: f64 = 72.0 / 25.4;

/// How much a gap may grow.
const STRETCH: f64 = 1.4;

/// Below this many characters an instruction stays in one piece with its music.
const LONG_INSTRUCTION: usize = 1500;

/// What goes to the typesetter.
#[derive(Clone)]
pub struct Forme {
    /// The pages' content.
    pub book: Dict,
    /// The gaps, by number.
    pub gaps: Vec<Gap>,
    /// The figures in order.
    pub figures: Vec<Figure>,
    /// What each music could be set in; it is set in the first.
    pub musics: Vec<Vec<Choice>>,
    /// Whether pages of blank staves may be put in.
    pub notes: bool,
    /// The heads that are printed in the contents.
    pub entries: Vec<Entry>,
    /// What was noticed on the way.
    pub faults: Vec<Fault>,
}

impl Forme {
    /// Whether it comes out of the typesetter as another does, with all figures in their places.
    pub fn is_set_as(&self, other: &Self) -> bool {
        self.figures.len() == other.figures.len()
            && self.gaps == other.gaps
            && self.book == other.book
    }
}

/// A head in the contents.
#[derive(Clone, PartialEq, Debug)]
pub struct Entry {
    /// The number of an exercise.
    pub number: Option<Content>,
    /// Its words.
    pub words: Content,
    /// Whether it stands below another.
    pub deep: bool,
}

/// What is put where the plates are.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Plates {
    /// White of the same size, which is enough to measure.
    Blank,
    /// The drawings.
    Inked,
}

struct Maker<'a> {
    document: &'a Document,
    plates: Plates,
    entries: Vec<Entry>,
    setter: Setter,
    blocks: Array,
    gaps: Vec<Gap>,
    figures: Vec<Figure>,
    /// The castings to set, by number; the first of each and a choice of all
    /// where there is none.
    chosen: &'a [usize],
    musics: Vec<Vec<Choice>>,
    faults: Vec<Fault>,
    lang: Lang,
    /// Gaps before this one belong to figures already made.
    claimed: usize,
    begin: Begin,
    /// Whether words came since the last figure.
    words: bool,
    /// The head waiting for its music.
    head: Option<Head>,
    heads: usize,
}

/// Makes a take of the document ready: with the chosen castings, one for each
/// music of it, or with the first of each and all to choose from.
pub fn forme(
    document: &Document,
    take: &Take,
    chosen: &[usize],
    plates: Plates,
) -> Result<Forme, PressError> {
    let paper = &document.paper;
    let (width, height) = (paper.type_width().0, paper.type_height().0);
    let sides = [paper.width, paper.height, paper.inner, paper.outer, paper.top, paper.bottom];
    let sane = sides.iter().all(|side| (0.0..=5000.0).contains(&side.0));
    if !(sane && width >= 60.0 && height >= 60.0) {
        return Err(PressError::Paper { width, height });
    }
    let mut maker = Maker {
        document,
        plates,
        entries: Vec::new(),
        setter: Setter::default(),
        blocks: Array::new(),
        gaps: Vec::new(),
        figures: Vec::new(),
        chosen,
        musics: Vec::new(),
        faults: Vec::new(),
        lang: Lang::from_str(&document.language).unwrap_or(Lang::ENGLISH),
        claimed: 0,
        begin: Begin::Recto,
        words: false,
        head: None,
        heads: 0,
    };
    let mut book = maker.front(take.front)?;
    for section in &document.sections[take.sections.clone()] {
        maker.section(section)?;
    }
    book.insert("blocks".into(), Value::Array(maker.blocks));
    let mut faults = maker.setter.faults;
    faults.append(&mut maker.faults);
    Ok(Forme {
        book,
        gaps: maker.gaps,
        figures: maker.figures,
        musics: maker.musics,
        notes: document.notes.is_some(),
        entries: maker.entries,
        faults,
    })
}

impl Maker<'_> {
    /// How large words are by their usual size.
    fn text_scale(&self) -> f64 {
        self.document.text_size.clamp(6.0, 40.0) / TEXT_SIZE
    }

    /// What holds for the whole book, with the title page and the contents if
    /// they are to be set.
    fn front(&mut self, set: bool) -> Result<Dict, PressError> {
        let document = self.document;
        let paper = &document.paper;
        let scale = self.text_scale();
        let title = self.setter.printable("title", &document.title);
        let running = self.setter.running("title", &document.title);
        let title_page = document.title_page.as_ref().filter(|_| set);
        let verso = match title_page {
            Some(page) => self.verso(&page.verso)?,
            None => Array::new(),
        };
        let title_page = title_page.map(|page| {
            let letters = document.title.chars().count();
            let size = match letters {
                0..=40 => 36.0,
                41..=100 => 26.0,
                _ => 19.0,
            };
            dict! {
                "size" => points(size),
                "title" => self.setter.line("title", &document.title),
                "author" => self.optional("author", document.author.as_deref()),
                "subtitle" => self.optional("subtitle", page.subtitle.as_deref()),
                "edition" => self.optional("edition", page.edition.as_deref()),
                "imprint" => self.optional("imprint", page.imprint.as_deref()),
                "verso" => verso,
            }
        });
        let contents = document
            .contents
            .as_deref()
            .filter(|_| set)
            .map(|heading| self.setter.line("heading of the contents", heading));
        let notes = self.optional("heading of a page for notes", document.notes.as_deref());
        Ok(dict! {
            "notes" => notes,
            "title" => crate::words::titled(&title),
            "author" => match &document.author {
                Some(author) => Array::from_iter([author.as_str().into_value()]),
                None => Array::new(),
            },
            "lang" => self.lang.as_str(),
            "scale" => scale,
            "hole" => crate::cast::HOLE,
            "width" => mm(paper.type_width()),
            "paper" => dict! {
                "width" => mm(paper.width),
                "height" => mm(paper.height),
                "inner" => mm(paper.inner),
                "outer" => mm(paper.outer),
                "top" => mm(paper.top),
                "bottom" => mm(paper.bottom),
            },
            "running" => TextElem::packed(running),
            "title-page" => title_page,
            "contents" => contents,
        })
    }

    /// What stands on the back of the title page. It changes nothing for the sections.
    fn verso(&mut self, blocks: &[Block]) -> Result<Array, PressError> {
        let place = "back of the title page";
        let level = self.setter.level;
        for block in blocks {
            self.block(place, block, 0)?;
        }
        self.setter.level = level;
        (self.words, self.begin) = (false, Begin::Recto);
        Ok(std::mem::take(&mut self.blocks))
    }

    /// A line, or nothing where there are no words.
    fn optional(&mut self, place: &str, text: Option<&str>) -> Option<Content> {
        let text = text.filter(|text| !text.trim().is_empty())?;
        Some(self.setter.line(place, text))
    }

    fn prose(&mut self, place: &str, source: &str, under: usize) -> Option<Content> {
        if source.trim().is_empty() {
            return None;
        }
        Some(self.setter.prose(place, source, under))
    }

    fn put(&mut self, kind: &str, mut block: Dict) {
        block.insert("kind".into(), kind.into_value());
        self.blocks.push(Value::Dict(block));
    }

    fn gap(&mut self, gap: Gap) -> i64 {
        self.gaps.push(gap);
        self.gaps.len() as i64 - 1
    }

    fn section(&mut self, section: &Section) -> Result<(), PressError> {
        let place = match section.heading.as_deref() {
            Some(heading) => format!("section “{}”", short(heading, 60)),
            None => "section without a heading".to_owned(),
        };
        let heading = self.optional(&place, section.heading.as_deref());
        let under = usize::from(heading.is_some());
        if section.opening != Opening::RunOn {
            // No level is carried over from another section, so that each can
            // be set by itself.
            self.setter.level = usize::from(self.document.contents.is_some());
        }
        if let Some(words) = &heading {
            self.entries.push(Entry { number: None, words: words.clone(), deep: false });
        }
        let heading_is_printed = heading.is_some();
        let level = if under > 0 { self.setter.level(1).get() as i64 } else { 0 };
        let running = self.setter.running(&place, section.heading.as_deref().unwrap_or_default());
        let line = self.optional(&place, section.line.as_deref());
        let advice = self.prose(&place, &section.advice, under);
        let opening = match section.opening {
            Opening::Recto => "recto",
            Opening::NextPage => "next",
            Opening::RunOn => "run-on",
        };
        self.begin = self.begin.max(match section.opening {
            Opening::Recto => Begin::Recto,
            Opening::NextPage => Begin::NextPage,
            Opening::RunOn => Begin::Below,
        });
        self.words |= heading.is_some() || line.is_some() || advice.is_some();
        let news = section.news.as_ref().map(|news| self.news(&place, news));
        let map = section.map.as_ref().map(|map| self.map(&place, map)).transpose()?;
        self.put(
            "section",
            dict! {
                "heading" => heading,
                "short" => TextElem::packed(running),
                "level" => level,
                "line" => line,
                "advice" => advice,
                "news" => news,
                "map" => map,
                "opening" => opening,
                "hung" => section.hung && heading_is_printed,
            },
        );
        for block in &section.blocks {
            self.block(&place, block, under)?;
        }
        Ok(())
    }

    fn block(&mut self, place: &str, block: &Block, under: usize) -> Result<(), PressError> {
        match block {
            Block::Exercise(exercise) => self.exercise(exercise, under)?,
            Block::Piece(piece) => self.piece(piece, under)?,
            Block::Heading(heading) => {
                self.words = true;
                if let Some(body) = self.optional(place, Some(heading)) {
                    let level = self.setter.level(under + 1).get() as i64;
                    self.heads += 1;
                    self.put("heading", dict! { "level" => level, "body" => body });
                }
            }
            Block::Prose(source) => {
                self.words = true;
                if let Some(body) = self.prose(place, source, under) {
                    self.put("prose", dict! { "body" => body });
                }
            }
            Block::Music(music) => self.music(place, music)?,
            Block::Diagrams(row) => self.diagrams(place, row, false)?,
            Block::Notice(notice) => {
                self.words = true;
                let title = self.optional(place, Some(&notice.title));
                let body = self.prose(place, &notice.text, under).unwrap_or_default();
                self.put(
                    "notice",
                    dict! {
                        "caution" => notice.kind == NoticeKind::Caution,
                        "title" => title,
                        "body" => body,
                        "long" => notice.text.chars().count() > LONG_INSTRUCTION,
                    },
                );
            }
            Block::Credits(credits) => {
                self.words = true;
                let lines = credits.iter().map(|credit| {
                    let what = self.setter.line(place, &credit.what);
                    let who = self.setter.line(place, &credit.who);
                    Array::from_iter([what.into_value(), who.into_value()]).into_value()
                });
                let lines = Array::from_iter(lines);
                self.put("credits", dict! { "credits" => lines });
            }
            Block::Signs(signs) => {
                self.words = true;
                let lines = signs.iter().map(|Sign { sign, meaning }| {
                    let words = [sign, meaning].map(|it| self.setter.prose(place, it, under));
                    Array::from_iter(words.map(IntoValue::into_value)).into_value()
                });
                let lines = Array::from_iter(lines);
                self.put("signs", dict! { "signs" => lines });
            }
            Block::PageBreak(kind) => {
                let (begin, kind) = match kind {
                    PageBreak::Next => (Begin::NextPage, "page"),
                    PageBreak::Recto => (Begin::Recto, "recto"),
                };
                self.begin = self.begin.max(begin);
                self.put(kind, Dict::new());
            }
        }
        Ok(())
    }
}

fn points(points: f64) -> Value {
    Length::from(Abs::pt(points)).into_value()
}

fn mm(mm: Millimetres) -> Value {
    points(mm.0 * POINTS)
}
