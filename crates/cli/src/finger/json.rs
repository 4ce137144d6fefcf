//! Fingering for programs. Every time is a fraction of a whole note since the
//! beginning, as text; bars are counted as printed; pitches are sounding.

use std::collections::BTreeMap;

use apoyando_fingering::{
    EffortTable, Finding, FindingPlace, Fingering, LeftFinger, Placement, Severity,
};
use apoyando_fretboard::{Instrument, StringNumber};
use apoyando_music::{Moment, PartIndex, Score, Tempo};
use apoyando_workshop::piece::FingeredPart;
use serde::Serialize;

use super::answers::Answers;
use super::json_answers::{Asked, asked};
use super::question::{Question, question};
use super::{FingeredFile, FingeredPiece, summary};

#[derive(Serialize)]
struct File<'a> {
    file: &'a str,
    error: Option<&'a str>,
    pieces: Vec<Piece<'a>>,
    findings: &'a [Finding],
}

#[derive(Serialize)]
struct Piece<'a> {
    title: &'a str,
    composer: &'a str,
    revision: String,
    bars: Vec<Bar>,
    parts: Vec<Part<'a>>,
    findings: &'a [Finding],
}

#[derive(Serialize)]
struct Bar {
    number: u32,
    start: String,
    length: String,
    /// Of the metronome mark at its beginning, if there is one.
    quarters_a_minute: Option<String>,
}

#[derive(Serialize)]
struct Part<'a> {
    part: u16,
    name: &'a str,
    question: Question<'a>,
    fingered: bool,
    price: Option<Price>,
    tones: Vec<Tone>,
    events: Vec<Event>,
    postures: Vec<Posture>,
    positions: Vec<Span<u8>>,
    shifts: Vec<Shift>,
    barres: Vec<Span<Barre>>,
    let_go: Vec<LetGo>,
    effort: Vec<Item>,
    effort_by_term: BTreeMap<&'static str, i64>,
    #[serde(flatten)]
    asked: Asked<'a>,
    violations: Vec<Violation>,
    findings: &'a [Finding],
}

/// A price.
#[derive(Serialize, Default)]
pub struct Price {
    escapes: u32,
    broken: u32,
    effort: u64,
}

impl From<apoyando_fingering::Price> for Price {
    fn from(price: apoyando_fingering::Price) -> Self {
        Self { escapes: price.escapes, broken: price.broken, effort: price.effort }
    }
}

/// A moment, with bar and beat for people.
#[derive(Serialize)]
pub struct At {
    at: String,
    bar: u32,
    beat: String,
}

#[derive(Serialize)]
struct Tone {
    tone: u32,
    #[serde(flatten)]
    at: At,
    voice: u8,
    pitch: String,
    key: i16,
    duration: String,
    string: Option<u8>,
    fret: Option<u8>,
    /// 0 is the open string.
    finger: Option<u8>,
    right: Option<char>,
    stroke: Option<apoyando_fingering::Stroke>,
    sounds_until: String,
    left_out: bool,
}

/// A note or chord of a voice as it is written; a tied note is one of each
/// event it stands in.
#[derive(Serialize)]
struct Event {
    voice: u8,
    at: String,
    duration: String,
    /// From low to high.
    tones: Vec<u32>,
}

#[derive(Serialize)]
struct Posture {
    #[serde(flatten)]
    at: At,
    position: Option<u8>,
    idle: bool,
    sounding: Vec<Sounding>,
    barre: Option<Barre>,
}

#[derive(Serialize)]
struct Sounding {
    tone: u32,
    string: u8,
    fret: u8,
    finger: u8,
}

#[derive(Serialize)]
struct Barre {
    fret: u8,
    thin: u8,
    thick: u8,
}

#[derive(Serialize)]
struct Span<T> {
    what: T,
    from: At,
    to: At,
}

#[derive(Serialize)]
struct Shift {
    #[serde(flatten)]
    at: At,
    from: u8,
    to: u8,
    guide: Option<FingerOnString>,
    pivot: Option<FingerOnString>,
    over_open: bool,
}

#[derive(Serialize)]
struct FingerOnString {
    finger: u8,
    string: u8,
}

#[derive(Serialize)]
struct LetGo {
    tone: u32,
    #[serde(flatten)]
    at: At,
    written: bool,
}

#[derive(Serialize)]
struct Item {
    term: &'static str,
    #[serde(flatten)]
    at: At,
    amount: i64,
}

#[derive(Serialize)]
struct Violation {
    rule: &'static str,
    authors: bool,
    severity: Severity,
    place: FindingPlace,
    message: String,
}

/// Everything, as one text.
pub fn render(
    files: &[FingeredFile],
    instrument: &Instrument,
    effort: &EffortTable,
) -> Result<String, serde_json::Error> {
    #[derive(Serialize)]
    struct All<'a> {
        program: &'static str,
        version: &'static str,
        files: Vec<File<'a>>,
    }
    let files = files
        .iter()
        .map(|file| File {
            file: &file.file,
            error: file.error.as_deref(),
            pieces: file.pieces.iter().map(|one| piece(one, instrument, effort)).collect(),
            findings: &file.findings,
        })
        .collect();
    let version = env!("CARGO_PKG_VERSION");
    serde_json::to_string_pretty(&All { program: "apoyando", version, files })
        .map(|text| text + "\n")
}

