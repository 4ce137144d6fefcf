//! One item: from the plan to what is printed of it.

use std::sync::Arc;

use apoyando_book::{
    Book, Credit, Density, Item, ItemKind, PieceFile, PrintedParts, RememberedTune, Section,
};
use apoyando_engrave::Engraving;
use apoyando_fingering::{Finding, Fingering, Severity, Shape};
use apoyando_fretboard::Fret;
use apoyando_marks::{Caption, Marks, numerals_together};
use apoyando_method::subjects::Subjects;
use apoyando_music::{PartIndex, Score};

use crate::build::Workshop;
use crate::memo::content_hash;
use crate::piece::{FingeredPart, PartRequest, finger, part_name};
use crate::plan::{Block, ExercisePlan, ListedPlan, MusicPlan, PiecePlan};
use crate::printing::Printing;
use crate::remember::follow;
use crate::write::{Material, material};
use crate::{breaks, nudges, opener, pins, plan, practice, preparation, words};

/// An item with everything that came of it.
#[derive(Clone, Debug)]
pub struct BuiltItem {
    /// A name for its files: section, number in the section, kind.
    pub name: String,
    /// The section it is in, by the name of its file without ending.
    pub section: String,
    /// Which of the section's items it is, from 0.
    pub index: usize,
    /// Its title.
    pub title: String,
    /// The score.
    pub score: Score,
    /// Its parts, fingered and checked.
    pub parts: Vec<FingeredPart>,
    /// What is printed of the fingering, for every part.
    pub marks: Vec<Marks>,
    /// What is printed besides.
    pub captions: Vec<Caption>,
    /// Its systems, of the part that is printed alone if there is one.
    pub engraving: Engraving,
    /// The part that is printed alone.
    pub alone: Option<PartIndex>,
    /// Bars that begin a page because the author wants it, by their index.
    pub page_breaks: Vec<u32>,
    /// The bars that begin a line because the author wants it, those of pages among them, by
    /// their index.
    pub line_breaks: Vec<u32>,
    /// What is to be said of it.
    pub findings: Vec<Finding>,
}

/// The piece and tune of an item, and what is to be remembered of its pins.
pub(crate) type Remember = Option<(String, u32, Option<RememberedTune>)>;

/// An item on its way into the page plan.
#[derive(Clone)]
pub(crate) enum Made {
    Music(Arc<MadeItem>),
    Prose(String),
    Failed(Finding),
}

/// An item with music, and what the pages want of it.
pub(crate) struct MadeItem {
    pub built: Arc<BuiltItem>,
    /// As it is printed; an exercise has number 0.
    pub block: Block,
    /// What it asks its player to know.
    pub asked: Subjects,
    /// Shapes that it leaves out.
    pub left_out: Vec<ListedPlan>,
    /// Who made it.
    pub credit: Option<Credit>,
    pub remember: Remember,
    pub of: MadeOf,
}

/// What an item was made of, by the keys under which that is remembered.
#[derive(Clone, Copy)]
pub(crate) struct MadeOf {
    pub written: u128,
    pub fingered: u128,
    pub engraved: u128,
}

/// Hash of what all items of a book and an edition depend on.
pub(crate) fn common_key(printing: &Printing<'_>) -> u128 {
    let Printing { book, edition, line } = printing;
    content_hash((), (&book.instrument, &book.effort, &book.house, edition, line))
}

/// The file of a piece.
fn file_of<'b>(book: &'b Book, item: &Item) -> Option<&'b PieceFile> {
    match &item.kind {
        ItemKind::Solo(piece) | ItemKind::Duet(piece, _) => book.pieces.get(&piece.file),
        _ => None,
    }
}

/// Hash of everything that the score of an item depends on: not of what is decided about its
/// notes, nor of the line that it is planned in.
fn written_key(book: &Book, section: &Section, item: &Item) -> u128 {
    let bytes = file_of(book, item).map(|file| (&file.file, &file.bytes));
    let Item { title, level, right, kind, .. } = item;
    let Section { key, position, .. } = section;
    content_hash(bytes, (&book.instrument, key, position, title, level, right, kind))
}

/// Hash of everything that an item depends on; its place in the section is in its name.
pub(crate) fn item_key(
    common: u128,
    book: &Book,
    section: &Section,
    index: usize,
    item: &Item,
) -> u128 {
    let file = file_of(book, item);
    let Section { name, title, key, position, level, .. } = section;
    let bytes = file.map(|file| (&file.file, &file.bytes));
    let pins = file.and_then(|file| file.pins.as_ref());
    content_hash((common, bytes, index), (item, name, title, key, position, level, pins))
}

