//! Words of expression and tone in italics above a staff, outside of the fingering.
//!
//! They begin at the head of their onset and keep one baseline where that is near
//! enough. Those below stand among the dynamics.

use apoyando_music::{Part, StaffSide};

use super::letters::{Letters, Script};
use super::line::Line;
use crate::Sheet;
use crate::geometry::Stage;
use crate::notate::loudness::WORDS;
use crate::place::Frame;
use crate::style::Style;

/// Clear space to other ink. House.
const CLEAR: f64 = 0.5;
/// Nearest baseline, above the middle line. House.
const NEAREST: f64 = 3.2;
/// Space between words that do not belong together. House.
const BESIDE: f64 = 1.2;
/// Words whose baselines would differ by no more than this have one. House.
const LEVEL: f64 = 4.0;
/// Words are moved aside by no more than this before they stand over others.
const ASIDE: f64 = 2.5;

/// The words on a side of a part on a line, from left to right.
pub(super) fn on_line(
    part: &Part,
    side: StaffSide,
    style: &Style,
    line: &Line<'_>,
) -> Vec<Letters> {
    let size = style.em(WORDS);
    let here = |at| line.from <= at && at < line.until;
    part.words
        .iter()
        .filter(|words| words.side == side && here(words.at))
        .map(|words| {
            let script = Script::Words(words.text.clone(), size);
            let (left, owner) = (line.x(words.at), line.owner(words.at));
            Letters { at: words.at, script, left, owner }
        })
        .collect()
}

/// Draws the words above a staff.
pub fn draw(stage: &mut Stage, sheet: &Sheet<'_>, style: &Style, frame: &Frame) {
    let line = Line::of(sheet, style, frame);
    let words = on_line(sheet.score.part(stage.part), StaffSide::Above, style, &line);
    for shelf in shelves(words, &line) {
        for (words, baseline) in levelled(stage, shelf) {
            words.put(stage, &line, baseline);
        }
    }
}

/// Words that stand side by side, those nearest to the staff first.
fn shelves(words: Vec<Letters>, line: &Line<'_>) -> Vec<Vec<Letters>> {
    let mut shelves: Vec<Vec<Letters>> = Vec::new();
    for mut words in words {
        // In a line too narrow for them they lean out as little as can be.
        let most = (line.frame.right - words.width()).max(line.frame.left);
        words.left = words.left.min(most);
        let room = |shelf: &Vec<Letters>| {
            let least = shelf.last().map_or(f64::MIN, |before| before.right() + BESIDE);
            words.left.max(least)
        };
        let fits = |left: f64| left <= (words.left + ASIDE).min(most);
        match shelves.iter().position(|shelf| fits(room(shelf))) {
            Some(at) => {
                words.left = room(&shelves[at]);
                shelves[at].push(words);
            }
            None => shelves.push(vec![words]),
        }
    }
    shelves
}

/// Words with their baselines: those almost level are level, from the highest on.
fn levelled(stage: &Stage, words: Vec<Letters>) -> Vec<(Letters, f64)> {
    let nearest = |words: &Letters| {
        let reach = stage.above.reach(words.left - CLEAR, words.right() + CLEAR);
        (reach + CLEAR + words.fall()).max(NEAREST)
    };
    let mut placed: Vec<(Letters, f64)> = words
        .into_iter()
        .map(|words| {
            let level = nearest(&words);
            (words, level)
        })
        .collect();
    let highest = placed.iter().map(|(_, level)| *level).fold(f64::MIN, f64::max);
    for (_, level) in &mut placed {
        if highest - *level <= LEVEL {
            *level = highest;
        }
    }
    placed
}
