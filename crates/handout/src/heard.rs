//! An item as it is played, as the browser is told it.

use apoyando_fingering::Fingering;
use apoyando_fretboard::Instrument;
use apoyando_music::{PartIndex, PlayOrderError, Score, Tone, Tones};
use apoyando_sound::performance::BarSpan;
use apoyando_sound::studio::Sounding;
use apoyando_sound::{Performance, Strike, perform};
use apoyando_workshop::BuiltItem;
use serde::Serialize;

/// An item as it is played.
#[derive(Serialize)]
pub struct Heard {
    title: String,
    /// The names of its parts.
    parts: Vec<String>,
    /// Of each part the numbers of its voices.
    voices: Vec<Vec<u8>>,
    /// The open strings from ①, by name.
    strings: Vec<String>,
    frets: u8,
    bars: Vec<HeardBar>,
    strikes: Vec<HeardStrike>,
    /// Notes that are held on from one that is struck: the note, and that one.
    held: Vec<(u32, u32)>,
}

impl Heard {
    /// The names of the sounds it wants.
    pub fn sounds(&self) -> impl Iterator<Item = &str> {
        self.strikes.iter().map(|strike| strike.sound.as_str())
    }
}

#[derive(Serialize)]
struct HeardBar {
    number: u32,
    pass: u8,
    from: f64,
    to: f64,
    /// When its beats begin.
    beats: Vec<f64>,
}

#[derive(Serialize)]
struct HeardStrike {
    at: f64,
    until: f64,
    /// The name of its sound.
    sound: String,
    /// How much louder than that.
    gain: f64,
    part: u16,
    voice: u8,
    note: u32,
    string: usize,
    fret: u8,
    /// The left-hand finger that stops it; none at an open string.
    finger: Option<u8>,
}

/// The fingering of each part, where there is one.
pub fn fingerings(item: &BuiltItem) -> Vec<Option<&Fingering>> {
    let of = |part: PartIndex| item.parts.iter().find(|fingered| fingered.part == part);
    item.score.part_indices().map(|part| of(part)?.fingering.as_ref()).collect()
}

/// An item as it is played.
///
/// # Errors
/// If its repeats cannot be unfolded.
pub fn heard(item: &BuiltItem, instrument: &Instrument) -> Result<Heard, PlayOrderError> {
    let score = &item.score;
    let fingerings = fingerings(item);
    let performance = perform(score, &fingerings, instrument)?;
    let part = |index: PartIndex| match score.part(index).name.as_str() {
        "" => format!("Part {}", index.0 + 1),
        name => name.to_owned(),
    };
    let voices =
        score.parts().iter().map(|part| part.voices.iter().map(|it| it.number.0).collect());
    let open = |string| instrument.tuning.open(string).map(|pitch| pitch.to_string());
    let tones: Vec<Tones> = score.part_indices().map(|part| score.tones(part)).collect();
    let strikes = performance.strikes.iter().map(|it| strike(&tones, &fingerings, it)).collect();
    Ok(Heard {
        title: item.title.clone(),
        parts: score.part_indices().map(part).collect(),
        voices: voices.collect(),
        strings: instrument.tuning.strings().filter_map(open).collect(),
        frets: instrument.frets.0,
        bars: bars(score, &performance),
        strikes,
        held: held(&tones),
    })
}

fn bars(score: &Score, performance: &Performance) -> Vec<HeardBar> {
    let bar = |(index, span): (usize, &BarSpan)| {
        let bar = score.bar(span.bar);
        let beats = std::iter::successors(Some(bar.start), |at| Some(*at + bar.metre.beat()));
        let beats = beats.take_while(|at| *at < bar.end_moment());
        let seconds =
            |at| performance.pace.seconds(performance.pace.played_until(index, score, at)).0;
        HeardBar {
            number: bar.number,
            pass: span.pass,
            from: span.from.0,
            to: span.to.0,
            beats: beats.map(seconds).collect(),
        }
    };
    performance.pace.bars().iter().enumerate().map(bar).collect()
}

fn held(tones: &[Tones]) -> Vec<(u32, u32)> {
    let all = tones.iter().flat_map(Tones::as_slice);
    let of = |tone: &Tone| {
        let head = tone.head().0;
        tone.notes[1..].iter().map(move |note| (note.0, head)).collect::<Vec<_>>()
    };
    all.flat_map(of).collect()
}

fn strike(tones: &[Tones], fingerings: &[Option<&Fingering>], strike: &Strike) -> HeardStrike {
    let part = usize::from(strike.part.0);
    let (fingering, tone) = (fingerings[part], tones[part].of_note(strike.note));
    let left = fingering.zip(tone).and_then(|(fingering, tone)| fingering.tone(tone).left);
    let left = left.filter(|left| left.place == strike.place);
    HeardStrike {
        at: strike.at.0,
        until: strike.until.0,
        sound: Sounding::of(strike).to_string(),
        gain: strike.strength.factor(),
        part: strike.part.0,
        voice: strike.voice.0,
        note: strike.note.0,
        string: strike.place.string.index() + 1,
        fret: strike.place.fret.0,
        finger: left.and_then(|left| left.finger).map(|finger| finger.digit()),
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use apoyando_book::Book;
    use apoyando_fretboard::Millimetres;
    use apoyando_workshop::{Printing, Workshop};

    use super::*;

    /// Every piece of the demo is heard whole and as it is fingered.
    #[test]
    fn all_of_the_demo_can_be_heard() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let book = Book::open(&folder).unwrap();
        let edition = book.main_edition();
        let printing = Printing { book: &book, edition: &edition, line: Millimetres(175.0) };
        let built = Workshop::default().build(&printing, &|_| {});
        assert!(built.items.len() > 15);
        let mut held_on = 0;
        for item in &built.items {
            let heard = heard(item, &book.instrument).unwrap();
            assert!(heard.strikes.len() >= item.score.tones(PartIndex(0)).len(), "{}", item.title);
            assert!(heard.strikes.iter().all(|it| it.until > it.at), "{}", item.title);
            assert!(heard.bars.windows(2).all(|pair| pair[0].to == pair[1].from));
            assert!(heard.strikes.iter().all(|it| (it.fret == 0) == it.finger.is_none()));
            // What is held on is struck once, at the note it is held on from.
            for (note, from) in &heard.held {
                held_on += 1;
                assert!(heard.strikes.iter().all(|it| it.note != *note), "{}", item.title);
                assert!(heard.strikes.iter().any(|it| it.note == *from), "{}", item.title);
            }
        }
        let tied = built.items.iter().flat_map(|item| item.score.notes());
        assert_eq!(held_on, tied.filter(|note| note.tied_from.is_some()).count());
    }
}
