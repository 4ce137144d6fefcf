//! What was asked of the hands, for programs: with it and the score anyone can
//! solve `docs/model.md` again and recompute every price. Lengths of the
//! instrument are in millimetres, a reach in tenths of one.

use std::collections::BTreeMap;

use apoyando_fingering::{
    BarreLimit, Descending, EffortTable, HouseStyle, LeftFinger, Level, Pin, PinAuthor, PinRule,
    Position, Reach, RightFinger, Scope, Shape, StringState,
};
use apoyando_fretboard::{Fret, Instrument, StringNumber};
use apoyando_music::Score;
use apoyando_workshop::piece::PartRequest;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct Question<'a> {
    instrument: InstrumentJson,
    level: LevelJson,
    pins: Vec<PinJson>,
    house: HouseJson,
    effort_table: &'a EffortTable,
}

/// House style; nothing is preferred where it says nothing.
#[derive(Serialize)]
struct HouseJson {
    /// The finger on fret 3 in the first position.
    third_fret: Option<u8>,
    descending: Option<&'static str>,
    /// Each from ① on.
    shapes: Vec<Vec<ShapeString>>,
}

/// A string of a shape: no fret where it is not played, 0 where it is open.
#[derive(Serialize)]
struct ShapeString {
    fret: Option<u8>,
    finger: Option<u8>,
}

#[derive(Serialize)]
struct InstrumentJson {
    /// From ① on.
    open_strings: Vec<OpenString>,
    capo: u8,
    frets: u8,
    scale_length: f64,
    nut_spread: f64,
    bridge_spread: f64,
}

#[derive(Serialize)]
struct OpenString {
    string: u8,
    pitch: String,
    key: i16,
}

#[derive(Serialize)]
struct LevelJson {
    highest_fret: u8,
    positions: Vec<u8>,
    /// 0 is the open string.
    fingers: Vec<u8>,
    barre: BarreLimit,
    extension: u8,
    /// Whether another finger may take over a note that sounds on.
    substitution: bool,
    reach: BTreeMap<&'static str, i32>,
}

#[derive(Serialize)]
struct PinJson {
    author: &'static str,
    scope: ScopeJson,
    #[serde(flatten)]
    rule: RuleJson,
}

#[derive(Serialize)]
#[serde(rename_all = "lowercase")]
enum ScopeJson {
    Tone(u32),
    /// Every onset from the first moment to before the second.
    Time {
        from: String,
        until: String,
    },
}

#[derive(Serialize)]
#[serde(tag = "rule", content = "allowed", rename_all = "snake_case")]
enum RuleJson {
    Strings(Vec<u8>),
    Frets(Vec<u8>),
    LeftFingers(Vec<u8>),
    SecondFingers(Vec<u8>),
    RightFingers(String),
    Positions(Vec<u8>),
    Barre(BarreLimit),
}

pub(super) fn question<'a>(
    score: &Score,
    request: &PartRequest,
    instrument: &Instrument,
    effort: &'a EffortTable,
) -> Question<'a> {
    Question {
        instrument: InstrumentJson {
            open_strings: instrument
                .tuning
                .strings()
                .filter_map(|string| {
                    let pitch = instrument.tuning.open(string)?;
                    Some(OpenString {
                        string: string.get(),
                        pitch: pitch.to_string(),
                        key: pitch.key_number().0,
                    })
                })
                .collect(),
            capo: instrument.capo.0,
            frets: instrument.frets.0,
            scale_length: instrument.scale_length.0,
            nut_spread: instrument.nut_spread.0,
            bridge_spread: instrument.bridge_spread.0,
        },
        level: level(&request.level),
        pins: request.pins.0.iter().map(|pin| pin_json(score, *pin)).collect(),
        house: house_json(&request.house),
        effort_table: effort,
    }
}

fn house_json(house: &HouseStyle) -> HouseJson {
    HouseJson {
        third_fret: house.third_fret.map(LeftFinger::digit),
        descending: house.descending.map(|descending| match descending {
            Descending::Open => "open",
            Descending::Stopped => "stopped",
        }),
        shapes: house.shapes.iter().map(shape).collect(),
    }
}

fn shape(shape: &Shape) -> Vec<ShapeString> {
    let string = |state: &StringState| ShapeString {
        fret: state.fret().map(|fret| fret.0),
        finger: match state {
            StringState::Stopped { finger, .. } => finger.map(LeftFinger::digit),
            StringState::Unplayed | StringState::Open => None,
        },
    };
    shape.strings.iter().map(string).collect()
}

fn level(level: &Level) -> LevelJson {
    LevelJson {
        highest_fret: level.highest_fret.0,
        positions: positions(|position| level.positions.contains(position)),
        fingers: fingers(|finger| level.fingers.contains(finger)),
        barre: level.barre,
        extension: level.extension,
        substitution: level.substitution,
        reach: reach(&level.reach),
    }
}

fn reach(reach: &Reach) -> BTreeMap<&'static str, i32> {
    BTreeMap::from([
        ("1-2", reach.one_two.0),
        ("1-3", reach.one_three.0),
        ("1-4", reach.one_four.0),
        ("2-3", reach.two_three.0),
        ("2-4", reach.two_four.0),
        ("3-4", reach.three_four.0),
    ])
}

fn positions(has: impl Fn(Position) -> bool) -> Vec<u8> {
    let every = (1..=Position::MOST).filter_map(Position::new);
    every.filter(|position| has(*position)).map(Position::get).collect()
}

fn fingers(has: impl Fn(Option<LeftFinger>) -> bool) -> Vec<u8> {
    (0..=4).filter(|digit| has(LeftFinger::from_digit(*digit))).collect()
}

fn pin_json(score: &Score, pin: Pin) -> PinJson {
    PinJson {
        author: match pin.author {
            PinAuthor::Import => "import",
            PinAuthor::Author => "author",
        },
        scope: match pin.scope {
            Scope::Tone(tone) => ScopeJson::Tone(tone.0),
            Scope::Bars { first, last } => ScopeJson::Time {
                from: score.bar(first).start.since_start().to_string(),
                until: score.bar(last).end_moment().since_start().to_string(),
            },
        },
        rule: match pin.rule {
            PinRule::Strings(set) => RuleJson::Strings(
                (1..=StringNumber::MOST)
                    .filter_map(StringNumber::new)
                    .filter(|string| set.contains(*string))
                    .map(StringNumber::get)
                    .collect(),
            ),
            PinRule::Frets(set) => RuleJson::Frets(
                (0..=Fret::MOST.0).filter(|fret| set.contains(Fret(*fret))).collect(),
            ),
            PinRule::LeftFingers(set) => {
                RuleJson::LeftFingers(fingers(|finger| set.contains(finger)))
            }
            PinRule::SecondFingers(set) => {
                RuleJson::SecondFingers(fingers(|finger| set.contains(finger)))
            }
            PinRule::RightFingers(set) => RuleJson::RightFingers(
                RightFinger::ALL
                    .into_iter()
                    .filter(|finger| set.contains(*finger))
                    .map(RightFinger::letter)
                    .collect(),
            ),
            PinRule::Positions(set) => {
                RuleJson::Positions(positions(|position| set.contains(position)))
            }
            PinRule::Barre(limit) => RuleJson::Barre(limit),
        },
    }
}
