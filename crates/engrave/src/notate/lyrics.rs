//! The lyrics of a part: a row for every verse of every voice that has some, and the
//! room its syllables want.

use std::collections::BTreeMap;

use apoyando_music::{Moment, Part, Sung, Verse, VoiceNumber};

use super::loudness::HALF_HEAD;
use crate::drawing::Face;
use crate::font;
use crate::style::Style;

/// Em of the letters. House.
pub const SIZE: f64 = 2.0;
/// Least space between words, and between syllables with a hyphen, to the em. House.
const WORDS_APART: f64 = 0.36;
const HYPHEN: f64 = 0.7;
/// Clear distance of the ink of neighbouring onsets, which spacing keeps by itself.
const INK: f64 = 0.3;
/// Most rows that ask for room.
pub const ROWS: usize = 8;

/// A verse of a voice in the order of time.
#[derive(Clone, Debug, Default)]
pub struct Row(pub Vec<Item>);

/// What a row has at an onset.
#[derive(Clone, Debug)]
pub struct Item {
    pub at: Moment,
    pub sung: Sung,
    /// Whether the syllable is held over what comes next.
    pub held: bool,
}

/// A syllable beside its onset.
#[derive(Clone, Copy, Debug)]
pub struct Syllable {
    /// Left side of its letters, from the left edge of the head.
    pub left: f64,
    pub width: f64,
}

impl Item {
    /// The letters of a syllable at an em: centred under the head, but where it is held
    /// they begin with the head (common practice, no source).
    pub fn syllable(&self, em: f64) -> Option<Syllable> {
        let Sung::Syllable { text, .. } = &self.sung else { return None };
        let width = font::text_width(Face::Regular, em, text);
        let left = if self.held { 0.0 } else { HALF_HEAD - width / 2.0 };
        Some(Syllable { left, width })
    }
}

/// The rows of a part, from the upper one.
pub fn rows(part: &Part) -> Vec<Row> {
    let mut rows: BTreeMap<(VoiceNumber, Verse), Row> = BTreeMap::new();
    for voice in &part.voices {
        for event in voice.bars.iter().flatten() {
            for lyric in &event.lyrics {
                let row = rows.entry((voice.number, lyric.verse)).or_default();
                let sung = lyric.sung.clone();
                if let (Some(last), Sung::Held) = (row.0.last_mut(), &sung) {
                    last.held = true;
                }
                row.0.push(Item { at: event.onset, sung, held: false });
            }
        }
    }
    rows.into_values().collect()
}

/// How far the syllables at an onset reach with what must follow them, row by row.
pub fn around(rows: &[Row], at: Moment, style: &Style) -> Vec<(usize, f64, f64)> {
    let em = style.em(SIZE);
    let mut sides = Vec::new();
    for (number, row) in rows.iter().take(ROWS).enumerate() {
        let Ok(found) = row.0.binary_search_by_key(&at, |item| item.at) else { continue };
        let item = &row.0[found];
        if let Some(Syllable { left, width }) = item.syllable(em) {
            let goes_on = matches!(item.sung, Sung::Syllable { goes_on: true, .. });
            let apart = em * if goes_on { HYPHEN } else { WORDS_APART };
            sides.push((number, left, left + width + apart - INK));
        }
    }
    sides
}
