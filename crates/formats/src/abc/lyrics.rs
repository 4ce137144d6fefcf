//! Lines of lyrics (`w:`; ABC 2.1, section 5.1, from memory): their syllables go to
//! the notes since the last such lines, a line to a verse.

use apoyando_music::Verse;

use super::tune::TuneReader;
use super::voice::VoiceState;
use crate::fit::lyrics::MOST_VERSES;
use crate::rough::{RoughEvent, RoughLyric, RoughSung};

/// How far the lyrics of a voice have got.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Singing {
    /// Where the notes begin that the next line is sung to: bar and event.
    from: (usize, usize),
    /// Verses sung to them so far.
    verses: u8,
    /// Where the last line ended.
    at: (usize, usize),
    /// The bar its last note or bar sign led to.
    bar: usize,
}

/// A sign of a line of lyrics.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Sign {
    Syllable {
        text: String,
        goes_on: bool,
    },
    /// The syllable before is held on; a hyphen of its own does so, too.
    Held,
    /// Nothing is sung to a note.
    Skip,
    /// On to the next bar.
    Bar,
}

impl TuneReader<'_> {
    /// Reads a line of lyrics; `more` where it continues the one before.
    pub(super) fn sing(&mut self, text: &str, more: bool) {
        self.enter_voice();
        let voice = self.voice();
        if !more {
            voice.singing.verses = voice.singing.verses.saturating_add(1);
            voice.singing.at = voice.singing.from;
            voice.singing.bar = voice.singing.from.0;
        }
        let verse = voice.singing.verses;
        if verse > MOST_VERSES {
            self.report.not_read(&format!("verse {verse} of more than {MOST_VERSES}"));
            return;
        }
        let mut left_over = false;
        for sign in signs(text) {
            left_over |= !put(self.voice(), Verse(verse), sign);
        }
        if left_over {
            self.report.not_read("syllable without a note");
        }
    }
}

impl VoiceState {
    /// A line of music begins: after lyrics, the next ones begin with it.
    pub(super) fn begin_line(&mut self) {
        if self.singing.verses > 0 {
            let bar = self.bars.len();
            let events = self.lanes[0].get(bar).map_or(0, Vec::len);
            self.singing = Singing { from: (bar, events), ..Singing::default() };
        }
    }

    /// The next note of the voice from a place on.
    fn next_note(&self, from: (usize, usize)) -> Option<(usize, usize)> {
        let bars = self.lanes[0].iter().enumerate().skip(from.0);
        let mut notes = bars.flat_map(|(bar, events)| {
            events.iter().enumerate().map(move |(index, event)| ((bar, index), event))
        });
        notes.find(|(at, event)| *at >= from && !event.notes.is_empty()).map(|(at, _)| at)
    }

    fn sung_event(&mut self, at: (usize, usize)) -> &mut RoughEvent {
        &mut self.lanes[0][at.0][at.1]
    }
}

/// Does what a sign says; whether there was a note for it.
fn put(voice: &mut VoiceState, verse: Verse, sign: Sign) -> bool {
    if sign == Sign::Bar {
        voice.singing.bar += 1;
        let bar = (voice.singing.bar, 0);
        voice.singing.at = voice.singing.at.max(bar);
        return true;
    }
    let Some(at) = voice.next_note(voice.singing.at) else { return sign == Sign::Skip };
    voice.singing.at = (at.0, at.1 + 1);
    voice.singing.bar = at.0;
    let sung = match sign {
        Sign::Syllable { text, goes_on } => RoughSung::Syllable { text, goes_on, held: false },
        Sign::Held => RoughSung::Held,
        Sign::Skip | Sign::Bar => return true,
    };
    voice.sung_event(at).lyrics.push(RoughLyric { verse, sung });
    true
}

/// The signs of a line. A hyphen after a syllable goes on to the next of its word;
/// after a space or another hyphen it holds the syllable for a note.
fn signs(text: &str) -> Vec<Sign> {
    let mut signs: Vec<Sign> = Vec::new();
    let mut letters = String::new();
    let mut chars = text.chars().peekable();
    let end = |letters: &mut String, signs: &mut Vec<Sign>, goes_on: bool| {
        let text = std::mem::take(letters).trim().to_owned();
        let any = !text.is_empty();
        if any {
            signs.push(Sign::Syllable { text, goes_on });
        }
        any
    };
    while let Some(c) = chars.next() {
        match c {
            '\\' if chars.peek() == Some(&'-') => letters.extend(chars.next()),
            // At the end of a line it says that more follows.
            '\\' => {}
            '~' => letters.push(' '),
            '-' => {
                if !end(&mut letters, &mut signs, true) {
                    signs.push(Sign::Held);
                }
            }
            ' ' | '\t' => {
                end(&mut letters, &mut signs, false);
            }
            '_' | '*' | '|' => {
                end(&mut letters, &mut signs, false);
                signs.push(match c {
                    '_' => Sign::Held,
                    '*' => Sign::Skip,
                    _ => Sign::Bar,
                });
            }
            c => letters.push(c),
        }
    }
    end(&mut letters, &mut signs, false);
    signs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn syllable(text: &str, goes_on: bool) -> Sign {
        Sign::Syllable { text: text.to_owned(), goes_on }
    }

    /// ABC 2.1, section 5.1, from memory.
    #[test]
    fn signs_part_syllables() {
        assert_eq!(
            signs("syll-a-ble of~the\\-end"),
            [
                syllable("syll", true),
                syllable("a", true),
                syllable("ble", false),
                syllable("of the-end", false),
            ]
        );
        assert_eq!(
            signs("time__ *la| doh-- re"),
            [
                syllable("time", false),
                Sign::Held,
                Sign::Held,
                Sign::Skip,
                syllable("la", false),
                Sign::Bar,
                syllable("doh", true),
                Sign::Held,
                syllable("re", false),
            ]
        );
        assert_eq!(signs("  "), []);
    }
}
