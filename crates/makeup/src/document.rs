//! From the order of the pages to the press's document.

use std::sync::Arc;

use apoyando_book::{Book, Edition, Language, Paper};
use apoyando_engrave::{
    DiagramStyle, Drawing, Offer, StaffSpaces, Style, System, diagram, middle, neck, numeral,
    stacked,
};
use apoyando_fingering::Shape;
use apoyando_method::Verdict;
use apoyando_press as press;
use apoyando_press::{Document, Millimetres, Opening};
use apoyando_workshop::plan::{
    Block, ExercisePlan, ListedPlan, MapPlan, MusicPlan, PagePlan, PiecePlan, PlannedSection,
    ReadSign, SectionKind,
};
use apoyando_workshop::practice::Practice;
use apoyando_workshop::{News, Printing};

/// The press's paper.
pub const fn paper(paper: Paper) -> press::Paper {
    match paper {
        Paper::A4 => press::Paper::A4,
        Paper::Letter => press::Paper::LETTER,
        Paper::NineByTwelve => press::Paper::NINE_BY_TWELVE,
    }
}

/// The paper of an edition.
pub fn paper_of(edition: &Edition) -> press::Paper {
    let paper = paper(edition.paper);
    if edition.large_print { paper.for_large_print() } else { paper }
}

/// A book in one of its editions, on lines as long as its paper has them.
pub fn printing<'a>(book: &'a Book, edition: &'a Edition) -> Printing<'a> {
    let line = apoyando_fretboard::Millimetres(paper_of(edition).type_width().0);
    Printing { book, edition, line }
}

/// Size of text in large print, in points: 16 at least is what guidelines ask for
/// (from memory).
const LARGE_TEXT: f64 = 16.0;

/// The whole book.
pub fn document(plan: &PagePlan) -> Document {
    let Language::English = plan.language;
    let edition = &plan.edition;
    Document {
        text_size: if edition.large_print { LARGE_TEXT } else { press::TEXT_SIZE },
        author: some(&plan.author),
        language: "en".to_owned(),
        title_page: Some(press::TitlePage {
            subtitle: some(&plan.subtitle),
            edition: some(&edition.note),
            imprint: None,
            verso: verso(&plan.sections, &plan.style),
        }),
        contents: Some("Contents".to_owned()),
        notes: Some("For notes".to_owned()),
        sections: sections(&plan.sections, &plan.style),
        ..Document::new(plan.title.clone(), paper_of(edition))
    }
}