impl Workshop {
    /// Makes an item.
    pub(crate) fn make(
        &self,
        printing: &Printing<'_>,
        section: &Section,
        index: usize,
        item: &Item,
    ) -> Made {
        let book = printing.book;
        if let ItemKind::Text(prose) = &item.kind {
            return Made::Prose(prose.text.clone());
        }
        let written = written_key(book, section, item);
        let write = || material(&self.advised, (book, section, item));
        let Some(material) = self.written.get(written, || Some(Arc::new(write()?.ok()?))) else {
            // What went wrong is not remembered, for it names the line of the plan.
            return match write() {
                Some(Err(finding)) => Made::Failed(*finding),
                _ => Made::Prose(String::new()),
            };
        };
        let (placed, remember) = match &item.kind {
            ItemKind::Solo(piece) | ItemKind::Duet(piece, _) => {
                let before = book.pieces.get(&piece.file).and_then(|file| file.pins.as_ref());
                let before = before.and_then(|pins| pins.tune(piece.tune));
                let followed = follow(&material.score, piece.tune, &item.pins, before);
                let name = piece.file.clone();
                (followed.placed, Some((name, piece.tune, followed.remember)))
            }
            _ => (pins::place(&material.score, &item.pins), None),
        };
        let mut findings = material.findings.clone();
        findings.extend(placed.findings);
        let requests: Vec<PartRequest> = placed
            .pins
            .into_iter()
            .enumerate()
            .map(|(part, author)| {
                let writer = material.pins.get(part).cloned().unwrap_or_default();
                let pins = pins::over(&writer, author);
                let level = material.levels.get(part).unwrap_or(&item.level).clone();
                PartRequest {
                    level,
                    pins,
                    right: material.right.clone(),
                    house: book.house.style.clone(),
                    like_bars: book.house.like_bars,
                }
            })
            .collect();
        let score = material.score.clone();
        let fingered = asked(&score, book, &requests);
        let parts = self
            .fingered
            .get(fingered, || finger(&score, &book.instrument, &book.effort, requests));
        findings.extend(parts.iter().flat_map(|part| part.findings.iter().cloned()));
        let mut marks: Vec<Marks> = parts
            .iter()
            .map(|part| match &part.fingering {
                Some(fingering) => mark(book, item, &score, fingering),
                None => Marks::none(part.part, score.notes().len()),
            })
            .collect();
        numerals_together(&mut marks, |part| {
            let own = score.notes().iter().filter(|note| note.part == part);
            own.map(|note| note.onset).min()
        });
        findings.extend(nudges::place(&score, &item.nudges, &mut marks));
        // Large print is broken into lines and pages of its own.
        let authors = match printing.edition.large_print {
            true => item.breaks.in_large_print(),
            false => item.breaks.clone(),
        };
        let breaks = breaks::place(&score, &authors);
        findings.extend(breaks.findings);
        let style = printing.style();
        let printed = printing.printed(&score, &parts, &marks, &material.captions);
        let engraved = printed.key(&style, &breaks.lines);
        let engraving = self.engraved.get(engraved, || printed.engrave(&style, &breaks.lines));
        drop(printed);
        let alone = printing.alone(&score);
        findings.extend(engraving.findings.iter().cloned());
        findings.extend(breaks::strained(&score, &authors, &engraving));
        for finding in &mut findings {
            locate(finding, item);
        }
        findings.retain(|finding| !is_seen(finding, item));
        let built = BuiltItem {
            name: format!("{}-{:02}-{}", section.name, index + 1, item.kind.word()),
            section: section.name.clone(),
            index,
            title: words::title(item, section, &score),
            score,
            parts,
            marks,
            captions: material.captions.clone(),
            engraving,
            alone,
            page_breaks: breaks.pages,
            line_breaks: breaks.lines,
            findings,
        };
        let left_out = left_out(printing, &material);
        let block = match &item.kind {
            ItemKind::Solo(_) | ItemKind::Duet(..) => {
                Block::Piece(piece_plan(printing, item, &material, &built))
            }
            _ => Block::Exercise(exercise_plan(printing, item, &material, &built)),
        };
        let credit = match &block {
            Block::Piece(_) => words::credit(&built.score),
            _ => None,
        };
        let asked = opener::asked(&built, printing.edition);
        let built = Arc::new(built);
        let of = MadeOf { written, fingered, engraved };
        Made::Music(Arc::new(MadeItem { built, block, asked, left_out, credit, remember, of }))
    }
}

/// Hash of everything that a fingering depends on.
fn asked(score: &Score, book: &Book, requests: &[PartRequest]) -> u128 {
    let hashed: Vec<_> =
        requests.iter().map(|r| (&r.level, &r.pins, &r.house, r.like_bars)).collect();
    let rights: Vec<_> = requests.iter().map(|request| &request.right).collect();
    content_hash((score.revision(), &hashed, &book.effort), (&book.instrument, &rights))
}