fn piece<'a>(
    piece: &'a FingeredPiece,
    instrument: &Instrument,
    effort: &'a EffortTable,
) -> Piece<'a> {
    let score = &piece.score;
    Piece {
        title: &score.heading().title,
        composer: &score.heading().composer,
        revision: format!("{:032x}", score.revision().0),
        bars: score
            .bars()
            .iter()
            .map(|bar| Bar {
                number: bar.number,
                start: bar.start.since_start().to_string(),
                length: bar.length.to_string(),
                quarters_a_minute: bar.tempo.map(quarters_a_minute),
            })
            .collect(),
        parts: piece
            .parts
            .iter()
            .zip(&piece.answers)
            .map(|(part, answers)| {
                let question = question(score, &part.request, instrument, effort);
                part_json(score, part, question, answers)
            })
            .collect(),
        findings: &piece.findings,
    }
}

fn quarters_a_minute(tempo: Tempo) -> String {
    tempo.value.duration().scaled((4 * i64::from(tempo.per_minute)).into()).to_string()
}

/// A moment of a score.
pub fn at(score: &Score, moment: Moment) -> At {
    let (bar, beat) = score.bar_and_beat(moment);
    At { at: moment.since_start().to_string(), bar, beat }
}

fn part_json<'a>(
    score: &'a Score,
    part: &'a FingeredPart,
    question: Question<'a>,
    answers: &'a Answers,
) -> Part<'a> {
    let fingering = part.fingering.as_ref();
    let at = |moment| at(score, moment);
    Part {
        part: part.part.0 + 1,
        name: &score.part(part.part).name,
        question,
        fingered: fingering.is_some(),
        price: fingering.map(|f| f.price.into()),
        tones: tones(score, part, fingering),
        events: events(score, part.part),
        postures: from(
            fingering,
            |f| &f.postures,
            |posture| Posture {
                at: at(posture.at),
                position: posture.position.map(|position| position.get()),
                idle: posture.idle,
                sounding: posture
                    .sounding
                    .iter()
                    .map(|(tone, placement)| Sounding {
                        tone: tone.0,
                        string: placement.place.string.get(),
                        fret: placement.place.fret.0,
                        finger: digit(*placement),
                    })
                    .collect(),
                barre: posture.barre.map(barre),
            },
        ),
        positions: from(
            fingering,
            |f| &f.positions,
            |span| Span { what: span.position.get(), from: at(span.from), to: at(span.to) },
        ),
        shifts: from(
            fingering,
            |f| &f.shifts,
            |shift| Shift {
                at: at(shift.at),
                from: shift.from.get(),
                to: shift.to.get(),
                guide: shift.guide.map(on_string),
                pivot: shift.pivot.map(on_string),
                over_open: shift.over_open,
            },
        ),
        barres: from(
            fingering,
            |f| &f.barres,
            |span| Span { what: barre(span.barre), from: at(span.from), to: at(span.to) },
        ),
        let_go: from(
            fingering,
            |f| &f.let_go,
            |gone| LetGo { tone: gone.tone.0, at: at(gone.at), written: gone.written },
        ),
        effort: from(
            fingering,
            |f| &f.items,
            |item| Item { term: item.term.info().name, at: at(item.at), amount: item.amount },
        ),
        effort_by_term: fingering
            .map(|fingering| summary::sums(&fingering.items))
            .unwrap_or_default()
            .into_iter()
            .map(|sum| (sum.term.info().name, sum.amount))
            .collect(),
        asked: asked(score, answers),
        violations: part
            .violations
            .iter()
            .map(|violation| {
                let finding = violation.finding();
                Violation {
                    rule: finding.rule,
                    authors: violation.rule().is_authors(),
                    severity: finding.severity,
                    place: finding.place,
                    message: finding.message,
                }
            })
            .collect(),
        findings: &part.findings,
    }
}

/// A list of a fingering, item by item; empty without one.
fn from<T, U>(
    fingering: Option<&Fingering>,
    list: impl Fn(&Fingering) -> &Vec<T>,
    item: impl Fn(&T) -> U,
) -> Vec<U> {
    fingering.map(|fingering| list(fingering).iter().map(item).collect()).unwrap_or_default()
}

fn tones(score: &Score, part: &FingeredPart, fingering: Option<&Fingering>) -> Vec<Tone> {
    score
        .tones(part.part)
        .as_slice()
        .iter()
        .map(|tone| {
            let how = fingering.map(|fingering| fingering.tone(tone.id));
            let left = how.and_then(|how| how.left);
            let sounds_until = how.map_or(tone.end, |how| how.sounds_until);
            Tone {
                tone: tone.id.0,
                at: at(score, tone.onset),
                voice: tone.voice.0,
                pitch: tone.pitch.to_string(),
                key: tone.pitch.key_number().0,
                duration: tone.duration().to_string(),
                string: left.map(|placement| placement.place.string.get()),
                fret: left.map(|placement| placement.place.fret.0),
                finger: left.map(digit),
                right: how.and_then(|how| how.right).map(|finger| finger.letter()),
                stroke: how.and_then(|how| how.stroke),
                sounds_until: sounds_until.since_start().to_string(),
                left_out: how.is_some_and(|how| how.left.is_none()),
            }
        })
        .collect()
}

fn events(score: &Score, part: PartIndex) -> Vec<Event> {
    let tones = score.tones(part);
    let voices = score.part(part).voices.iter();
    voices
        .flat_map(|voice| voice.bars.iter().flatten().map(move |event| (voice.number, event)))
        .filter(|(_, event)| !event.is_rest())
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
        })
        .collect()
}

fn digit(placement: Placement) -> u8 {
    placement.finger.map_or(0, LeftFinger::digit)
}

const fn barre(barre: apoyando_fingering::Barre) -> Barre {
    Barre { fret: barre.fret.0, thin: barre.thin.get(), thick: barre.thick.get() }
}

const fn on_string((finger, string): (LeftFinger, StringNumber)) -> FingerOnString {
    FingerOnString { finger: finger.digit(), string: string.get() }
}
