//! Dynamics, hairpins and words below a staff, outside of the fingering.
//!
//! A dynamic is centred under the head of its onset, words begin at it. What follows
//! closely is one phrase and stands on one baseline, as near to the staff as its ink
//! allows.

use apoyando_music::StaffSide;

use super::dashes::Dashes;
use super::expressions::{self, Spoken};
use super::hairpins::{self, Wedge};
use super::letters::{Letters, Script};
use super::line::{Line, middle};
use crate::Sheet;
use crate::geometry::Stage;
use crate::notate::loudness::{APART, SHORTEST_HAIRPIN, glyph};
use crate::place::Frame;
use crate::style::Style;

/// Clear space to other ink. House.
const CLEAR: f64 = 0.5;
/// Nearest baseline, below the middle line. House.
const NEAREST: f64 = 4.2;
/// The middle of the letters above their baseline: half the height of a letter
/// without stroke, by eye.
const MIDDLE: f64 = 0.5;
/// What stands no farther apart than this is one phrase, and phrases whose
/// baselines would differ by no more than that have one. House.
const PHRASE: f64 = 14.0;
const LEVEL: f64 = 4.0;

/// Draws the dynamics and hairpins of a staff and the words below it.
pub fn draw(stage: &mut Stage, sheet: &Sheet<'_>, style: &Style, frame: &Frame) {
    let part = sheet.score.part(stage.part);
    let line = Line::of(sheet, style, frame);
    let mut letters: Vec<Letters> = part
        .dynamics
        .iter()
        .filter(|mark| line.from <= mark.at && mark.at < line.until)
        .map(|mark| {
            let glyph = glyph(mark.dynamic);
            let left = middle(stage, &line, mark.at) - glyph.width() / 2.0;
            let script = Script::Dynamic(glyph);
            Letters { at: mark.at, script, left, owner: line.owner(mark.at) }
        })
        .collect();
    let mut spoken = expressions::on_line(part, StaffSide::Below, style, &line);
    keep_where_free(&mut spoken, &letters);
    letters.extend(spoken.iter().filter_map(|spoken| spoken.letters.clone()));
    // At one moment the dynamic comes first.
    letters.sort_by_key(|letters| (letters.at, matches!(letters.script, Script::Words(..))));
    if letters.is_empty() && spoken.is_empty() && part.hairpins.is_empty() {
        return;
    }
    let wished = letters.clone();
    keep_apart(&mut letters, &part.hairpins, &line);
    let mut under = Vec::new();
    if letters.windows(2).any(|pair| pair[0].right() > pair[1].left) {
        // Words at the end of a bar have no room of their own: where the line is full, they
        // stand under the dynamics, for which there is room.
        (under, letters) =
            wished.into_iter().partition(|letters| matches!(letters.script, Script::Words(..)));
        keep_apart(&mut letters, &part.hairpins, &line);
        spoken.clear();
    }
    let wedges = hairpins::on_line(&part.hairpins, &letters, &line);
    let dashes = dashes(&spoken, &letters, &wedges, &line);
    let mut items: Vec<Item> = letters.into_iter().map(Item::Letters).collect();
    items.extend(wedges.into_iter().map(Item::Wedge));
    items.extend(dashes.into_iter().map(Item::Dashes));
    items.sort_by(|a, b| a.left().total_cmp(&b.left()));
    for (item, baseline) in levelled(stage, items) {
        item.put(stage, &line, baseline);
    }
    for mut words in under {
        words.left = words.left.min(line.frame.right - words.width()).max(line.frame.left);
        let item = Item::Letters(words);
        let baseline = item.nearest(stage);
        item.put(stage, &line, baseline);
    }
}

