//! The forme: the document with every word and every plate made ready, and
//! with what the press must know to spread it over the pages.

mod opener;
mod practice;

use std::str::FromStr;

use apoyando_engrave::{Drawing, Ink, Kind, Outline, Point};
use typst_library::foundations::{Array, Content, Dict, IntoValue, Value, dict};
use typst_library::layout::{Abs, Length};
use typst_library::text::{Lang, TextElem};

use crate::document::{
    Block, DiagramRow, Document, Exercise, Music, NoticeKind, Opening, PageBreak, Piece, Section,
    ShapeTable, TEXT_SIZE,
};
use crate::error::{Fault, PressError};
use crate::faces::faces;
use crate::paper::Millimetres;
use crate::plate::Plate;
use crate::words::{Setter, short};

/// Points in a millimetre.
pub const POINTS: f64 = 72.0 / 25.4;

/// How much a gap may grow.
const STRETCH: f64 = 1.4;

/// Clear ink between systems at least, in staff spaces.
const CLEAR: f64 = 1.5;

/// Space above the head of an exercise and of a piece, in mm.
const ABOVE_HEAD: f64 = 9.0;

/// Space between the words above a piece of music and its ink, in mm.
const ABOVE_MUSIC: f64 = 4.0;

/// Below this many characters an instruction stays in one piece with its music.
const LONG_INSTRUCTION: usize = 1500;

/// A gap that can grow when the page has room left.
#[derive(Clone, Copy, Debug)]
pub struct Gap {
    /// Its natural height in points.
    pub height: f64,
    /// How much it may grow, in points.
    pub stretch: f64,
}

/// A figure on the pages, in reading order.
#[derive(Clone, Copy, Debug)]
pub struct Figure {
    /// The gaps between it and the figure before it.
    pub first_gap: usize,
    /// One past the last of them.
    pub end_gap: usize,
    /// Whether a page was begun on purpose since the figure before it.
    pub fresh: bool,
    /// Whether words that are no head stand between it and the one before it.
    pub words_before: bool,
    /// What it is.
    pub role: Role,
    /// Its height in points.
    pub height: f64,
}

/// What a figure is.
#[derive(Clone, Copy, Debug)]
pub enum Role {
    /// A system of music, by its index among so many.
    System {
        /// From 0.
        index: usize,
        /// How many.
        count: usize,
        /// The head above the first.
        head: Option<Head>,
    },
    /// A diagram between a head and its music.
    BeforeMusic,
    /// A diagram among words.
    Loose,
}

/// The head of an exercise or a piece.
#[derive(Clone, Copy, Debug)]
pub struct Head {
    /// Which one, from 0.
    pub ordinal: usize,
    /// The gap above it.
    pub gap: usize,
}

/// What goes to the typesetter.
pub struct Forme {
    /// The pages' content.
    pub book: Dict,
    /// The gaps, by number.
    pub gaps: Vec<Gap>,
    /// The figures in order.
    pub figures: Vec<Figure>,
    /// What was noticed on the way.
    pub faults: Vec<Fault>,
}

struct Maker<'a> {
    document: &'a Document,
    setter: Setter,
    blocks: Array,
    gaps: Vec<Gap>,
    figures: Vec<Figure>,
    faults: Vec<Fault>,
    lang: Lang,
    /// Gaps before this one belong to figures already made.
    claimed: usize,
    fresh: bool,
    /// Whether words came since the last figure.
    words: bool,
    /// The head waiting for its music.
    head: Option<Head>,
    heads: usize,
}

/// Makes the document ready.
pub fn forme(document: &Document) -> Result<Forme, PressError> {
    let paper = &document.paper;
    let (width, height) = (paper.type_width().0, paper.type_height().0);
    let sides = [paper.width, paper.height, paper.inner, paper.outer, paper.top, paper.bottom];
    let sane = sides.iter().all(|side| (0.0..=5000.0).contains(&side.0));
    if !(sane && width >= 60.0 && height >= 60.0) {
        return Err(PressError::Paper { width, height });
    }
    let mut maker = Maker {
        document,
        setter: Setter::default(),
        blocks: Array::new(),
        gaps: Vec::new(),
        figures: Vec::new(),
        faults: Vec::new(),
        lang: Lang::from_str(&document.language).unwrap_or(Lang::ENGLISH),
        claimed: 0,
        fresh: true,
        words: false,
        head: None,
        heads: 0,
    };
    let front = maker.front();
    for section in &document.sections {
        maker.section(section)?;
    }
    let mut book = front;
    book.insert("blocks".into(), Value::Array(maker.blocks));
    let mut faults = maker.setter.faults;
    faults.append(&mut maker.faults);
    Ok(Forme { book, gaps: maker.gaps, figures: maker.figures, faults })
}

