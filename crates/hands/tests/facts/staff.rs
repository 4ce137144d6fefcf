//! Scores from a line of text: `C3/8 D3+F3/4. r/4 E3/2~ | E3/1`.
//!
//! Pitches sound as written, joined by `+`; after the stroke stands the value,
//! dotted by `.`, tied by `~`. Voices are separate texts, bars are separated
//! by `|`.

use apoyando_fingering::{EffortTable, Level, Pin, Pins, Problem};
use apoyando_fretboard::Instrument;
use apoyando_hands::{RightPlan, Solution, finger};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Duration, Heading, KeySignature,
    Metre, NoteValue, PartIndex, Score, Tempo,
};

pub fn event(text: &str) -> DraftEvent {
    let (pitches, value) = text.split_once('/').expect("a stroke before the value");
    let tied = value.ends_with('~');
    let digits = value.trim_end_matches(['~', '.']);
    let dots = value.matches('.').count() as u8;
    let base = match digits {
        "1" => Base::Whole,
        "2" => Base::Half,
        "4" => Base::Quarter,
        "8" => Base::Eighth,
        "16" => Base::N16,
        "32" => Base::N32,
        other => panic!("no value {other}"),
    };
    let mut event = DraftEvent::rest(NoteValue { base, dots });
    if pitches != "r" {
        event.notes = pitches
            .split('+')
            .map(|p| DraftNote { tied, ..DraftNote::new(p.parse().expect("a pitch")) })
            .collect();
    }
    event
}

pub fn score(metre: Metre, quarters: Option<u16>, voices: &[&str]) -> Score {
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
    Score::assemble(Draft { heading: Heading::default(), bars, parts: vec![part] })
        .expect("the voices fill their bars")
}

pub fn solve(score: &Score, level: &Level, pins: &[Pin]) -> Solution {
    let instrument = Instrument::guitar();
    let effort = EffortTable::default();
    let pins = Pins(pins.to_vec());
    let problem = Problem {
        score,
        part: PartIndex(0),
        instrument: &instrument,
        level,
        pins: &pins,
        effort: &effort,
    };
    finger(&problem, &RightPlan::default()).expect("a fingering")
}

/// Every tone as string and fret, finger: `⑤3/3`, `④0`.
pub fn shown(solution: &Solution) -> String {
    let tones: Vec<String> = solution
        .fingering
        .tones
        .iter()
        .map(|tone| match tone.left {
            None => "—".to_owned(),
            Some(left) => match left.finger {
                None => left.place.to_string(),
                Some(finger) => format!("{}/{finger}", left.place),
            },
        })
        .collect();
    tones.join(" ")
}
