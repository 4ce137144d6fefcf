//! From a book to everything that is printed of it.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

use apoyando_book::{
    Book, Density, Item, ItemKind, PinsFile, PrintedParts, RememberedTune, Section,
};
use apoyando_engrave::Engraving;
use apoyando_fingering::{Finding, Fingering, Position};
use apoyando_marks::{Caption, Marks};
use apoyando_method::subjects::{Subjects, news};
use apoyando_method::{Verdict, advise};
use apoyando_music::{PartIndex, Score};
use rayon::prelude::*;

use crate::memo::{Memo, content_hash};
use crate::piece::{FingeredPart, PartRequest, finger, part_name};
use crate::plan::{
    Block, ExercisePlan, ListedPlan, MusicPlan, PagePlan, PiecePlan, PlannedSection, SectionKind,
};
use crate::printing::Printing;
use crate::remember::{follow, merged};
use crate::write::{Material, material};
use crate::{breaks, matter, opener, pins, plan, practice, preparation, words};

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

/// An item with everything that came of it.
#[derive(Clone, Debug)]
pub struct BuiltItem {
    /// A name for its files: section, number in the section, kind.
    pub name: String,
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
    /// What is to be said of it.
    pub findings: Vec<Finding>,
}

/// A book, built.
#[derive(Clone, Debug)]
pub struct Built {
    /// Items with music, in the order of the book.
    pub items: Vec<BuiltItem>,
    /// The order of the pages.
    pub plan: PagePlan,
    /// All findings, in the order of the book.
    pub findings: Vec<Finding>,
    /// What is to be remembered of the pins of each piece, by the path of its
    /// pins file in the folder, where that has changed; `None` where there is
    /// nothing to remember any more.
    pub remember: Vec<(String, Option<PinsFile>)>,
}

/// What a run knows and remembers.
#[derive(Default)]
pub struct Workshop {
    fingered: Memo<Vec<FingeredPart>>,
    engraved: Memo<Engraving>,
}

/// The piece and tune of an item, and what is to be remembered of its pins.
type Remember = Option<(String, u32, Option<RememberedTune>)>;

/// An item on its way into the page plan.
enum Made {
    Music(Box<(Material, BuiltItem, Remember)>),
    Prose(String),
    Failed(Finding),
}

impl Workshop {
    /// Works everything out for one edition of a book. Items stand for
    /// themselves and are made side by side; what comes of them is in the order
    /// of the book, the same in every run.
    pub fn build(&self, printing: &Printing<'_>, progress: &(dyn Fn(&Progress) + Sync)) -> Built {
        let book = printing.book;
        let all: Vec<(&Section, usize, &Item)> = book
            .sections
            .iter()
            .flat_map(|section| {
                section.items.iter().enumerate().map(move |(index, item)| (section, index, item))
            })
            .collect();
        let done = AtomicUsize::new(0);
        let made: Vec<Made> = all
            .par_iter()
            .map(|(section, index, item)| {
                let made = self.make(printing, section, *index, item);
                progress(&Progress {
                    done: done.fetch_add(1, Ordering::Relaxed) + 1,
                    of: all.len(),
                    what: format!("{}: {}", section.title, item.kind.word()),
                });
                made
            })
            .collect();
        lay_out(printing, made)
    }