fn mark(book: &Book, item: &Item, score: &Score, fingering: &Fingering) -> Marks {
    let density = match item.density {
        Density::EveryNote => apoyando_marks::Density::EveryNote,
        Density::WhereNeeded => apoyando_marks::Density::WhereNeeded,
        Density::None => apoyando_marks::Density::None,
    };
    let marks = apoyando_marks::mark(score, fingering, &book.instrument, density);
    // A page without fingering has no lines about it.
    if book.house.hold_lines && density != apoyando_marks::Density::None {
        marks.with_holds(score, fingering)
    } else {
        marks
    }
}

/// A finding that names no file is about the item in the plan, or about the
/// piece's own file if the item has one.
fn locate(finding: &mut Finding, item: &Item) {
    if finding.place.file.is_some() {
        return;
    }
    match &item.kind {
        ItemKind::Solo(piece) | ItemKind::Duet(piece, _) => {
            finding.place.file = Some(format!("pieces/{}", piece.file));
        }
        _ => {
            finding.place.file = Some(item.place.file.to_string());
            finding.place.line = Some(item.place.line);
        }
    }
}

/// Whether the author lets a remark stand. An error is never only seen.
fn is_seen(finding: &Finding, item: &Item) -> bool {
    let place = &finding.place;
    finding.severity < Severity::Error
        && item.seen.iter().any(|seen| {
            seen.remark == finding.rule
                && (seen.bar, &seen.beat, &seen.part) == (place.bar, &place.beat, &place.part)
        })
}

fn music(printing: &Printing<'_>, built: &BuiltItem) -> MusicPlan {
    let page_breaks = built.page_breaks.clone();
    let engraving = built.engraving.clone();
    let staff_height = printing.edition.staff_height;
    let plan = MusicPlan::new(&built.score, built.alone, engraving, staff_height);
    MusicPlan { page_breaks, ..plan }
}

/// The author's advice in CommonMark, then the writer's sentences, then what
/// the fingering asks to be prepared, where the plan wants that.
fn advice(book: &Book, item: &Item, material: &Material, built: &BuiltItem) -> String {
    let mut paragraphs = item.advice.clone();
    if !material.advice.is_empty() {
        paragraphs.push(words::plain(&material.advice.join(" ")));
    }
    if item.prepare {
        let said =
            preparation::in_brief(&built.score, &book.instrument, &book.effort, &built.parts);
        paragraphs.extend(said.iter().map(|said| words::plain(said)));
    }
    paragraphs.join("\n\n")
}

/// The fret at which the neck meets the body. Common practice, no source.
const BODY: Fret = Fret(12);

/// What was decided about shapes that are not printed; those that lie over the body nobody
/// would take. It is the teacher's business.
fn left_out(printing: &Printing<'_>, material: &Material) -> Vec<ListedPlan> {
    if printing.edition.parts == PrintedParts::Student {
        return Vec::new();
    }
    let reached =
        |shape: &Shape| shape.strings.iter().filter_map(|it| it.fret()).all(|fret| fret <= BODY);
    let others = material.listed.iter().filter(|listed| !listed.printed);
    others
        .filter(|listed| reached(&listed.shape))
        .map(|listed| ListedPlan {
            shape: listed.shape.clone(),
            inversion: listed.inversion,
            verdict: listed.verdict,
        })
        .collect()
}

fn exercise_plan(
    printing: &Printing<'_>,
    item: &Item,
    material: &Material,
    built: &BuiltItem,
) -> ExercisePlan {
    let listed = &material.listed;
    // Triads stand in the score one after another; other shapes are what the
    // exercise is played on, and are shown first unless they stand over it.
    let over_the_staff = material
        .captions
        .iter()
        .any(|caption| matches!(caption.text, apoyando_marks::CaptionText::Diagram(_)));
    let diagrams = if over_the_staff || matches!(item.kind, ItemKind::Triads(_)) {
        Vec::new()
    } else {
        let mut shapes: Vec<_> =
            listed.iter().filter(|l| l.printed).map(|l| l.shape.clone()).collect();
        shapes.dedup();
        shapes
    };
    ExercisePlan {
        number: 0,
        title: built.title.clone(),
        practice: practice::practice(item, &built.score),
        advice: advice(printing.book, item, material, built),
        diagrams,
        music: music(printing, built),
    }
}

fn piece_plan(
    printing: &Printing<'_>,
    item: &Item,
    material: &Material,
    built: &BuiltItem,
) -> PiecePlan {
    let book = printing.book;
    let player = built.alone.map(|part| part_name(&built.score, part)).unwrap_or_default();
    PiecePlan {
        title: built.title.clone(),
        practice: practice::practice(item, &built.score),
        advice: advice(book, item, material, built),
        player,
        ..plan::piece(&built.score, music(printing, built), &book.instrument)
    }
}
