//! What a reader who cannot see the page is told.

use apoyando_music::rhythm::MetreSign;
use apoyando_music::{Mode, PartIndex, Score};

use crate::place::Frame;

/// A system in words: its bars, key and metre, and the parts.
pub fn describe(score: &Score, frame: &Frame) -> String {
    let (Some(first), Some(last)) = (frame.bars.first(), frame.bars.last()) else {
        return String::new();
    };
    let bars = score.bars();
    let (from, to) = (&bars[first.index], &bars[last.index]);
    let title = &score.heading().title;
    let named = if title.is_empty() { String::new() } else { format!("{title}, ") };
    let range = if first.index == last.index {
        format!("bar {}", from.number)
    } else {
        format!("bars {} to {}", from.number, to.number)
    };
    let signature = from.signature;
    let key = format!("{} or {}", signature.key(Mode::Major), signature.key(Mode::Minor));
    let metre = match from.metre.sign {
        MetreSign::Cut => "cut time".to_owned(),
        MetreSign::Common => "common time".to_owned(),
        MetreSign::Figures => format!("{}/{}", from.metre.count, from.metre.unit),
    };
    // Notes are in order of part and bar.
    let before = |part: PartIndex, bar: usize| {
        score.notes().partition_point(|note| (note.part, note.bar.0 as usize) < (part, bar))
    };
    let notes: usize = score
        .part_indices()
        .map(|part| before(part, last.index + 1) - before(part, first.index))
        .sum();
    let parts = match score.parts().len() {
        1 => String::new(),
        count => format!(" for {count} players"),
    };
    format!("{named}{range}{parts}: {key}, {metre}, {notes} notes")
}
