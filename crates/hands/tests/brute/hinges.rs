//! Chords under a barre beside a string that is stopped and open by turns.

use apoyando_fretboard::Instrument;
use apoyando_music::{Draft, DraftBar, DraftEvent, DraftPart, Heading, KeySignature, Metre, Pitch};

use crate::dice::Dice;
use crate::music::{open_keys, spelled, value};

/// A bar of four or five eighths: in the first voice the outermost string on one
/// side, in the second two or three strings beside it, held or struck again.
pub fn hinges(dice: &mut Dice, instrument: &Instrument) -> Draft {
    let open = open_keys(instrument);
    let fret = 1 + dice.below(2) as i16;
    let count = 4 + dice.below(2);
    let thin_side = dice.one_in(2);
    let beside = 2 + dice.below(open.len() as u64 - 2) as usize;
    let (turning, beside) = if thin_side {
        (open[0], &open[1..=beside])
    } else {
        let last = open.len() - 1;
        (open[last], &open[last - beside..last])
    };
    let note = |key: i16| spelled(key, false);
    let mut stopped = !dice.one_in(4);
    let mut turns = Vec::new();
    for _ in 0..count {
        turns.push(DraftEvent::notes(value(2), &[note(turning + if stopped { fret } else { 0 })]));
        if !dice.one_in(6) {
            stopped = !stopped;
        }
    }
    let chord: Vec<Pitch> = beside.iter().map(|key| note(key + fret)).collect();
    let mut chords = Vec::new();
    let mut left = count;
    while left > 0 {
        let length = [4, 2, 1][dice.below(3) as usize].min(left);
        let length = if length == 3 { 2 } else { length };
        chords.push(DraftEvent::notes(value(2 * length), &chord));
        left -= length;
    }
    let mut part = DraftPart::guitar(String::new());
    part.voices = vec![vec![turns], vec![chords]];
    let bar = DraftBar::new(1, Metre::new(count as u8, 8), KeySignature::NONE);
    Draft { heading: Heading::default(), bars: vec![bar], parts: vec![part] }
}