impl Maker<'_> {
    fn front(&mut self) -> Dict {
        let document = self.document;
        let paper = &document.paper;
        let scale = document.text_size.clamp(6.0, 40.0) / TEXT_SIZE;
        let title = self.setter.printable("title", &document.title);
        let running = short(&title, 60);
        let title_page = document.title_page.as_ref().map(|page| {
            let letters = document.title.chars().count();
            let size = match letters {
                0..=40 => 34.0,
                41..=100 => 26.0,
                _ => 19.0,
            };
            dict! {
                "size" => points(size),
                "title" => self.setter.line("title", &document.title),
                "author" => self.optional("author", document.author.as_deref()),
                "subtitle" => self.optional("subtitle", page.subtitle.as_deref()),
                "imprint" => self.optional("imprint", page.imprint.as_deref()),
            }
        });
        let contents = document.contents.as_deref().map(|heading| {
            self.setter.level = self.setter.level.max(1);
            self.setter.line("heading of the contents", heading)
        });
        dict! {
            "title" => if title.trim().is_empty() { "Untitled".to_owned() } else { title },
            "author" => match &document.author {
                Some(author) => Array::from_iter([author.as_str().into_value()]),
                None => Array::new(),
            },
            "lang" => self.lang.as_str(),
            "scale" => scale,
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
        }
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

    fn gap(&mut self, height: f64, stretch: f64) -> i64 {
        self.gaps.push(Gap { height, stretch });
        self.gaps.len() as i64 - 1
    }

    fn section(&mut self, section: &Section) -> Result<(), PressError> {
        let place = match section.heading.as_deref() {
            Some(heading) => format!("section “{}”", short(heading, 60)),
            None => "section without a heading".to_owned(),
        };
        let heading = self.optional(&place, section.heading.as_deref());
        let under = usize::from(heading.is_some());
        let level = if under > 0 { self.setter.level(1).get() as i64 } else { 0 };
        let short = self.setter.printable(&place, section.heading.as_deref().unwrap_or_default());
        let line = self.optional(&place, section.line.as_deref());
        let advice = self.prose(&place, &section.advice, under);
        let opening = match section.opening {
            Opening::Recto => "recto",
            Opening::NextPage => "next",
            Opening::RunOn => "run-on",
        };
        self.fresh |= section.opening != Opening::RunOn;
        self.words |= heading.is_some() || line.is_some() || advice.is_some();
        let news = section.news.as_ref().map(|news| self.news(&place, news));
        let map = section.map.as_ref().map(|map| self.map(&place, map)).transpose()?;
        self.put(
            "section",
            dict! {
                "heading" => heading,
                "short" => TextElem::packed(crate::words::short(&short, 60)),
                "level" => level,
                "line" => line,
                "advice" => advice,
                "news" => news,
                "map" => map,
                "opening" => opening,
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
            Block::Shapes(table) => self.shapes(place, table),
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
            Block::PageBreak(kind) => {
                self.fresh = true;
                let kind = match kind {
                    PageBreak::Next => "page",
                    PageBreak::Recto => "recto",
                };
                self.put(kind, Dict::new());
            }
        }
        Ok(())
    }

    fn exercise(&mut self, exercise: &Exercise, under: usize) -> Result<(), PressError> {
        let place = format!("exercise {}", short(&exercise.number, 20));
        let heading = Content::sequence([
            self.setter.line(&place, &exercise.number),
            TextElem::packed('\u{2002}'),
            self.setter.line(&place, &exercise.title),
        ]);
        let level = self.setter.level(under + 1).get() as i64;
        let gap = self.head(ABOVE_HEAD * POINTS);
        self.put("exercise", dict! { "heading" => heading, "level" => level, "gap" => gap });
        self.practice(&place, &exercise.practice);
        self.instruction(&place, &exercise.instruction, under + 1);
        if let Some(row) = &exercise.diagrams {
            self.diagrams(&place, row, true)?;
        }
        self.music(&place, &exercise.music)?;
        self.headed();
        for block in &exercise.after {
            self.block(&place, block, under + 1)?;
        }
        Ok(())
    }

    fn piece(&mut self, piece: &Piece, under: usize) -> Result<(), PressError> {
        let place = format!("piece “{}”", short(&piece.title, 60));
        let heading = self.setter.line(&place, &piece.title);
        let level = self.setter.level(under + 1).get() as i64;
        let gap = self.head(1.4 * ABOVE_HEAD * POINTS);
        let source = self.optional(&place, piece.source.as_deref());
        let tuning = self.optional(&place, piece.tuning.as_deref());
        let composer = self.optional(&place, piece.composer.as_deref());
        self.put(
            "piece",
            dict! {
                "heading" => heading,
                "level" => level,
                "gap" => gap,
                "source" => source,
                "tuning" => tuning,
                "composer" => composer,
            },
        );
        self.practice(&place, &piece.practice);
        self.instruction(&place, &piece.instruction, under + 1);
        self.music(&place, &piece.music)?;
        self.headed();
        Ok(())
    }

    fn instruction(&mut self, place: &str, source: &str, under: usize) {
        if let Some(body) = self.prose(place, source, under) {
            let together = source.chars().count() <= LONG_INSTRUCTION;
            self.put("instruction", dict! { "body" => body, "together" => together });
        }
    }

    fn music(&mut self, place: &str, music: &Music) -> Result<(), PressError> {
        let staff = music.staff.0;
        if music.systems.is_empty() {
            return Ok(());
        }
        if !(3.0..=30.0).contains(&staff) {
            return Err(PressError::Staff { place: place.to_owned(), staff });
        }
        let space = staff / 4.0 * POINTS;
        let count = music.systems.len();
        let mut before: Option<(f64, f64)> = None;
        let mut systems = Array::new();
        for (i, drawing) in music.systems.iter().enumerate() {
            check(place, i, drawing)?;
            let scale = self.fitting(place, i, drawing, space);
            let space = space * scale;
            let (top, bottom) = staves(drawing);
            let above = (drawing.above.0 - top) * space;
            let below = (drawing.below.0 + bottom) * space;
            let gap = match before {
                None => self.gap(ABOVE_MUSIC * POINTS, 0.0),
                Some((last_below, last_clear)) => {
                    let line_gap = music.line_gap.0.clamp(0.0, 60.0) * space;
                    let clear = (CLEAR * space).max(last_clear);
                    let height = (line_gap - last_below - above).max(clear);
                    self.gap(height, (STRETCH - 1.0) * line_gap)
                }
            };
            before = Some((below, CLEAR * space));
            let plate = self.plate(place, drawing, space);
            // No system is left alone at the foot of a page or at the head of
            // the next, where there are enough to go with it.
            let sticky = i + 1 < count && (i == 0 || i + 2 == count);
            systems.push(
                dict! {
                    "plate" => plate,
                    "gap" => gap,
                    "sticky" => sticky,
                }
                .into_value(),
            );
            let head = if i == 0 { self.head.take() } else { None };
            let role = Role::System { index: i, count, head };
            self.figure(role, drawing.height().0.max(0.0) * space);
        }
        self.put("systems", dict! { "systems" => systems });
        Ok(())
    }

    /// A drawing at its printed size, as a figure.
    fn plate(&mut self, place: &str, drawing: &Drawing, space: f64) -> Content {
        for stain in &drawing.stains {
            match &stain.ink {
                Ink::Text { text, .. } => {
                    self.setter.printable(place, text);
                }
                Ink::Glyph { glyph, .. } if !faces().engrave(*glyph) => {
                    self.setter.miss(place, vec![*glyph]);
                }
                _ => {}
            }
        }
        let words = self.setter.printable(place, &drawing.description);
        Plate::new(drawing, space, self.lang).into_figure(&words)
    }

    fn figure(&mut self, role: Role, height: f64) {
        let (first_gap, end_gap) = (self.claimed, self.gaps.len());
        let (fresh, words_before) = (self.fresh, self.words);
        self.figures.push(Figure { first_gap, end_gap, fresh, words_before, role, height });
        self.claimed = end_gap;
        (self.fresh, self.words) = (false, false);
    }

    /// A head that waits for its music, with the gap above it.
    fn head(&mut self, height: f64) -> i64 {
        let gap = self.gap(height, (STRETCH - 1.0) * height);
        self.head = Some(Head { ordinal: self.heads, gap: gap as usize });
        self.heads += 1;
        gap
    }

    /// Ends an exercise or a piece: a head without music is but words.
    fn headed(&mut self) {
        self.words |= self.head.take().is_some();
    }

    /// How much smaller a drawing must be to fit the type area: 1 as a rule.
    fn fitting(&mut self, place: &str, index: usize, drawing: &Drawing, space: f64) -> f64 {
        let paper = &self.document.paper;
        let wide = paper.type_width().0 * POINTS / (drawing.width.0 * space);
        let high = paper.type_height().0 * POINTS / (drawing.height().0 * space);
        let by = wide.min(high);
        // A hair too wide is the engraver's rounding.
        if by.is_nan() || by >= 0.9995 {
            return 1.0;
        }
        self.faults.push(Fault::Scaled { place: place.to_owned(), index: index + 1, by });
        by * 0.9999
    }

    fn diagrams(
        &mut self,
        place: &str,
        row: &DiagramRow,
        before_music: bool,
    ) -> Result<(), PressError> {
        let staff_space = row.staff_space.0;
        if row.diagrams.is_empty() {
            return Ok(());
        }
        if !(0.3..=20.0).contains(&staff_space) {
            let staff = staff_space * 4.0;
            return Err(PressError::Staff { place: place.to_owned(), staff });
        }
        let space = staff_space * POINTS;
        for (i, diagram) in row.diagrams.iter().enumerate() {
            check(place, i, &diagram.drawing)?;
        }
        let widest = row.diagrams.iter().map(|d| d.drawing.width.0).fold(0.0, f64::max) * space;
        let type_width = self.document.paper.type_width().0 * POINTS;
        let cell = (widest + 5.0 * POINTS).max(20.0 * POINTS).min(type_width);
        let columns = ((type_width / cell).floor() as usize).max(1);
        let mut cells = Array::new();
        let mut height = 0.0;
        for (line, diagrams) in row.diagrams.chunks(columns).enumerate() {
            let highest = diagrams.iter().map(|d| d.drawing.above.0).fold(f64::MIN, f64::max);
            let tallest = diagrams.iter().map(|d| d.drawing.height().0).fold(0.0, f64::max);
            height += tallest * space + 10.0 * POINTS;
            for (i, diagram) in diagrams.iter().enumerate() {
                let drawing = &diagram.drawing;
                let scale = self.fitting(place, line * columns + i, drawing, space);
                let plate = self.plate(place, drawing, space * scale);
                cells.push(
                    dict! {
                        "plate" => plate,
                        "drop" => points((highest - drawing.above.0) * space * scale),
                        "caption" => self.optional(place, Some(&diagram.caption)),
                    }
                    .into_value(),
                );
                let role = if before_music { Role::BeforeMusic } else { Role::Loose };
                self.figure(role, drawing.height().0.max(0.0) * space * scale);
            }
        }
        let together = before_music && height < 0.3 * self.document.paper.type_height().0 * POINTS;
        self.put(
            "diagrams",
            dict! {
                "cell" => points(cell),
                "columns" => columns as i64,
                "together" => together,
                "cells" => cells,
            },
        );
        Ok(())
    }

    fn shapes(&mut self, place: &str, table: &ShapeTable) {
        if table.rows.is_empty() {
            return;
        }
        let title = self.optional(place, Some(&table.title));
        let mut contents = |text: &str| self.setter.line(place, text).into_value();
        let heads = Array::from_iter(table.heads.iter().map(|head| contents(head)));
        let cells = table.rows.iter().flat_map(|row| {
            [&row.name, &row.shape, &row.verdict, &row.reason].map(|text| contents(text))
        });
        let cells = Array::from_iter(cells);
        self.put("shapes", dict! { "title" => title, "heads" => heads, "cells" => cells });
    }
}

/// Height of the highest and of the lowest staff line, in staff spaces.
fn staves(drawing: &Drawing) -> (f64, f64) {
    let lines = drawing.stains.iter().filter(|stain| stain.kind == Kind::StaffLine);
    let heights = lines.filter_map(|stain| match &stain.ink {
        Ink::Line { from, .. } => Some(from.y.0),
        _ => None,
    });
    let (low, high) = heights
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| (low.min(y), high.max(y)));
    if low <= high { (high, low) } else { (drawing.above.0, -drawing.below.0) }
}

