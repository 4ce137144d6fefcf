//! Scores from a line of text, `C3/8 D3+F3/4. r/4 E3/2~ | E3/1`, fingered and
//! checked.
//!
//! Pitches sound as written; after the stroke stands the value, dotted by `.`,
//! tied by `~`. Voices are separate texts, bars are separated by `|`.

use apoyando_fingering::{EffortTable, Fingering, Level, Pin, Pins, Problem};
use apoyando_fretboard::Instrument;
use apoyando_hands::{RightPlan, finger};
use apoyando_method::{Preparation, prepare};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Duration, Heading, KeySignature,
    Metre, NoteValue, PartIndex, Score, Tempo,
};

fn event(text: &str) -> DraftEvent {
    let (pitches, value) = text.split_once('/').expect("a stroke before the value");
    let tied = value.ends_with('~');
    let base = match value.trim_end_matches(['~', '.']) {
        "1" => Base::Whole,
        "2" => Base::Half,
        "4" => Base::Quarter,
        "8" => Base::Eighth,
        "16" => Base::N16,
        other => panic!("no value {other}"),
    };
    let mut event = DraftEvent::rest(NoteValue { base, dots: value.matches('.').count() as u8 });
    if pitches != "r" {
        event.notes = pitches
            .split('+')
            .map(|p| DraftNote { tied, ..DraftNote::new(p.parse().expect("a pitch")) })
            .collect();
    }
    event
}

pub fn score(metre: Metre, quarters: Option<u16>, voices: &[&str]) -> Score {
    Score::assemble(draft(metre, quarters, voices)).expect("the voices fill their bars")
}

/// What a score is put together from, to be marked before.
pub fn draft(metre: Metre, quarters: Option<u16>, voices: &[&str]) -> Draft {
    let voices: Vec<Vec<Vec<DraftEvent>>> = voices
        .iter()
        .map(|v| v.split('|').map(|bar| bar.split_whitespace().map(event).collect()).collect())
        .collect();
    let bars = (0..voices[0].len())
        .map(|bar| {
            let mut grid = DraftBar::new(bar as u32 + 1, metre, KeySignature::NONE);
            let length: Duration = voices[0][bar].iter().map(|e| e.value.duration()).sum();
            grid.length = (length != metre.bar()).then_some(length);
            if bar == 0 {
                grid.tempo = quarters
                    .map(|per_minute| Tempo { value: NoteValue::plain(Base::Quarter), per_minute });
            }
            grid
        })
        .collect();
    let mut part = DraftPart::guitar(String::new());
    part.voices = voices;
    Draft { heading: Heading::default(), bars, parts: vec![part] }
}

/// A fingered score with what is to be prepared in it.
pub struct Prepared {
    pub score: Score,
    pub fingering: Fingering,
    pub preparation: Preparation,
}

pub fn prepared(score: Score, level: &Level, pins: &[Pin]) -> Prepared {
    let (instrument, effort) = (Instrument::guitar(), EffortTable::default());
    let pins = Pins(pins.to_vec());
    let problem = Problem {
        score: &score,
        part: PartIndex(0),
        instrument: &instrument,
        level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let right = RightPlan::default();
    let fingering = finger(&problem, &right).expect("a fingering").fingering;
    let preparation = prepare(&problem, &right, &fingering).expect("it is its own fingering");
    Prepared { score, fingering, preparation }
}
