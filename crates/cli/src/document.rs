//! From the order of the pages to the press's document.

use std::sync::Arc;

use apoyando_book::{Language, Paper};
use apoyando_engrave::{DiagramStyle, Offer, StaffSpaces, System, diagram};
use apoyando_fingering::Shape;
use apoyando_press as press;
use apoyando_press::{Document, Millimetres, Opening};
use apoyando_workshop::plan::{
    Block, ExercisePlan, ListedPlan, MusicPlan, PagePlan, PiecePlan, PlannedSection, SectionKind,
};

/// The press's paper.
pub const fn paper(paper: Paper) -> press::Paper {
    match paper {
        Paper::A4 => press::Paper::A4,
        Paper::Letter => press::Paper::LETTER,
        Paper::NineByTwelve => press::Paper::NINE_BY_TWELVE,
    }
}

/// The whole book.
pub fn document(plan: &PagePlan) -> Document {
    let Language::English = plan.language;
    Document {
        author: some(&plan.author),
        language: "en".to_owned(),
        title_page: Some(press::TitlePage { subtitle: some(&plan.subtitle), imprint: None }),
        contents: Some("Contents".to_owned()),
        notes: Some("For notes".to_owned()),
        sections: sections(&plan.sections),
        ..Document::new(plan.title.clone(), paper(plan.paper))
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

fn sections(plan: &[PlannedSection]) -> Vec<press::Section> {
    let mut before = None;
    plan.iter()
        .map(|section| {
            // What follows the preface runs on; everything else begins a page.
            let headed = !section.heading.is_empty();
            let opening = match (section.kind, before) {
                (SectionKind::Lessons, Some((SectionKind::Lessons, _))) => Opening::NextPage,
                (SectionKind::Lessons, _) => Opening::Recto,
                (SectionKind::Front, Some((SectionKind::Front, false))) => Opening::RunOn,
                _ => Opening::NextPage,
            };
            before = Some((section.kind, headed));
            press::Section {
                heading: some(&section.heading),
                line: some(&section.line),
                advice: section.advice.clone(),
                opening,
                blocks: section.blocks.iter().map(block).collect(),
            }
        })
        .collect()
}

fn block(block: &Block) -> press::Block {
    match block {
        Block::Exercise(exercise) => press::Block::Exercise(exercise_block(exercise)),
        Block::Piece(piece) => press::Block::Piece(piece_block(piece)),
        Block::Prose(text) => press::Block::Prose(text.clone()),
        Block::Caution { title, text } => press::Block::Notice(press::Notice {
            kind: press::NoticeKind::Caution,
            title: title.clone(),
            text: text.clone(),
        }),
        Block::NewPage => press::Block::PageBreak(press::PageBreak::Next),
        Block::Credits(credits) => press::Block::Credits(
            credits
                .iter()
                .map(|credit| press::Credit { what: credit.what.clone(), who: credit.who.clone() })
                .collect(),
        ),
    }
}

fn exercise_block(exercise: &ExercisePlan) -> press::Exercise {
    press::Exercise {
        number: exercise.number.to_string(),
        title: exercise.title.clone(),
        instruction: exercise.advice.clone(),
        diagrams: diagrams(&exercise.diagrams, &exercise.music),
        music: music(&exercise.music),
        after: listed(&exercise.listed).into_iter().collect(),
    }
}

fn diagrams(shapes: &[Shape], music: &MusicPlan) -> Option<press::DiagramRow> {
    let style = DiagramStyle::in_a_row(music.staff_height);
    let diagrams: Vec<press::CaptionedDiagram> = shapes
        .iter()
        .map(|shape| press::CaptionedDiagram {
            drawing: diagram(shape, &style),
            caption: shape.frets(),
        })
        .collect();
    let staff_space = Millimetres(music.staff_height.0 / 4.0);
    (!diagrams.is_empty()).then_some(press::DiagramRow { diagrams, staff_space })
}

fn listed(listed: &[ListedPlan]) -> Option<press::Block> {
    let rows: Vec<press::ShapeRow> = listed
        .iter()
        .map(|listed| press::ShapeRow {
            name: listed.name.clone(),
            shape: listed.shape.clone(),
            verdict: listed.verdict.clone(),
            reason: listed.reason.clone(),
        })
        .collect();
    (!rows.is_empty()).then(|| {
        press::Block::Shapes(press::ShapeTable {
            title: "Not printed here".to_owned(),
            heads: ["Chord", "Shape", "How it lies", "Why"].map(str::to_owned),
            rows,
        })
    })
}

fn piece_block(piece: &PiecePlan) -> press::Piece {
    let source = match (piece.subtitle.as_str(), piece.source.as_str()) {
        ("", source) => some(source),
        (subtitle, "") => some(subtitle),
        (subtitle, source) => Some(format!("{subtitle}. {source}")),
    };
    press::Piece {
        title: piece.title.clone(),
        composer: some(&piece.composer),
        source,
        tuning: some(&piece.tuning),
        instruction: piece.advice.clone(),
        music: music(&piece.music),
    }
}

/// Distances from line to line are house values: 9 for one voice, 12 for two
/// voices with low basses, 11 between the systems of a duet.
fn music(music: &MusicPlan) -> press::Music {
    let line_gap = if music.several_staves {
        11.0
    } else if music.two_voices {
        12.0
    } else {
        9.0
    };
    press::Music {
        castings: music.offers.iter().map(|offer| casting(offer, &music.page_breaks)).collect(),
        staff: Millimetres(music.staff_height.0),
        line_gap: StaffSpaces(line_gap),
    }
}

fn casting(offer: &Offer, page_breaks: &[u32]) -> press::Casting {
    let system = |line: &Arc<System>| press::System {
        line: Arc::clone(line),
        new_page: page_breaks.contains(&line.bars.start),
    };
    press::Casting { cost: offer.cost, systems: offer.systems.iter().map(system).collect() }
}