/// Refuses lengths that are not numbers or are absurd.
pub(crate) fn check(place: &str, index: usize, drawing: &Drawing) -> Result<(), PressError> {
    let sane = |length: f64| length.abs() < 100_000.0;
    let point = |p: &Point| sane(p.x.0) && sane(p.y.0);
    let ink = |ink: &Ink| match ink {
        Ink::Glyph { scale, at, .. } => sane(*scale) && point(at),
        Ink::Line { from, to, thickness, dash } => {
            point(from)
                && point(to)
                && sane(thickness.0)
                && dash.is_none_or(|(on, off)| sane(on.0) && sane(off.0))
        }
        Ink::Shape(steps) => steps.iter().all(|step| match step {
            Outline::Move(p) | Outline::Line(p) => point(p),
            Outline::Curve(a, b, c) => point(a) && point(b) && point(c),
            Outline::Close => true,
        }),
        Ink::Circle { centre, radius, ring } => {
            point(centre) && sane(radius.0) && ring.is_none_or(|ring| sane(ring.0))
        }
        Ink::Text { size, at, width, .. } => sane(size.0) && point(at) && sane(width.0),
        Ink::Halo { low, high } => point(low) && point(high),
    };
    let edges = [drawing.width.0, drawing.above.0, drawing.below.0];
    if edges.into_iter().all(sane) && drawing.stains.iter().all(|stain| ink(&stain.ink)) {
        Ok(())
    } else {
        Err(PressError::Drawing { place: place.to_owned(), index: index + 1 })
    }
}

fn points(points: f64) -> Value {
    Length::from(Abs::pt(points)).into_value()
}

fn mm(mm: Millimetres) -> Value {
    points(mm.0 * POINTS)
}
