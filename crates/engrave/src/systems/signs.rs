//! Signs and words that tell where play goes on: segno and coda, *Fine*, *To Coda*,
//! *D.C.* and *D.S.*, and how often a section is played if more than twice.
//!
//! Signs begin at the barline a bar begins with, words end at the one it ends with
//! (common practice, no source).

use apoyando_music::{Bar, BarIndex, Exit, Landmark, Score};

use crate::drawing::{Face, Kind, Owner, Stain};
use crate::font::{self, Glyph, table};
use crate::geometry::{Stage, bounds};
use crate::place::{BarFrame, Frame, ink};

/// How tall a sign over a bar is, and one in a line of words (house values).
const SIGN_HEIGHT: f64 = 2.4;
const SMALL_HEIGHT: f64 = 1.9;
/// Size of words, and their distance to a sign beside them.
const SIZE: f64 = 2.2;
const BESIDE: f64 = 0.5;
/// How tall capitals are, to the size of the letters.
const CAPITALS: f64 = 0.66;
/// Distance to the barline, so that words before it and a sign after it stand side by
/// side; and to other ink at the sides.
const ASIDE: f64 = 0.2;
const APART: f64 = 0.4;
/// Distance to ink beneath, and the least height above the middle line.
const CLEAR: f64 = 0.6;
const LOWEST: f64 = 3.2;

/// Draws the signs of a line, those nearest to the staff first.
pub fn draw(stage: &mut Stage, score: &Score, frame: &Frame) {
    for (at, place) in frame.bars.iter().enumerate() {
        let (bar, owner) = (&score.bars()[place.index], Owner::Bar(BarIndex(place.index as u32)));
        if let Some(landmark) = bar.landmark {
            let after = |at: usize| frame.bars[at].end + frame.bars[at].barline.width() + ASIDE;
            let left = at.checked_sub(1).map_or(place.start, after);
            let sign = Row::default().sign(glyph(landmark), SIGN_HEIGHT);
            let row = match landmark {
                Landmark::Segno => sign,
                Landmark::Coda => sign.words(Face::Bold, "Coda"),
            };
            row.put(stage, left, owner);
        }
        for row in at_the_end(bar) {
            row.put_before(stage, (frame, place), owner);
        }
    }
}

const fn glyph(landmark: Landmark) -> &'static Glyph {
    match landmark {
        Landmark::Segno => &table::SEGNO,
        Landmark::Coda => &table::CODA,
    }
}

/// What is said at the end of a bar, from the staff outwards.
fn at_the_end(bar: &Bar) -> Vec<Row> {
    let mut rows = Vec::new();
    // Everybody plays what is repeated twice.
    if let Some(times) = bar.repeat_end.filter(|times| *times != 2) {
        rows.push(Row::default().words(Face::Italic, &format!("{times}×")));
    }
    match bar.exit {
        Some(Exit::Fine) => rows.push(Row::default().words(Face::Italic, "Fine")),
        Some(Exit::ToCoda) => {
            let words = Row::default().words(Face::Italic, &Exit::ToCoda.to_string());
            rows.push(words.sign(glyph(Landmark::Coda), SMALL_HEIGHT));
        }
        None => {}
    }
    rows.extend(bar.jump.map(|jump| Row::default().words(Face::Italic, &jump.to_string())));
    rows
}

/// Words and signs side by side, on a baseline at 0, from 0 to the right.
#[derive(Default)]
struct Row {
    stains: Vec<Stain>,
    width: f64,
}

impl Row {
    fn words(mut self, face: Face, words: &str) -> Self {
        let at = (self.next(), 0.0);
        self.stains.push(ink::text(words, face, SIZE, at, Kind::Jump, Owner::System));
        self.width = at.0 + font::text_width(face, SIZE, words);
        self
    }

    fn sign(mut self, glyph: &Glyph, height: f64) -> Self {
        let scale = height / (glyph.high - glyph.low);
        let left = self.next();
        let (x, y) = (left - glyph.left * scale, -glyph.low * scale);
        // Beside words it stands in the middle of their capitals.
        let y = if self.stains.is_empty() { y } else { y - (height - CAPITALS * SIZE) / 2.0 };
        self.stains.push(ink::glyph(glyph, scale, x, y, Kind::Landmark, Owner::System));
        self.width = left + (glyph.right - glyph.left) * scale;
        self
    }

    const fn next(&self) -> f64 {
        if self.stains.is_empty() { 0.0 } else { self.width + BESIDE }
    }

    /// Puts it above all ink, its left end at a place.
    fn put(self, stage: &mut Stage, left: f64, owner: Owner) {
        let low = self.stains.iter().map(|stain| bounds(&stain.ink).low).fold(0.0, f64::min);
        let reach = stage.above.reach(left - APART, left + self.width + APART);
        let baseline = (reach + CLEAR - low).max(LOWEST);
        for stain in self.stains {
            stage.add(Stain { owner, ..super::moved(stain, left, baseline) });
        }
    }

    /// Puts it above all ink so that it ends at the barline of a bar, if the line
    /// begins early enough.
    fn put_before(self, stage: &mut Stage, (frame, bar): (&Frame, &BarFrame), owner: Owner) {
        let left = (bar.end - ASIDE - self.width).max(frame.left);
        self.put(stage, left, owner);
    }
}
