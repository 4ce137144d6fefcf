//! Like bars and ways out for programs.

use apoyando_fingering::{PinRule, Placement};
use apoyando_hands::{Alike, ClashRule, Likeness, MadeAlike, QuestionChange, Spot, WayOut};
use apoyando_music::{Score, ToneId};
use serde::Serialize;

use super::answers::Answers;
use super::json::{At, Price, at};
use super::json_hand::digit;

/// Bars with the same notes.
#[derive(Serialize, Default)]
pub struct LikeBars {
    bars: Vec<u32>,
    outcome: &'static str,
    /// The bar whose fingering all have, or would have.
    like: Option<u32>,
    notes: Option<u32>,
    more: Option<u64>,
    worth: Option<u64>,
    /// In how many ways they are fingered, where that is too many to try.
    ways: Option<u32>,
    sentence: String,
}

/// What could be changed.
#[derive(Serialize)]
pub struct WaysOut<'a> {
    spots: Vec<SpotOut<'a>>,
    /// How many more spots there are.
    more: usize,
    /// Why none could be worked out.
    error: Option<String>,
}

#[derive(Serialize)]
struct SpotOut<'a> {
    #[serde(flatten)]
    at: At,
    left_out: Vec<u32>,
    broken: u32,
    clashes: Vec<Clash>,
    sentence: &'a str,
    ways: Vec<Way<'a>>,
}

#[derive(Serialize)]
struct Clash {
    tones: Vec<u32>,
    rule: &'static str,
}

#[derive(Serialize)]
struct Way<'a> {
    change: &'static str,
    /// The note that is left out or put an octave up.
    tone: Option<u32>,
    /// What the pin that goes is about.
    pin: Option<&'static str>,
    price: Price,
    left_out: u32,
    broken: u32,
    played: Vec<Played>,
    sentence: &'a str,
}

#[derive(Serialize)]
struct Played {
    tone: u32,
    string: Option<u8>,
    fret: Option<u8>,
    finger: Option<u8>,
}

/// A class of like bars.
pub fn like_bars(score: &Score, like: &Likeness) -> LikeBars {
    let made = |outcome, made: MadeAlike| LikeBars {
        outcome,
        like: Some(score.bar(made.like).number),
        notes: Some(made.notes),
        more: Some(made.more),
        worth: Some(made.worth),
        ..LikeBars::default()
    };
    let plain = |outcome| LikeBars { outcome, ..LikeBars::default() };
    let told = match like.outcome {
        Alike::Already => plain("already"),
        Alike::Made(it) => made("made", it),
        Alike::TooDear(it) => made("too-dear", it),
        Alike::Impossible => plain("impossible"),
        Alike::NotTried { ways } => LikeBars { ways: Some(ways), ..plain("not-tried") },
    };
    LikeBars {
        bars: like.bars.iter().map(|bar| score.bar(*bar).number).collect(),
        sentence: like.sentence(score),
        ..told
    }
}

/// What could be changed in a part.
pub fn ways_out<'a>(score: &Score, answers: &'a Answers) -> WaysOut<'a> {
    WaysOut {
        spots: answers.ways_out.spots.iter().map(|one| spot(score, one)).collect(),
        more: answers.ways_out.more,
        error: answers.no_ways_out.as_ref().map(ToString::to_string),
    }
}

fn numbers(tones: &[ToneId]) -> Vec<u32> {
    tones.iter().map(|tone| tone.0).collect()
}

fn spot<'a>(score: &Score, spot: &'a Spot) -> SpotOut<'a> {
    let clash = |clash: &apoyando_hands::Clash| Clash {
        tones: numbers(&clash.tones),
        rule: match clash.rule {
            ClashRule::Strings => "strings",
            ClashRule::Fingers => "fingers",
            ClashRule::Reach => "reach",
        },
    };
    SpotOut {
        at: at(score, spot.at),
        left_out: numbers(&spot.left_out),
        broken: spot.broken,
        clashes: spot.clashes.iter().map(clash).collect(),
        sentence: &spot.sentence,
        ways: spot.ways.iter().map(way).collect(),
    }
}

fn way(way: &WayOut) -> Way<'_> {
    let (change, tone, pin) = match way.change {
        QuestionChange::LeaveOut(tone) => ("leave-out", Some(tone.0), None),
        QuestionChange::OctaveUp(tone) => ("octave-up", Some(tone.0), None),
        QuestionChange::WiderBarre => ("wider-barre", None, None),
        QuestionChange::AnotherPosition => ("another-position", None, None),
        QuestionChange::FartherExtension => ("farther-extension", None, None),
        QuestionChange::AnotherFinger => ("another-finger", None, None),
        QuestionChange::HigherFret => ("higher-fret", None, None),
        QuestionChange::WithoutPin(pin) => ("without-pin", None, Some(kind(&pin.rule))),
    };
    let played = |(tone, left): &(ToneId, Option<Placement>)| Played {
        tone: tone.0,
        string: left.map(|left| left.place.string.get()),
        fret: left.map(|left| left.place.fret.0),
        finger: left.map(digit),
    };
    Way {
        change,
        tone,
        pin,
        price: way.price.into(),
        left_out: way.left_out,
        broken: way.broken,
        played: way.played.iter().map(played).collect(),
        sentence: &way.sentence,
    }
}

const fn kind(rule: &PinRule) -> &'static str {
    match rule {
        PinRule::Strings(_) => "strings",
        PinRule::Frets(_) => "frets",
        PinRule::LeftFingers(_) => "left-fingers",
        PinRule::SecondFingers(_) => "second-fingers",
        PinRule::RightFingers(_) => "right-fingers",
        PinRule::Positions(_) => "positions",
        PinRule::Barre(_) => "barre",
    }
}
