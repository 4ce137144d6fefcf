//! What stands on a student's page: the words and the music of a section.

use std::fmt::Write;

use apoyando_engrave::{DiagramStyle, Drawing, Inline, Style, diagram, neck, short, view_box};
use apoyando_fingering::Shape;
use apoyando_workshop::plan::{Block, MusicPlan, PlannedSection};
use apoyando_workshop::practice::Practice;
use apoyando_workshop::{BuiltItem, strain};

use crate::escaped::escaped;
use crate::system::{moments, system};
use crate::words::{line, prose};

/// Points of a screen in a millimetre (CSS).
const POINTS: f64 = 96.0 / 25.4;
/// How much larger than in print diagrams are, for a screen is farther from the eye. House.
const LARGER: f64 = 1.5;

/// An item of the page.
pub struct Played<'a> {
    /// Its music.
    pub built: &'a BuiltItem,
    /// Whether it can be heard.
    pub heard: bool,
}

/// The whole of a section below its heading. Items stand in the order of their blocks.
pub fn lesson(
    inline: &mut Inline,
    section: &PlannedSection,
    items: &[Played<'_>],
    style: &Style,
) -> String {
    let mut html = prose(&section.advice, 1);
    if let Some(map) = &section.map {
        let drawn = picture(inline, &neck(&map.neck, style), style, "map");
        let _ =
            write!(html, "<figure>{drawn}<figcaption>{}</figcaption></figure>", line(&map.caption));
    }
    if !section.news.is_empty() {
        html.push_str("<div class=\"notice\"><p class=\"kind\">New here</p><dl>");
        for news in &section.news {
            let _ =
                write!(html, "<dt>{}</dt><dd>{}</dd>", line(news.theme.title()), line(&news.said));
        }
        html.push_str("</dl></div>");
    }
    html.push_str(&cautions());
    let mut numbers = 0..items.len();
    for block in &section.blocks {
        match block {
            Block::Exercise(exercise) => {
                let Some(number) = numbers.next() else { continue };
                let title = format!("{}\u{2002}{}", exercise.number, exercise.title);
                let mut about = practice(&exercise.practice);
                about.push_str(&prose(&exercise.advice, 2));
                about.push_str(&diagrams(inline, &exercise.diagrams, style));
                html.push_str(&item(inline, &title, &about, &exercise.music, items, number));
            }
            Block::Piece(piece) => {
                let Some(number) = numbers.next() else { continue };
                let mut about = String::new();
                let from = [&piece.subtitle, &piece.composer, &piece.source, &piece.player]
                    .into_iter()
                    .chain([&piece.tuning])
                    .filter(|said| !said.is_empty());
                for said in from {
                    let _ = write!(about, "<p class=\"quiet\">{}</p>", line(said));
                }
                about.push_str(&practice(&piece.practice));
                about.push_str(&prose(&piece.advice, 2));
                html.push_str(&item(inline, &piece.title, &about, &piece.music, items, number));
            }
            Block::Prose(text) => html.push_str(&prose(text, 1)),
            Block::Caution { title, text } => html.push_str(&caution(title, text)),
            // Where pages begin is a matter of paper; the others stand in no lesson.
            Block::NewPage | Block::LeftOut { .. } | Block::Credits(_) | Block::Signs(_) => {}
        }
    }
    html
}

/// The book's cautions, in its own words. What must not be overlooked is always seen.
fn cautions() -> String {
    let strain = strain();
    let (mut framed, mut more) = (String::new(), String::new());
    for block in &strain.blocks {
        match block {
            Block::Caution { title, text } => framed.push_str(&caution(title, text)),
            Block::Prose(text) => more.push_str(&prose(text, 2)),
            _ => {}
        }
    }
    let heading = line(&strain.heading);
    format!(
        "<section class=\"strain\"><h2>{heading}</h2>{framed}\
         <details><summary>Before you play</summary>{more}</details></section>"
    )
}

fn caution(title: &str, text: &str) -> String {
    let title = if title.is_empty() {
        String::new()
    } else {
        format!("<p class=\"kind\">{}</p>", line(title))
    };
    format!("<div class=\"notice caution\">{title}{}</div>", prose(text, 2))
}

fn practice(practice: &Practice) -> String {
    let mut html = String::new();
    if !practice.aim.is_empty() {
        let _ = write!(html, "<p class=\"aim\">{}</p>", line(&practice.aim));
    }
    if let Some((before, tempos)) = practice.metronome() {
        let _ = write!(html, "<p class=\"quiet\">{} {}</p>", line(&before), tempos.join(" · "));
    }
    if let Some((before, each)) = practice.otherwise() {
        let _ =
            write!(html, "<p class=\"quiet\">{} {}</p>", line(&before), line(&each.join(" · ")));
    }
    html
}

fn diagrams(inline: &mut Inline, shapes: &[Shape], music: &Style) -> String {
    if shapes.is_empty() {
        return String::new();
    }
    let style = DiagramStyle::in_a_row(music).for_all(shapes.iter());
    let drawn: Vec<String> = shapes
        .iter()
        .map(|shape| {
            let drawn = picture(inline, &diagram(shape, &style), music, "shape");
            format!("<figure>{drawn}<figcaption>{}</figcaption></figure>", line(&shape.frets()))
        })
        .collect();
    format!("<div class=\"shapes\">{}</div>", drawn.concat())
}

/// A drawing somewhat larger than it is printed, or as wide as there is room.
fn picture(inline: &mut Inline, drawing: &Drawing, style: &Style, class: &str) -> String {
    let points = style.space().0 * POINTS * LARGER;
    format!(
        "<svg class=\"{class}\" viewBox=\"{}\" width=\"{}\" height=\"{}\" role=\"img\" aria-label=\"{}\">\
         <g class=\"ink\" fill=\"currentColor\">{}</g></svg>",
        view_box(drawing),
        short(drawing.width.0 * points),
        short(drawing.height().0 * points),
        escaped(&drawing.description),
        inline.ink(drawing)
    )
}

fn item(
    inline: &mut Inline,
    title: &str,
    about: &str,
    music: &MusicPlan,
    items: &[Played<'_>],
    number: usize,
) -> String {
    let Played { built, heard } = &items[number];
    let moments = moments(built);
    let best = music.offers.iter().take(1).flat_map(|offer| &offer.systems);
    let systems: String =
        best.map(|it| system(inline, &it.drawing, built, number, &moments)).collect();
    let title = line(title);
    let button = if *heard {
        format!(
            "<button type=\"button\" class=\"hear\" id=\"hear-{number}\" data-item=\"{number}\" aria-labelledby=\"hear-{number} item-{number}\">Play</button>"
        )
    } else {
        String::new()
    };
    format!(
        "<section class=\"item\" aria-labelledby=\"item-{number}\"><div class=\"head\">\
         <h2 id=\"item-{number}\">{title}</h2>{button}</div>{about}\
         <div class=\"music\">{systems}</div></section>"
    )
}
