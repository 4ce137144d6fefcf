//! Other ways and reasons for programs.

use apoyando_fingering::{LeftFinger, Position, Scope};
use apoyando_hands::{Alternative, Change, Difference};
use apoyando_music::Score;
use serde::Serialize;

use super::answers::{Answers, OtherWay, PassageAnswer};
use super::json::{At, Price, at};
use super::passage::Otherwise;

/// What was asked about a part.
#[derive(Serialize)]
pub struct Asked<'a> {
    reasons: Vec<Because<'a>>,
    alternatives: Vec<NoteWays>,
    passages: Vec<PassageWays>,
    preparation: Option<&'a [String]>,
}

#[derive(Serialize)]
struct Because<'a> {
    tone: u32,
    sentence: &'a str,
    against: Option<Way>,
}

#[derive(Serialize)]
struct NoteWays {
    tone: u32,
    ways: Vec<Way>,
}

/// A difference, in one of its fields, and what the whole then costs.
#[derive(Serialize, Default)]
struct Way {
    string: Option<u8>,
    fret: Option<u8>,
    finger: Option<u8>,
    position: Option<u8>,
    no_open_string: bool,
    no_barre: bool,
    price: Price,
    more: u64,
    changes: Vec<Item>,
    played: Option<Played>,
}

/// How the note itself is then played.
#[derive(Serialize)]
struct Played {
    string: u8,
    fret: u8,
    finger: u8,
    position: Option<u8>,
}

#[derive(Serialize)]
struct Item {
    term: &'static str,
    #[serde(flatten)]
    at: Option<At>,
    amount: i64,
}

#[derive(Serialize)]
struct PassageWays {
    first_bar: u32,
    last_bar: u32,
    ways: Vec<Way>,
}

/// What was answered about a part.
pub fn asked<'a>(score: &Score, answers: &'a Answers) -> Asked<'a> {
    let notes = || answers.notes.iter();
    Asked {
        reasons: notes()
            .filter_map(|answer| {
                let reason = answer.reason.as_ref()?;
                let against = reason.against.as_ref().map(|a| way(score, a, &reason.changes));
                Some(Because { tone: answer.tone.0, sentence: &reason.sentence, against })
            })
            .collect(),
        alternatives: notes()
            .filter_map(|answer| {
                let ways = answer.others.as_ref()?.iter().map(|other| note_way(score, other));
                Some(NoteWays { tone: answer.tone.0, ways: ways.collect() })
            })
            .collect(),
        passages: answers.passages.iter().filter_map(|p| passage_ways(score, p)).collect(),
        preparation: answers.preparation.as_deref(),
    }
}

fn way(score: &Score, alternative: &Alternative, changes: &[Change]) -> Way {
    let difference = match alternative.difference {
        Difference::Place(place) => {
            Way { string: Some(place.string.get()), fret: Some(place.fret.0), ..Way::default() }
        }
        Difference::Finger(finger) => Way { finger: Some(finger.digit()), ..Way::default() },
        Difference::Position(position) => Way { position: Some(position.get()), ..Way::default() },
    };
    let item = |change: &Change| Item {
        term: change.term.info().name,
        at: Some(at(score, change.at)),
        amount: change.amount,
    };
    Way {
        price: alternative.price.into(),
        more: alternative.more,
        changes: changes.iter().map(item).collect(),
        ..difference
    }
}

fn note_way(score: &Score, other: &OtherWay) -> Way {
    let played = other.placement.map(|placement| Played {
        string: placement.place.string.get(),
        fret: placement.place.fret.0,
        finger: placement.finger.map_or(0, LeftFinger::digit),
        position: other.position.map(Position::get),
    });
    Way { played, ..way(score, &other.alternative, &other.changes) }
}

fn passage_ways(score: &Score, answer: &PassageAnswer) -> Option<PassageWays> {
    let Scope::Bars { first, last } = answer.bars else { return None };
    let ways = answer.others.iter().map(|other| {
        let difference = match other.otherwise {
            Otherwise::Position(position) => {
                Way { position: Some(position.get()), ..Way::default() }
            }
            Otherwise::Stopped => Way { no_open_string: true, ..Way::default() },
            Otherwise::NoBarre => Way { no_barre: true, ..Way::default() },
        };
        let item = |(term, amount): &(apoyando_fingering::Term, i64)| Item {
            term: term.info().name,
            at: None,
            amount: *amount,
        };
        Way {
            price: other.price.into(),
            more: other.more,
            changes: other.changes.iter().map(item).collect(),
            ..difference
        }
    });
    Some(PassageWays {
        first_bar: score.bar(first).number,
        last_bar: score.bar(last).number,
        ways: ways.collect(),
    })
}
