//! Words of expression and tone in italics above a staff, outside of the fingering.
//!
//! They begin at the head of their onset and keep one baseline where that is near
//! enough, their dashes with them. Those below stand among the dynamics.

use apoyando_music::{Expression, Part, StaffSide};

use super::dashes::{self, Dashes};
use super::letters::{Letters, Script};
use super::line::Line;
use crate::Sheet;
use crate::geometry::Stage;
use crate::notate::loudness::{APART, WORDS};
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
/// The middle of small letters above their baseline, in parts of the em, by eye.
const MIDDLE: f64 = 0.25;
/// Words are moved aside by no more than this before they stand over others.
const ASIDE: f64 = 2.5;

/// Words on a line.
#[derive(Clone, Debug)]
pub(super) struct Spoken<'a> {
    pub words: &'a Expression,
    /// What is written; nothing where their dashes alone go on from the line before.
    pub letters: Option<Letters>,
}

impl Spoken<'_> {
    /// Whether the words began on a line before.
    pub(super) fn goes_on(&self) -> bool {
        self.letters.as_ref().is_none_or(|letters| letters.at > self.words.at)
    }
}

/// The words on a side of a part on a line, from left to right, with those whose dashes go
/// on from the line before.
pub(super) fn on_line<'a>(
    part: &'a Part,
    side: StaffSide,
    style: &Style,
    line: &Line<'_>,
) -> Vec<Spoken<'a>> {
    let size = style.em(WORDS);
    part.words
        .iter()
        .filter(|words| words.side == side && words.at < line.until)
        .filter_map(|words| {
            if words.at < line.from {
                words.until.filter(|until| *until > line.from)?;
                return Some(Spoken { words, letters: dashes::going_on(words, size, line) });
            }
            let script = Script::Words(words.text.clone(), size);
            let (left, owner) = (line.x(words.at), line.owner(words.at));
            Some(Spoken { words, letters: Some(Letters { at: words.at, script, left, owner }) })
        })
        .collect()
}

/// Words above a staff with their dashes.
struct Placed<'a> {
    spoken: Spoken<'a>,
    dashes: Option<Dashes>,
}

impl Placed<'_> {
    /// How far left what comes after it on its shelf may begin. Dashes that are over by
    /// then make room.
    fn clear(&self, next: &Expression) -> f64 {
        let words = self.spoken.letters.as_ref().map(|letters| letters.right() + BESIDE);
        let under_way = self.spoken.words.until.is_some_and(|until| until > next.at);
        let dashes = self.dashes.filter(|_| under_way).map(|dashes| dashes.to + BESIDE);
        words.into_iter().chain(dashes).fold(f64::MIN, f64::max)
    }

    /// Ends the dashes before what follows.
    fn make_room(&mut self, left: f64) {
        self.dashes = self.dashes.and_then(|dashes| dashes.until(left - APART));
    }

    /// The nearest baseline.
    fn nearest(&self, stage: &Stage, size: f64) -> f64 {
        let reach = |left: f64, right: f64| stage.above.reach(left - CLEAR, right + CLEAR) + CLEAR;
        let words = self.spoken.letters.as_ref();
        let words = words.map(|words| reach(words.left, words.right()) + words.fall());
        let dashes = self.dashes.map(|d| reach(d.from, d.to) + Dashes::HALF - MIDDLE * size);
        words.into_iter().chain(dashes).fold(NEAREST, f64::max)
    }
}

/// Draws the words above a staff.
pub fn draw(stage: &mut Stage, sheet: &Sheet<'_>, style: &Style, frame: &Frame) {
    let line = Line::of(sheet, style, frame);
    let size = style.em(WORDS);
    let words = on_line(sheet.score.part(stage.part), StaffSide::Above, style, &line);
    for shelf in shelves(words, &line) {
        for (placed, baseline) in levelled(stage, shelf, size) {
            if let Some(letters) = &placed.spoken.letters {
                letters.put(stage, &line, baseline);
            }
            if let Some(dashes) = placed.dashes {
                dashes.put(stage, baseline + MIDDLE * size);
            }
        }
    }
}

/// Words that stand side by side, those nearest to the staff first.
fn shelves<'a>(words: Vec<Spoken<'a>>, line: &Line<'_>) -> Vec<Vec<Placed<'a>>> {
    let mut shelves: Vec<Vec<Placed<'a>>> = Vec::new();
    for mut spoken in words {
        let letters = spoken.letters.as_mut();
        let shelf = match letters {
            Some(letters) => {
                // In a line too narrow for them they lean out as little as can be.
                let most = (line.frame.right - letters.width()).max(line.frame.left);
                letters.left = letters.left.min(most);
                let room = |shelf: &Vec<Placed<'_>>| {
                    let least = shelf.last().map_or(f64::MIN, |last| last.clear(spoken.words));
                    letters.left.max(least)
                };
                let fits = |left: f64| left <= (letters.left + ASIDE).min(most);
                let shelf = shelves.iter().position(|shelf| fits(room(shelf)));
                if let Some(shelf) = shelf {
                    letters.left = room(&shelves[shelf]);
                    if let Some(last) = shelves[shelf].last_mut() {
                        last.make_room(letters.left);
                    }
                }
                shelf
            }
            None => None,
        };
        let dashes = Dashes::of(spoken.words, spoken.letters.as_ref(), line);
        let placed = Placed { spoken, dashes };
        match shelf {
            Some(shelf) => shelves[shelf].push(placed),
            None if placed.spoken.letters.is_some() || placed.dashes.is_some() => {
                shelves.push(vec![placed]);
            }
            None => {}
        }
    }
    shelves
}

/// Words with their baselines: those almost level are level, from the highest on.
fn levelled<'a>(stage: &Stage, words: Vec<Placed<'a>>, size: f64) -> Vec<(Placed<'a>, f64)> {
    let mut placed: Vec<(Placed<'a>, f64)> = words
        .into_iter()
        .map(|words| {
            let level = words.nearest(stage, size);
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