/// A few pages with one piece and nothing else.
pub fn leaf(piece: &PiecePlan, paper: press::Paper) -> Document {
    let section = press::Section {
        opening: Opening::NextPage,
        blocks: vec![press::Block::Piece(piece_block(piece))],
        ..press::Section::default()
    };
    Document { sections: vec![section], ..Document::new(piece.title.clone(), paper) }
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

fn sections(plan: &[PlannedSection], style: &Style) -> Vec<press::Section> {
    let mut before = None;
    plan.iter()
        .filter(|section| section.kind != SectionKind::Verso)
        .map(|section| {
            // Lessons begin on a right-hand page. What is said before them runs on, and
            // begins a page, as does what is said after them.
            let said = |kind| matches!(kind, SectionKind::Preface | SectionKind::Front);
            let opening = match (section.kind, before) {
                (SectionKind::Lessons, _) => Opening::Recto,
                (kind, Some(before)) if said(kind) && said(before) => Opening::RunOn,
                _ => Opening::NextPage,
            };
            before = Some(section.kind);
            press::Section {
                heading: some(&section.heading),
                line: some(&section.line),
                advice: section.advice.clone(),
                news: news(&section.news),
                map: section.map.as_ref().map(|it| map(it, style)),
                opening,
                hung: section.kind != SectionKind::Lessons,
                blocks: section.blocks.iter().flat_map(|it| block(it, style)).collect(),
            }
        })
        .collect()
}

/// What stands on the back of the title page.
fn verso(plan: &[PlannedSection], style: &Style) -> Vec<press::Block> {
    let sections = plan.iter().filter(|section| section.kind == SectionKind::Verso);
    sections
        .flat_map(|section| {
            let heading = press::Block::Heading(section.heading.clone());
            std::iter::once(heading).chain(section.blocks.iter().flat_map(|it| block(it, style)))
        })
        .collect()
}

fn news(news: &[News]) -> Option<press::NewsBox> {
    let lines: Vec<(String, String)> =
        news.iter().map(|news| (news.theme.title().to_owned(), news.said.clone())).collect();
    (!lines.is_empty()).then(|| press::NewsBox { title: "New here".to_owned(), lines })
}

fn map(map: &MapPlan, style: &Style) -> press::CaptionedMap {
    press::CaptionedMap {
        drawing: neck(&map.neck, style),
        caption: map.caption.clone(),
        staff_space: Millimetres(style.space().0),
    }
}

fn practice(practice: &Practice) -> press::Practice {
    press::Practice {
        aim: some(&practice.aim),
        tempos: practice.metronome(),
        also_with: practice.otherwise(),
    }
}

fn block(block: &Block, style: &Style) -> Vec<press::Block> {
    let one = match block {
        Block::LeftOut { exercise, shapes } => return left_out(exercise, shapes, style).into(),
        Block::Exercise(exercise) => press::Block::Exercise(exercise_block(exercise, style)),
        Block::Piece(piece) => press::Block::Piece(piece_block(piece)),
        Block::Prose(text) => press::Block::Prose(text.clone()),
        Block::Caution { title, text } => press::Block::Notice(press::Notice {
            kind: press::NoticeKind::Caution,
            title: title.clone(),
            text: text.clone(),
        }),
        Block::Signs(signs) => press::Block::Signs(signs.iter().map(sign).collect()),
        Block::NewPage => press::Block::PageBreak(press::PageBreak::Next),
        Block::Credits(credits) => press::Block::Credits(
            credits
                .iter()
                .map(|credit| press::Credit { what: credit.what.clone(), who: credit.who.clone() })
                .collect(),
        ),
    };
    vec![one]
}

fn sign(read: &ReadSign) -> press::Sign {
    press::Sign { sign: read.sign.clone(), meaning: read.meaning.clone() }
}

fn exercise_block(exercise: &ExercisePlan, style: &Style) -> press::Exercise {
    press::Exercise {
        number: exercise.number.to_string(),
        title: exercise.title.clone(),
        practice: practice(&exercise.practice),
        instruction: exercise.advice.clone(),
        diagrams: diagrams(&exercise.diagrams, style),
        music: music(&exercise.music),
        after: Vec::new(),
    }
}

fn diagrams(shapes: &[Shape], music: &Style) -> Option<press::DiagramRow> {
    let captioned = shapes.iter().map(|shape| (shape, shape.frets()));
    (!shapes.is_empty()).then(|| row(captioned, DiagramStyle::in_a_row(music), music))
}

/// The shapes that an exercise leaves out, below its name. What keeps one out is said if it
/// is more than the position whose numeral stands beside its diagram.
fn left_out(exercise: &str, shapes: &[ListedPlan], music: &Style) -> [press::Block; 2] {
    let style = DiagramStyle::in_rows(music).where_they_lie();
    let caption = |listed: &ListedPlan| match listed.verdict {
        Verdict::Elsewhere(position) if numeral(&listed.shape, &style) == Some(position) => {
            listed.inversion.to_string()
        }
        verdict => format!("{}\n{verdict}", listed.inversion),
    };
    let captioned = shapes.iter().map(|listed| (&listed.shape, caption(listed)));
    let row = row(captioned, style, music);
    [press::Block::Heading(exercise.to_owned()), press::Block::Diagrams(row)]
}

/// Shapes in a row, each with the lines below it.
fn row<'s>(
    captioned: impl Iterator<Item = (&'s Shape, String)> + Clone,
    style: DiagramStyle,
    music: &Style,
) -> press::DiagramRow {
    let style = style.for_all(captioned.clone().map(|(shape, _)| shape));
    let diagrams = captioned.map(|(shape, caption)| press::CaptionedDiagram {
        drawing: diagram(shape, &style),
        middle: middle(shape, &style),
        caption,
    });
    press::DiagramRow {
        diagrams: diagrams.collect(),
        staff_space: Millimetres(music.staff_height.0 / 4.0),
    }
}

fn piece_block(piece: &PiecePlan) -> press::Piece {
    let source = match (piece.subtitle.as_str(), piece.source.as_str()) {
        ("", source) => some(source),
        (subtitle, "") => some(subtitle),
        (subtitle, source) => Some(format!("{subtitle}. {source}")),
    };
    let left = [piece.player.as_str(), piece.tuning.as_str()];
    let left: Vec<&str> = left.into_iter().filter(|said| !said.is_empty()).collect();
    press::Piece {
        title: piece.title.clone(),
        composer: some(&piece.composer),
        source,
        tuning: some(&left.join("; ")),
        practice: practice(&piece.practice),
        instruction: piece.advice.clone(),
        music: music(&piece.music),
    }
}

/// Distance from line to line, house values: 9 for one voice, 12 for two voices with
/// low basses, 11 between the systems of a duet.
const fn line_gap(music: &MusicPlan) -> StaffSpaces {
    StaffSpaces(if music.several_staves {
        11.0
    } else if music.two_voices {
        12.0
    } else {
        9.0
    })
}

fn music(music: &MusicPlan) -> press::Music {
    press::Music {
        castings: music.offers.iter().map(|offer| casting(offer, &music.page_breaks)).collect(),
        staff: Millimetres(music.staff_height.0),
        line_gap: line_gap(music),
    }
}

/// All systems of the best casting as one drawing.
pub fn in_one(music: &MusicPlan) -> Drawing {
    let best = music.offers.iter().take(1).flat_map(|offer| &offer.systems);
    stacked(best.map(|system| &system.drawing), line_gap(music))
}

fn casting(offer: &Offer, page_breaks: &[u32]) -> press::Casting {
    let system = |line: &Arc<System>| press::System {
        line: Arc::clone(line),
        new_page: page_breaks.contains(&line.bars.start),
    };
    press::Casting { cost: offer.cost, systems: offer.systems.iter().map(system).collect() }
}
