//! Fingering for programs. Every time is a fraction of a whole note since the
//! beginning, as text; bars are counted as printed; pitches are sounding.

use std::collections::BTreeMap;

use apoyando_fingering::{EffortTable, Finding, FindingPlace, Fingering, Severity, Stroke};
use apoyando_fretboard::Instrument;
use apoyando_music::{Moment, Score};
use apoyando_workshop::piece::FingeredPart;
use serde::Serialize;

use super::answers::Answers;
use super::json_answers::{Asked, asked};
use super::json_hand::{Hand, digit, hand};
use super::json_score::{Bar, Event, Join, bars, events, joins, playing_order};
use super::json_ways_out::{LikeBars, WaysOut, like_bars, ways_out};
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
    playing_order: Vec<u32>,
    parts: Vec<Part<'a>>,
    findings: &'a [Finding],
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
    joins: Vec<Join>,
    #[serde(flatten)]
    hand: Hand,
    effort_by_term: BTreeMap<&'static str, i64>,
    #[serde(flatten)]
    asked: Asked<'a>,
    like_bars: Vec<LikeBars>,
    ways_out: WaysOut<'a>,
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
    /// Keys that its ornament and its grace notes call for besides its own.
    auxiliaries: Vec<i16>,
    string: Option<u8>,
    fret: Option<u8>,
    /// 0 is the open string.
    finger: Option<u8>,
    /// The finger that takes it over while it sounds.
    second: Option<Second>,
    right: Option<char>,
    stroke: Option<Stroke>,
    sounds_until: String,
    /// Whether the left hand makes it sound from the tone before.
    joined: bool,
    left_out: bool,
}

/// A finger, and the onset from which the note is its own.
#[derive(Serialize)]
struct Second {
    finger: u8,
    #[serde(flatten)]
    from: At,
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
            pieces: file.pieces.iter().map(|one| piece(one, instrument, &file.effort)).collect(),
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
        bars: bars(score),
        playing_order: playing_order(score),
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
    Part {
        part: part.part.0 + 1,
        name: &score.part(part.part).name,
        question,
        fingered: fingering.is_some(),
        price: fingering.map(|f| f.price.into()),
        tones: tones(score, part, fingering),
        events: events(score, part.part),
        joins: joins(score, part.part),
        hand: fingering.map(|fingering| hand(score, fingering)).unwrap_or_default(),
        effort_by_term: fingering
            .map(|fingering| summary::sums(&fingering.items))
            .unwrap_or_default()
            .into_iter()
            .map(|sum| (sum.term.info().name, sum.amount))
            .collect(),
        asked: asked(score, answers),
        like_bars: part.likenesses.iter().map(|like| like_bars(score, like)).collect(),
        ways_out: ways_out(score, answers),
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
                auxiliaries: score.auxiliaries(tone).iter().map(|key| key.0).collect(),
                string: left.map(|placement| placement.place.string.get()),
                fret: left.map(|placement| placement.place.fret.0),
                finger: left.map(digit),
                second: how.and_then(|how| how.second).map(|second| Second {
                    finger: second.finger.digit(),
                    from: at(score, second.from),
                }),
                right: how.and_then(|how| how.right).map(|finger| finger.letter()),
                stroke: how.and_then(|how| how.stroke),
                sounds_until: sounds_until.since_start().to_string(),
                joined: how.is_some_and(|how| how.joined),
                left_out: how.is_some_and(|how| how.left.is_none()),
            }
        })
        .collect()
}
