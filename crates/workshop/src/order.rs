//! The order of the pages.

use std::collections::BTreeMap;
use std::sync::Arc;

use apoyando_book::{Book, ItemKind, PinsFile, RememberedTune, Section};
use apoyando_fingering::{Position, Shape};
use apoyando_method::shapes_of_degrees;
use apoyando_method::subjects::{News, Subjects, news};
use rayon::prelude::*;

use crate::advised::Advised;
use crate::build::{Built, Workshop};
use crate::item::{Made, MadeItem};
use crate::memo::content_hash;
use crate::plan::{Block, ExercisePlan, MapPlan, PagePlan, PlannedSection, SectionKind};
use crate::printing::Printing;
use crate::remember::merged;
use crate::signs::Signs;
use crate::{matter, opener, words};

/// How a section opens.
#[derive(Clone)]
pub(crate) struct Opened {
    line: String,
    advice: String,
    map: Option<MapPlan>,
}

/// Puts what was made in the order of the pages.
pub(crate) fn lay_out(
    workshop: &Workshop,
    printing: &Printing<'_>,
    common: u128,
    made: Vec<Made>,
) -> Built {
    let book = printing.book;
    let openers = openers(workshop, book, common, &made);
    let mut made = made.into_iter();
    let mut items = Vec::new();
    let mut findings = Vec::new();
    let mut credits = Vec::new();
    let mut tunes: BTreeMap<String, Vec<(u32, Option<RememberedTune>)>> = BTreeMap::new();
    let mut number = 0;
    let mut left_out = Vec::new();
    let mut known = Subjects::new();
    let mut signs = Signs::default();
    let mut lessons = Vec::new();
    for (section, Opened { line, advice, map }) in book.sections.iter().zip(openers) {
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
                    let MadeItem { built, block, asked: its, left_out: others, .. } = &*music;
                    let (credit, remember) = (&music.credit, &music.remember);
                    if let Some((file, tune, remember)) = remember.clone() {
                        tunes.entry(file).or_default().push((tune, remember));
                    }
                    findings.extend(built.findings.iter().cloned());
                    asked.extend(its.iter().cloned());
                    credits.extend(credit.clone());
                    signs.see(built, block);
                    blocks.push(match block {
                        Block::Exercise(exercise) => {
                            number += 1;
                            if !others.is_empty() {
                                let (title, key) = (&exercise.title, &section.title);
                                let exercise = format!("{number}\u{2002}{title}, {key}");
                                left_out.push(Block::LeftOut { exercise, shapes: others.clone() });
                            }
                            Block::Exercise(ExercisePlan { number, ..exercise.clone() })
                        }
                        block => block.clone(),
                    });
                    items.push(Arc::clone(built));
                }
            }
        }
        lessons.push(PlannedSection {
            kind: SectionKind::Lessons,
            heading: section.title.clone(),
            line,
            advice,
            news: handed(news(&known, &asked), printing.edition.left_handed),
            map,
            blocks,
        });
        known.append(&mut asked);
    }
    let mut sections = matter::front(book, printing.edition, signs);
    sections.append(&mut lessons);
    sections.extend(matter::back(left_out));
    sections.push(matter::verso(book, &credits));
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

/// The hands by their names in this edition.
fn handed(mut news: Vec<News>, left_handed: bool) -> Vec<News> {
    if left_handed {
        for news in &mut news {
            news.theme = news.theme.of_the_other_hand();
        }
    }
    news
}

/// How the sections open. What they say of chords is of the shapes that are printed in them.
fn openers(workshop: &Workshop, book: &Book, common: u128, made: &[Made]) -> Vec<Opened> {
    let mut rest = made;
    let sections = book.sections.iter().map(|section| {
        let own;
        (own, rest) = rest.split_at(section.items.len().min(rest.len()));
        (section, own)
    });
    let sections: Vec<_> = sections.collect();
    let opener = |(section, made): (&Section, &[Made])| {
        let mut shapes = Vec::new();
        for (item, made) in section.items.iter().zip(made) {
            // A triad is three strings of a chord: no shape of its degree.
            let of_degrees = matches!(item.kind, ItemKind::Progression(_) | ItemKind::Arpeggio(_));
            if let (true, Made::Music(music)) = (of_degrees, made) {
                shapes.extend(shapes_of_degrees(&music.built.captions));
            }
        }
        opened(workshop, book, section, common, &shapes)
    };
    sections.into_par_iter().map(opener).collect()
}

fn opened(
    workshop: &Workshop,
    book: &Book,
    section: &Section,
    common: u128,
    shapes: &[(String, Shape)],
) -> Opened {
    let Section { title, key, position, level, intro, .. } = section;
    let kinds = opener::raising(section);
    let hash = content_hash((common, shapes), (title, key, position, level, intro, &kinds));
    workshop.opened.get(hash, || {
        let position = words::section_position(book, section, &workshop.advised);
        Opened {
            line: words::section_line(section, position),
            advice: section_advice((book, section), &workshop.advised, position, shapes),
            map: opener::map(book, section, &kinds, position),
        }
    })
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

/// The author's words, then why the position is what it is; of the primary chords, with the
/// shapes that are printed.
fn section_advice(
    (book, section): (&Book, &Section),
    advised: &Advised,
    position: Option<Position>,
    shapes: &[(String, Shape)],
) -> String {
    let mut paragraphs: Vec<String> =
        section.intro.iter().map(|prose| prose.text.trim().to_owned()).collect();
    if let Some(key) = section.key {
        let advice = advised.of(key, &book.instrument, &section.level.level);
        let report = position.and_then(|at| advice.report(at));
        let reasons = report.map(|report| report.reasons_beside(shapes)).unwrap_or_default();
        if !reasons.is_empty() {
            paragraphs.push(words::plain(&reasons.join(" ")));
        }
    }
    paragraphs.join("\n\n")
}
