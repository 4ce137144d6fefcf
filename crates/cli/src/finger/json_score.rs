//! What is written, for programs: bars, events, joins, and the order in which
//! the bars are played.

use apoyando_music::{
    Bar as ScoreBar, BarEnd, Event as ScoreEvent, EventMark, Join as ScoreJoin, JoinKind,
    PartIndex, Score, Tempo, play_order,
};
use serde::Serialize;

#[derive(Serialize)]
pub struct Bar {
    number: u32,
    start: String,
    length: String,
    /// Of the metronome mark at its beginning, if there is one.
    quarters_a_minute: Option<String>,
    /// Sharps of the signature in force; flats are negative.
    fifths: i32,
    repeat_start: bool,
    /// How often the repeat that ends here is played in all.
    repeat_end: Option<u8>,
    end: &'static str,
}

/// A rest, a note or a chord of a voice as it is written; a tied note is one of
/// each event it stands in.
#[derive(Serialize)]
pub struct Event {
    voice: u8,
    at: String,
    duration: String,
    /// From low to high; none in a rest.
    tones: Vec<u32>,
    fermata: bool,
    natural_harmonic: bool,
    artificial_harmonic: bool,
}

/// Two tones that the left hand is to join.
#[derive(Serialize)]
pub struct Join {
    from: u32,
    to: u32,
    by: &'static str,
}

pub fn bars(score: &Score) -> Vec<Bar> {
    score.bars().iter().map(bar).collect()
}

fn bar(bar: &ScoreBar) -> Bar {
    Bar {
        number: bar.number,
        start: bar.start.since_start().to_string(),
        length: bar.length.to_string(),
        quarters_a_minute: bar.tempo.map(quarters_a_minute),
        fifths: bar.signature.fifths(),
        repeat_start: bar.repeat_start,
        repeat_end: bar.repeat_end,
        end: match bar.end {
            BarEnd::Plain => "plain",
            BarEnd::Double => "double",
            BarEnd::Final => "final",
        },
    }
}

fn quarters_a_minute(tempo: Tempo) -> String {
    tempo.value.duration().scaled((4 * i64::from(tempo.per_minute)).into()).to_string()
}

/// The bars in the order in which they are played, by their places in the list
/// of bars from 0; as written where repeats cannot be unfolded.
pub fn playing_order(score: &Score) -> Vec<u32> {
    match play_order(score) {
        Ok(played) => played.iter().map(|played| played.bar.0).collect(),
        Err(_) => (0..).zip(score.bars()).map(|(index, _)| index).collect(),
    }
}

pub fn events(score: &Score, part: PartIndex) -> Vec<Event> {
    let tones = score.tones(part);
    let voices = score.part(part).voices.iter();
    voices
        .flat_map(|voice| voice.bars.iter().flatten().map(move |event| (voice.number, event)))
        .map(|(voice, event)| Event {
            voice: voice.0,
            at: event.onset.since_start().to_string(),
            duration: event.duration.to_string(),
            tones: event
                .notes()
                .iter()
                .filter_map(|note| tones.of_note(*note))
                .map(|tone| tone.0)
                .collect(),
            fermata: marked(event, EventMark::Fermata),
            natural_harmonic: marked(event, EventMark::NaturalHarmonic),
            artificial_harmonic: marked(event, EventMark::ArtificialHarmonic),
        })
        .collect()
}

fn marked(event: &ScoreEvent, mark: EventMark) -> bool {
    event.marks.contains(&mark)
}

pub fn joins(score: &Score, part: PartIndex) -> Vec<Join> {
    let join = |join: ScoreJoin| Join {
        from: join.from.0,
        to: join.to.0,
        by: match join.kind {
            JoinKind::Slur => "slur",
            JoinKind::Glide => "glissando",
        },
    };
    score.joins(part).into_iter().map(join).collect()
}