    fn make(&self, printing: &Printing<'_>, section: &Section, index: usize, item: &Item) -> Made {
        let book = printing.book;
        let mut material = match material(book, section, item) {
            None => {
                let ItemKind::Text(prose) = &item.kind else { return Made::Prose(String::new()) };
                return Made::Prose(prose.text.clone());
            }
            Some(Err(finding)) => return Made::Failed(*finding),
            Some(Ok(material)) => material,
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
        let mut findings = std::mem::take(&mut material.findings);
        findings.extend(placed.findings);
        let requests: Vec<PartRequest> = placed
            .pins
            .into_iter()
            .enumerate()
            .map(|(part, author)| {
                let mut pins = material.pins.get(part).cloned().unwrap_or_default();
                pins.0.extend(author.0);
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
        let key = asked(&score, book, &requests);
        let parts =
            self.fingered.get(key, || finger(&score, &book.instrument, &book.effort, requests));
        findings.extend(parts.iter().flat_map(|part| part.findings.iter().cloned()));
        let marks: Vec<Marks> = parts
            .iter()
            .map(|part| match &part.fingering {
                Some(fingering) => mark(book, item, &score, fingering),
                None => Marks::none(part.part, score.notes().len()),
            })
            .collect();
        // Large print is broken into lines and pages of its own.
        let authors = !printing.edition.large_print;
        let breaks =
            if authors { breaks::place(&score, &item.breaks) } else { breaks::Placed::default() };
        findings.extend(breaks.findings);
        let style = printing.style();
        let printed = printing.printed(&score, &parts, &marks, &material.captions);
        let key = printed.key(&style, &breaks.lines);
        let engraving = self.engraved.get(key, || printed.engrave(&style, &breaks.lines));
        drop(printed);
        let alone = printing.alone(&score);
        findings.extend(engraving.findings.iter().cloned());
        if authors {
            findings.extend(breaks::strained(&score, &item.breaks, &engraving));
        }
        for finding in &mut findings {
            locate(finding, item);
        }
        let built = BuiltItem {
            name: format!("{}-{:02}-{}", section.name, index + 1, item.kind.word()),
            title: words::title(item, section, &score),
            score,
            parts,
            marks,
            captions: material.captions.clone(),
            engraving,
            alone,
            page_breaks: breaks.pages,
            findings,
        };
        Made::Music(Box::new((material, built, remember)))
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

/// Puts what was made in the order of the pages.
fn lay_out(printing: &Printing<'_>, made: Vec<Made>) -> Built {
    let book = printing.book;
    let mut made = made.into_iter();
    let mut items = Vec::new();
    let mut findings = Vec::new();
    let mut credits = Vec::new();
    let mut tunes: BTreeMap<String, Vec<(u32, Option<RememberedTune>)>> = BTreeMap::new();
    let mut number = 0;
    let mut known = Subjects::new();
    let mut sections = matter::front(book, printing.edition);
    for section in &book.sections {
        let mut blocks = Vec::new();
        let mut asked = Subjects::new();
        for item in &section.items {
            if item.breaks.new_page {
                blocks.push(Block::NewPage);
            }
            match made.next() {
                None => {}
                Some(Made::Prose(text)) => blocks.push(Block::Prose(text)),
                Some(Made::Failed(finding)) => findings.push(finding),
                Some(Made::Music(music)) => {
                    let (material, built, remember) = *music;
                    if let Some((file, tune, remember)) = remember {
                        tunes.entry(file).or_default().push((tune, remember));
                    }
                    findings.extend(built.findings.iter().cloned());
                    asked.extend(opener::asked(&built));
                    blocks.push(match &item.kind {
                        ItemKind::Solo(_) | ItemKind::Duet(..) => {
                            credits.extend(words::credit(&built.score));
                            Block::Piece(piece_plan(printing, item, &material, &built))
                        }
                        _ => {
                            number += 1;
                            Block::Exercise(exercise_plan(printing, item, number, material, &built))
                        }
                    });
                    items.push(built);
                }
            }
        }
        let position = words::section_position(book, section);
        sections.push(PlannedSection {
            kind: SectionKind::Lessons,
            heading: section.title.clone(),
            line: words::section_line(section, position),
            advice: section_advice(book, section, position),
            news: news(&known, &asked),
            map: opener::map(book, section, position),
            blocks,
        });
        known.append(&mut asked);
    }
    sections.extend(matter::back(book, &credits));
    let plan = PagePlan {
        title: book.title.clone(),
        subtitle: book.subtitle.clone(),
        author: book.author.clone(),
        language: book.language,
        edition: printing.edition.clone(),
        style: printing.style(),
        sections,
    };
    Built { items, plan, findings, remember: remembered(book, tunes) }
}

/// The pins files that have changed.
fn remembered(
    book: &Book,
    tunes: BTreeMap<String, Vec<(u32, Option<RememberedTune>)>>,
) -> Vec<(String, Option<PinsFile>)> {
    let mut files = Vec::new();
    for (name, tunes) in tunes {
        let Some(piece) = book.pieces.get(&name) else { continue };
        let next = merged(piece.pins.as_ref(), tunes);
        let next = (!next.tunes.is_empty()).then_some(next);
        if next != piece.pins {
            files.push((piece.pins_path(), next));
        }
    }
    files
}

/// The author's words, then why the position is what it is.
fn section_advice(book: &Book, section: &Section, position: Option<Position>) -> String {
    let mut paragraphs: Vec<String> =
        section.intro.iter().map(|prose| prose.text.trim().to_owned()).collect();
    if let Some(key) = section.key {
        let advice = advise(key, &book.instrument, &section.level.level);
        let report = position.and_then(|at| advice.report(at));
        if let Some(report) = report
            && !report.reasons.is_empty()
        {
            paragraphs.push(words::plain(&report.reasons.join(" ")));
        }
    }
    paragraphs.join("\n\n")
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

fn exercise_plan(
    printing: &Printing<'_>,
    item: &Item,
    number: u32,
    material: Material,
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
        number,
        title: built.title.clone(),
        practice: practice::practice(item, &built.score),
        advice: advice(printing.book, item, &material, built),
        diagrams,
        music: music(printing, built),
        // What was decided about other shapes is the teacher's business.
        listed: listed
            .iter()
            .filter(|listed| !listed.printed && printing.edition.parts != PrintedParts::Student)
            .map(|listed| ListedPlan {
                name: words::listed_name(listed),
                shape: match listed.verdict {
                    Verdict::OutOfReach => listed.shape.frets(),
                    _ => listed.shape.to_string(),
                },
                verdict: listed.verdict.to_string(),
                reason: listed.reason.clone(),
            })
            .collect(),
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