/// Leaves words that go on from the line before out where they would meet others, for which
/// alone there is room; their dashes stay.
fn keep_where_free(spoken: &mut [Spoken<'_>], dynamics: &[Letters]) {
    let mut taken: Vec<f64> = dynamics.iter().map(|letters| letters.left).collect();
    let begin = |spoken: &Spoken<'_>| spoken.letters.as_ref().map(|letters| letters.left);
    taken.extend(spoken.iter().filter(|spoken| !spoken.goes_on()).filter_map(begin));
    for spoken in spoken.iter_mut().filter(|spoken| spoken.goes_on()) {
        let Some(letters) = &spoken.letters else { continue };
        if taken.iter().any(|left| *left < letters.right() + APART) {
            spoken.letters = None;
        } else {
            taken.push(letters.left);
        }
    }
}

/// The dashes after words, beside everything else on their way; of several at a time those
/// of the first words.
fn dashes(
    spoken: &[Spoken<'_>],
    letters: &[Letters],
    wedges: &[Wedge],
    line: &Line<'_>,
) -> Vec<Dashes> {
    let letters_taken = letters.iter().map(|letters| (letters.left, letters.right()));
    let wedges_taken = wedges.iter().map(|wedge| (wedge.from.0, wedge.to.0));
    let mut taken: Vec<(f64, f64)> = letters_taken.chain(wedges_taken).collect();
    let mut dashes = Vec::new();
    for Spoken { words, letters: own } in spoken {
        // The words have been moved since.
        let moved = own.as_ref().and_then(|own| {
            let is_own = |other: &&Letters| other.at == own.at && other.script == own.script;
            letters.iter().find(is_own)
        });
        let Some(whole) = Dashes::of(words, moved, line) else { continue };
        let pieces = whole.beside(&taken);
        taken.extend(pieces.iter().map(|piece| (piece.from, piece.to)));
        dashes.extend(pieces);
    }
    dashes
}

/// Moves dynamics away from one another, as little as can be, so that a hairpin
/// between two is seen.
fn keep_apart(letters: &mut [Letters], hairpins: &[apoyando_music::Hairpin], line: &Line<'_>) {
    let gap = |before: &Letters, after: &Letters| {
        let between = hairpins
            .iter()
            .filter(|hairpin| before.at <= hairpin.from && hairpin.until <= after.at);
        APART + between.count() as f64 * (SHORTEST_HAIRPIN + APART)
    };
    for at in 0..letters.len() {
        let mut least = line.after_joint(letters[at].at);
        if at > 0 {
            let before = &letters[at - 1];
            least = least.max(before.right() + gap(before, &letters[at]));
        }
        letters[at].left = letters[at].left.max(least);
    }
    let mut most = line.frame.right;
    for at in (0..letters.len()).rev() {
        letters[at].left = letters[at].left.min(most - letters[at].width());
        if at > 0 {
            most = letters[at].left - gap(&letters[at - 1], &letters[at]);
        }
        // In a line too full for them nothing leans out.
        letters[at].left = letters[at].left.max(line.frame.left);
    }
}

/// A dynamic, words, their dashes or a hairpin.
#[derive(Clone, Debug)]
enum Item {
    Letters(Letters),
    Wedge(Wedge),
    Dashes(Dashes),
}

impl Item {
    fn left(&self) -> f64 {
        match self {
            Self::Letters(letters) => letters.left,
            Self::Wedge(wedge) => wedge.from.0,
            Self::Dashes(dashes) => dashes.from,
        }
    }

    fn right(&self) -> f64 {
        match self {
            Self::Letters(letters) => letters.right(),
            Self::Wedge(wedge) => wedge.to.0,
            Self::Dashes(dashes) => dashes.to,
        }
    }

    /// The nearest baseline, as a distance below the middle line.
    fn nearest(&self, stage: &Stage) -> f64 {
        let reach = |left: f64, right: f64| stage.below.reach(left - CLEAR, right + CLEAR) + CLEAR;
        match self {
            Self::Letters(letters) => reach(letters.left, letters.right()) + letters.rise(),
            Self::Wedge(wedge) => wedge
                .strips()
                .map(|(left, right, half)| reach(left, right) + half + MIDDLE)
                .fold(0.0, f64::max),
            Self::Dashes(dashes) => reach(dashes.from, dashes.to) + Dashes::HALF + MIDDLE,
        }
        .max(NEAREST)
    }

    fn put(&self, stage: &mut Stage, line: &Line<'_>, baseline: f64) {
        match self {
            Self::Letters(letters) => letters.put(stage, line, -baseline),
            Self::Wedge(wedge) => wedge.put(stage, MIDDLE - baseline),
            Self::Dashes(dashes) => dashes.put(stage, MIDDLE - baseline),
        }
    }
}

/// Items from left to right with their baselines, as distances below the middle
/// line.
fn levelled(stage: &Stage, items: Vec<Item>) -> Vec<(Item, f64)> {
    let mut phrases: Vec<(Vec<Item>, f64)> = Vec::new();
    for item in items {
        let nearest = item.nearest(stage);
        match phrases.last_mut() {
            Some((phrase, level))
                if phrase.iter().any(|before| item.left() - before.right() < PHRASE) =>
            {
                phrase.push(item);
                *level = level.max(nearest);
            }
            _ => phrases.push((vec![item], nearest)),
        }
    }
    // Phrases that are almost level are level, from the deepest on.
    let deepest = phrases.iter().map(|(_, level)| *level).fold(0.0, f64::max);
    for (_, level) in &mut phrases {
        if deepest - *level <= LEVEL {
            *level = deepest;
        }
    }
    let placed = |(phrase, level): (Vec<Item>, f64)| phrase.into_iter().map(move |i| (i, level));
    phrases.into_iter().flat_map(placed).collect()
}
