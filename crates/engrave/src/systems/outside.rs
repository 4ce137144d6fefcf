//! What stands above the top staff, outside of the fingering: bar number,
//! endings, signs, rehearsal letters, tempo.

use apoyando_music::{BarIndex, Base, Score, Tempo};

use crate::drawing::{Face, Kind, Owner, Stain};
use crate::font::{self, Glyph, table};
use crate::geometry::Stage;
use crate::place::{BarFrame, Frame, ink};
use crate::style::Style;

use super::{rehearsal, signs};

/// Sizes and distances.
const NUMBER_SIZE: f64 = 1.7;
const ENDING_SIZE: f64 = 1.8;
const ENDING_HEIGHT: f64 = 2.0;
const TEMPO_SIZE: f64 = 2.2;
const NOTE_SCALE: f64 = 0.75;
const CLEAR: f64 = 0.6;
/// Below a tempo mark: nearer, its figure reads together with the letters of a finger row.
const TEMPO_CLEAR: f64 = 1.1;
/// A row that begins so near after a tempo mark stands below it.
const BESIDE: f64 = 5.0;

/// Draws everything outside, from the staff outwards.
pub fn draw(stage: &mut Stage, score: &Score, style: &Style, frame: &Frame) {
    bar_number(stage, score, style, frame);
    endings(stage, score, frame);
    signs::draw(stage, score, frame);
    rehearsal::draw(stage, score, style, frame);
    for (at, bar) in frame.bars.iter().enumerate() {
        tempo(stage, score, frame, bar, at == 0);
    }
}

fn bar_number(stage: &mut Stage, score: &Score, style: &Style, frame: &Frame) {
    let Some(first) = frame.bars.first() else { return };
    let number = score.bars()[first.index].number;
    if frame.first || !style.bar_numbers || number == 0 {
        return;
    }
    let text = number.to_string();
    let width = font::text_width(Face::Regular, NUMBER_SIZE, &text);
    // Several staves have a bracket there.
    let least = if score.parts().len() > 1 { 3.5 } else { 0.0 };
    let y = stage.above.reach(frame.left, frame.left + width).max(least) + 0.5;
    let owner = Owner::Bar(BarIndex(first.index as u32));
    let at = (frame.left, y);
    stage.add(ink::text(&text, Face::Regular, NUMBER_SIZE, at, Kind::BarNumber, owner));
}

/// Endings of one line, all at one height.
fn endings(stage: &mut Stage, score: &Score, frame: &Frame) {
    let mut spans: Vec<(usize, usize)> = Vec::new();
    for (at, bar) in frame.bars.iter().enumerate() {
        let Some(ending) = &score.bars()[bar.index].ending else { continue };
        match spans.last_mut() {
            Some(span) if span.1 + 1 == at && !ending.first => span.1 = at,
            _ => spans.push((at, at)),
        }
    }
    let Some(first) = spans.first() else { return };
    let left = frame.bars[first.0].start;
    let reach = stage.above.reach(left, frame.right);
    let y = (reach + CLEAR + 0.3).max(3.2) + ENDING_HEIGHT;
    for (from, to) in spans {
        let (first, last) = (&frame.bars[from], &frame.bars[to]);
        let (Some(ending), Some(end)) =
            (&score.bars()[first.index].ending, &score.bars()[last.index].ending)
        else {
            continue;
        };
        let owner = Owner::Bar(BarIndex(first.index as u32));
        let thick = table::REPEAT_ENDING_LINE_THICKNESS;
        let barline = if from == 0 {
            first.start
        } else {
            frame.bars[from - 1].end + frame.bars[from - 1].barline.width()
        };
        let left = barline + thick / 2.0;
        let right = last.end + last.barline.end_of_bar() - thick / 2.0 - 0.3;
        let stroke = |a, b| ink::line(a, b, thick, Kind::Ending, owner);
        stage.add(stroke((left - thick / 2.0, y), (right + thick / 2.0, y)));
        if ending.first {
            stage.add(stroke((left, y - ENDING_HEIGHT), (left, y)));
            let passes: Vec<String> = ending.passes.iter().map(|p| format!("{p}.")).collect();
            let text = passes.join(" ");
            let at = (left + 0.5, y - 0.35 - 0.66 * ENDING_SIZE);
            stage.add(ink::text(&text, Face::Regular, ENDING_SIZE, at, Kind::Ending, owner));
        }
        if end.last && last.barline != crate::signs::BarLine::Plain {
            stage.add(stroke((right, y - ENDING_HEIGHT), (right, y)));
        }
    }
}

/// The little note of a metronome mark.
const fn counted(base: Base) -> &'static Glyph {
    match base {
        Base::Breve => &table::MET_NOTE_DOUBLE_WHOLE,
        Base::Whole => &table::MET_NOTE_WHOLE,
        Base::Half => &table::MET_NOTE_HALF_UP,
        Base::Quarter => &table::MET_NOTE_QUARTER_UP,
        Base::Eighth => &table::MET_NOTE_8TH_UP,
        _ => &table::MET_NOTE_16TH_UP,
    }
}

fn tempo(stage: &mut Stage, score: &Score, frame: &Frame, bar: &BarFrame, at_start: bool) {
    let source = &score.bars()[bar.index];
    if source.words.is_empty() && source.tempo.is_none() {
        return;
    }
    let owner = Owner::Bar(BarIndex(bar.index as u32));
    let mut stains: Vec<Stain> = Vec::new();
    // At the beginning it stands over the time signature, otherwise over the
    // first note.
    let mut x = if at_start {
        let time = stage
            .stains
            .iter()
            .filter(|s| s.kind == Kind::TimeSignature)
            .map(|s| crate::geometry::bounds(&s.ink).left)
            .fold(f64::MAX, f64::min);
        if time < bar.start { time } else { frame.left + 3.5 }
    } else {
        bar.columns.first().map_or(bar.start, |column| column.1)
    };
    let start = x;
    if !source.words.is_empty() {
        let word = &source.words;
        stains.push(ink::text(word, Face::Bold, TEMPO_SIZE, (x, 0.0), Kind::Tempo, owner));
        x += font::text_width(Face::Bold, TEMPO_SIZE, word) + 0.8;
    }
    if let Some(tempo) = source.tempo {
        x = metronome(&mut stains, tempo, x, owner);
    }
    // Outside of the rows that begin beside it, too.
    let y = stage.above.reach(start - 0.3, x + BESIDE).max(2.3) + TEMPO_CLEAR;
    for stain in stains {
        stage.add(super::moved(stain, 0.0, y));
    }
}

fn metronome(stains: &mut Vec<Stain>, tempo: Tempo, x: f64, owner: Owner) -> f64 {
    let mut x = x;
    let note = counted(tempo.value.base);
    let baseline = 0.3;
    stains.push(ink::glyph(note, NOTE_SCALE, x, baseline, Kind::Tempo, owner));
    x += note.advance * NOTE_SCALE + 0.15;
    for _ in 0..tempo.value.dots {
        let dot = &table::MET_AUGMENTATION_DOT;
        stains.push(ink::glyph(dot, NOTE_SCALE, x, baseline, Kind::Tempo, owner));
        x += dot.advance * NOTE_SCALE + 0.1;
    }
    let text = format!(" = {}", tempo.per_minute);
    let size = TEMPO_SIZE * 0.85;
    stains.push(ink::text(&text, Face::Regular, size, (x, 0.0), Kind::Tempo, owner));
    x + font::text_width(Face::Regular, size, &text)
}
