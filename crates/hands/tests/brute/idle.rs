//! Chords of which one needs a single string of the barre between the others.

use apoyando_fretboard::Instrument;
use apoyando_music::{Draft, DraftBar, DraftEvent, DraftPart, Heading, KeySignature, Metre, Pitch};

use crate::dice::Dice;
use crate::music::{open_keys, spelled, value};

/// Three quarters in one bar or in two: all strings but one under a barre, a chord of
/// three with one string at its fret, and two strings at its fret or one.
pub fn idle_barres(dice: &mut Dice, instrument: &Instrument) -> Draft {
    let open = open_keys(instrument);
    let fret = 1 + dice.below(2) as i16;
    let note = |string: usize, above: i16| -> Pitch { spelled(open[string] + fret + above, false) };
    let first = dice.below(open.len() as u64 - 2) as usize;
    let full: Vec<Pitch> = (first..first + 3).map(|string| note(string, 0)).collect();
    // One string of three at the fret, the others one to three frets above.
    let at_fret = dice.below(3) as usize;
    let mut chord = |string: usize| {
        note(first + string, if string == at_fret { 0 } else { 1 + dice.below(3) as i16 })
    };
    let one: Vec<Pitch> = (0..3).map(&mut chord).collect();
    let from = first + dice.below(3) as usize;
    let last: Vec<Pitch> =
        (from..(from + 1 + dice.below(2) as usize).min(first + 3)).map(|s| note(s, 0)).collect();
    let mut part = DraftPart::guitar(String::new());
    let event = |notes: &[Pitch]| DraftEvent::notes(value(4), notes);
    let one_bar = dice.one_in(2);
    let events = vec![event(&full), event(&one), event(&last)];
    let (bars, quarters): (Vec<Vec<DraftEvent>>, &[u8]) = if one_bar {
        (vec![events], &[3])
    } else {
        let (before, after) = events.split_at(2);
        (vec![before.to_vec(), after.to_vec()], &[2, 1])
    };
    part.voices = vec![bars];
    let grid = quarters.iter().zip(1..).map(|(quarters, number)| {
        DraftBar::new(number, Metre::new(*quarters, 4), KeySignature::NONE)
    });
    Draft { heading: Heading::default(), bars: grid.collect(), parts: vec![part] }
}
