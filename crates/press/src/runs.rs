//! Text runs: glyphs of one font and size, each at its own place, as one item
//! on the page. One item per glyph would double the size of a tagged PDF.

use apoyando_engrave::Face;
use typst::syntax::Span;
use typst_library::layout::{Abs, Em, Frame, FrameItem, Point};
use typst_library::text::{FontInstance, Glyph, Lang, TextItem};
use typst_library::visualize::{Color, Paint};

use crate::faces::{MISSING, faces};

/// Glyphs in a run at most: places in its text are counted in 16 bits.
const LONGEST: usize = 10_000;

/// A glyph and where it stands, in points, y up.
#[derive(Clone, Debug)]
pub struct Placed {
    id: u16,
    x: f64,
    y: f64,
    advance: f64,
    text: String,
}

/// The glyph of the music font for a code point, or `None` where it has none.
pub fn music_glyph(c: char, size: f64, x: f64, y: f64) -> Option<Placed> {
    let font = &faces().music;
    let id = font.ttf().glyph_index(c)?.0;
    let advance = font.x_advance(id).map_or(0.0, Em::get) * size;
    Some(Placed { id, x, y, advance, text: c.to_string() })
}

/// A line of words, shaped. Characters no face has come out as a box.
///
/// The line was measured by the engraver; where kerning and ligatures make it
/// a little shorter or longer, the letters are set apart or together so that
/// it takes the `width` it was given.
pub fn words(
    text: &str,
    face: Face,
    size: f64,
    width: f64,
    x: f64,
    y: f64,
) -> Vec<(Face, Vec<Placed>)> {
    let mut parts: Vec<(Face, Vec<Placed>)> = Vec::new();
    let mut pen = 0.0;
    for (face, part) in by_face(text, face) {
        let placed = shape(&part, face, size, &mut pen);
        parts.push((face, placed));
    }
    let count: usize = parts.iter().map(|(_, placed)| placed.len()).sum();
    let apart = width - pen;
    let fit =
        if pen > 0.0 && count > 0 && apart.abs() < 0.1 * pen { apart / count as f64 } else { 0.0 };
    for (i, placed) in parts.iter_mut().flat_map(|(_, placed)| placed).enumerate() {
        placed.x += x + fit * i as f64;
        placed.y += y;
    }
    parts
}

/// The text in parts of one face each: the face asked for, or the upright one
/// where only that has the character.
fn by_face(text: &str, face: Face) -> Vec<(Face, String)> {
    let mut parts: Vec<(Face, String)> = Vec::new();
    for c in text.chars() {
        let has = |face: Face| faces().of(face).ttf().glyph_index(c).is_some();
        let (face, c) = if c.is_whitespace() || c.is_control() {
            (parts.last().map_or(face, |part| part.0), ' ')
        } else if has(face) {
            (face, c)
        } else if has(Face::Regular) {
            (Face::Regular, c)
        } else {
            (Face::Regular, MISSING)
        };
        match parts.last_mut() {
            Some((last, part)) if *last == face => part.push(c),
            _ => parts.push((face, c.to_string())),
        }
    }
    parts
}

fn shape(text: &str, face: Face, size: f64, pen: &mut f64) -> Vec<Placed> {
    let font = faces().of(face);
    let mut buffer = rustybuzz::UnicodeBuffer::new();
    buffer.push_str(text);
    buffer.guess_segment_properties();
    let shaped = rustybuzz::shape(font.rusty(), &[], buffer);
    let unit = size / font.units_per_em();
    let infos = shaped.glyph_infos();
    let mut starts: Vec<usize> = infos.iter().map(|info| info.cluster as usize).collect();
    starts.sort_unstable();
    starts.dedup();
    let mut said = None;
    infos
        .iter()
        .zip(shaped.glyph_positions())
        .map(|(info, position)| {
            let start = info.cluster as usize;
            let end = starts.iter().find(|&&s| s > start).copied().unwrap_or(text.len());
            // Only the first glyph of a cluster carries its text.
            let part = if said == Some(start) { "" } else { text.get(start..end).unwrap_or("") };
            said = Some(start);
            let placed = Placed {
                id: info.glyph_id.try_into().unwrap_or(0),
                x: *pen + f64::from(position.x_offset) * unit,
                y: f64::from(position.y_offset) * unit,
                advance: f64::from(position.x_advance) * unit,
                text: part.to_owned(),
            };
            *pen += placed.advance;
            placed
        })
        .collect()
}

/// Sets glyphs of one font and size into a frame whose y = 0 is `above` points
/// below its upper edge.
pub fn set(
    frame: &mut Frame,
    font: &FontInstance,
    size: f64,
    lang: Lang,
    above: f64,
    placed: &[Placed],
) {
    for run in placed.chunks(LONGEST) {
        let Some(first) = run.first() else { continue };
        let mut text = String::new();
        let mut glyphs = Vec::with_capacity(run.len());
        for (i, glyph) in run.iter().enumerate() {
            let start = text.len() as u16;
            text.push_str(&glyph.text);
            let advance = run.get(i + 1).map_or(glyph.advance, |next| next.x - glyph.x);
            glyphs.push(Glyph {
                id: glyph.id,
                x_advance: Em::new(advance / size),
                x_offset: Em::zero(),
                y_advance: Em::zero(),
                y_offset: Em::new((glyph.y - first.y) / size),
                range: start..text.len() as u16,
                span: (Span::detached(), 0),
            });
        }
        let item = TextItem {
            font: font.clone(),
            size: Abs::pt(size),
            fill: Paint::Solid(Color::BLACK),
            stroke: None,
            lang,
            region: None,
            text: text.into(),
            glyphs,
        };
        let at = Point::new(Abs::pt(first.x), Abs::pt(above - first.y));
        frame.push(at, FrameItem::Text(item));
    }
}
