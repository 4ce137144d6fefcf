//! Pins as they are typed: a place and what is allowed there.

use std::str::FromStr;

use apoyando_book::{PlannedPin, PlannedRule, PlannedScope, SourcePlace};
use apoyando_fingering::{
    BarreLimit, FretSet, LeftFinger, LeftFingerSet, Position, PositionSet, RightFinger,
    RightFingerSet, StringSet,
};
use apoyando_fretboard::{Fret, StringNumber};

use super::PlaceFlag;
use super::place::part_and_bars;

/// `[PART/]BARS=POSITION`
#[derive(Clone, Debug)]
pub struct PositionFlag(PlannedPin);

impl PositionFlag {
    /// The same as a pin of a plan.
    pub fn pin(&self) -> PlannedPin {
        self.0.clone()
    }
}

impl FromStr for PositionFlag {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (place, positions) = text
            .split_once('=')
            .ok_or_else(|| "write bars and position, as in 5-8=II".to_owned())?;
        let (part, bars) = part_and_bars(place)?;
        let (not, positions) = negated(positions);
        let rule = positions_rule(not, positions)?;
        let place = SourcePlace::start_of("--position");
        Ok(Self(PlannedPin { place, part, scope: PlannedScope::Bars(bars), rule }))
    }
}

/// `PLACE=WHAT`
#[derive(Clone, Debug)]
pub struct PinFlag(PlannedPin);

impl PinFlag {
    /// The same as a pin of a plan.
    pub fn pin(&self) -> PlannedPin {
        self.0.clone()
    }
}

impl FromStr for PinFlag {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (place, what) = text.split_once('=').ok_or_else(|| {
            "write a place and what is allowed there, as in 3:2=finger 4 or 5-8=no barre".to_owned()
        })?;
        let PlaceFlag { part, scope } = place.parse()?;
        let rule = rule(what.trim())?;
        if let (PlannedRule::SecondFingers(_), PlannedScope::Bars(_)) = (rule, &scope) {
            return Err("a second finger is of one note; write bar and beat, as in 3:2".to_owned());
        }
        Ok(Self(PlannedPin { place: SourcePlace::start_of("--pin"), part, scope, rule }))
    }
}

/// `not rest`.
fn negated(text: &str) -> (bool, &str) {
    match text.trim().split_once(char::is_whitespace) {
        Some(("not", rest)) => (true, rest.trim()),
        _ => (false, text.trim()),
    }
}

/// What is between commas, or between “or”.
fn items(text: &str) -> impl Iterator<Item = &str> {
    text.split([',', ' ']).map(str::trim).filter(|item| !item.is_empty() && *item != "or")
}

fn read<T>(text: &str, one: impl Fn(&str) -> Option<T>, allowed: &str) -> Result<Vec<T>, String> {
    let read: Vec<T> = items(text)
        .map(|item| one(item).ok_or_else(|| format!("“{item}” is not {allowed}")))
        .collect::<Result<_, _>>()?;
    if read.is_empty() { Err(format!("nothing is named; write {allowed}")) } else { Ok(read) }
}

fn positions_rule(not: bool, text: &str) -> Result<PlannedRule, String> {
    let named: Vec<Position> = read(
        text,
        |item| item.parse().ok(),
        "a position; write numerals from I to XXIV, as in II",
    )?;
    Ok(PlannedRule::Positions(if not {
        named.into_iter().fold(PositionSet::ALL, PositionSet::without)
    } else {
        named.into_iter().collect()
    }))
}

const WHATS: &str = "finger, second, string, fret, position or right with what is allowed, as in finger 1,2; \
    not and the same for what is not; open; not open; no barre; or barre small, half or full";

fn rule(what: &str) -> Result<PlannedRule, String> {
    let number = |item: &str, most: u8| item.parse::<u8>().ok().filter(|n| *n <= most);
    let finger = |item: &str| number(item, 4).map(LeftFinger::from_digit);
    let string = |item: &str| number(item, StringNumber::MOST).and_then(StringNumber::new);
    let fret = |item: &str| number(item, Fret::MOST.0).map(Fret);
    let right = |item: &str| {
        let mut letters = item.chars();
        letters.next().and_then(RightFinger::from_letter).filter(|_| letters.next().is_none())
    };
    let (not, text) = negated(what);
    let (kind, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    Ok(match (kind, not) {
        ("open", false) if rest.is_empty() => {
            PlannedRule::LeftFingers(LeftFingerSet::NONE.with(None))
        }
        ("open", true) if rest.is_empty() => {
            PlannedRule::LeftFingers(LeftFingerSet::ALL.without(None))
        }
        ("no", false) if rest.trim() == "barre" => PlannedRule::Barre(BarreLimit::None),
        ("barre", false) => PlannedRule::Barre(match rest.trim() {
            "none" => BarreLimit::None,
            "small" => BarreLimit::Small,
            "half" => BarreLimit::Half,
            "full" => BarreLimit::Full,
            other => return Err(format!("“{other}” is no barre; write none, small, half or full")),
        }),
        ("position", not) => positions_rule(not, rest)?,
        ("string", not) => {
            let named = read(rest, string, "a string; write 1 to 10")?.into_iter();
            PlannedRule::Strings(if not {
                named.fold(StringSet::ALL, StringSet::without)
            } else {
                named.collect()
            })
        }
        ("fret", not) => {
            let named = read(rest, fret, "a fret; write 0 to 24")?.into_iter();
            PlannedRule::Frets(if not {
                named.fold(FretSet::ALL, FretSet::without)
            } else {
                named.collect()
            })
        }
        ("second", false) => {
            let second = |item: &str| finger(item).flatten();
            let named = read(rest, second, "a left finger that takes over; write 1 to 4")?;
            PlannedRule::SecondFingers(named.into_iter().map(Some).collect())
        }
        ("right", not) => {
            let named = read(rest, right, "a right finger; write p, i, m or a")?.into_iter();
            PlannedRule::RightFingers(if not {
                named.fold(RightFingerSet::ALL, RightFingerSet::without)
            } else {
                named.collect()
            })
        }
        (word, not) if word == "finger" || word.starts_with(|c: char| c.is_ascii_digit()) => {
            let digits = if word == "finger" { rest } else { text };
            let named =
                read(digits, finger, "a left finger; write 0 (the open string) to 4")?.into_iter();
            PlannedRule::LeftFingers(if not {
                named.fold(LeftFingerSet::ALL, LeftFingerSet::without)
            } else {
                named.collect()
            })
        }
        _ => return Err(format!("“{what}” cannot be pinned; write {WHATS}")),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pins_are_read_as_typed() {
        let one = LeftFinger::One;
        let open = LeftFingerSet::NONE.with(None);
        for (text, wanted) in [
            ("3:2=finger 1", PlannedRule::LeftFingers(LeftFingerSet::NONE.with(Some(one)))),
            ("3:2=1,0", PlannedRule::LeftFingers(open.with(Some(one)))),
            ("3:2½:2=not 1", PlannedRule::LeftFingers(LeftFingerSet::ALL.without(Some(one)))),
            ("2/3:1=not finger 1", PlannedRule::LeftFingers(LeftFingerSet::ALL.without(Some(one)))),
            ("1:2 1/3:1:E5=open", PlannedRule::LeftFingers(open)),
            ("5-8=not open", PlannedRule::LeftFingers(LeftFingerSet::ALL.without(None))),
            (
                "3:2=second 3",
                PlannedRule::SecondFingers(LeftFingerSet::NONE.with(Some(LeftFinger::Three))),
            ),
            ("5-8=no barre", PlannedRule::Barre(BarreLimit::None)),
            ("5=barre half", PlannedRule::Barre(BarreLimit::Half)),
            ("5=fret 3 or 5", PlannedRule::Frets([Fret(3), Fret(5)].into_iter().collect())),
            ("5=not fret 7", PlannedRule::Frets(FretSet::ALL.without(Fret(7)))),
            (
                "1:1=right i, m",
                PlannedRule::RightFingers([RightFinger::I, RightFinger::M].into_iter().collect()),
            ),
        ] {
            let pin = text.parse::<PinFlag>().unwrap().pin();
            assert_eq!(pin.rule, wanted, "{text}");
        }
        for text in [
            "3:2",
            "3:2=finger 5",
            "3:2=finger",
            "3:2=not",
            "3:2=thumb 1",
            "a/3:2=fret 1",
            "3:0=fret 1",
            "3=string 0",
            "3=string 11",
            "3=fret 25",
            "3=barre wide",
            "3=right x",
            "3=position 0",
            "3=no finger",
            "3=open 3",
            "3:2=second 0",
            "3:2=second",
            "5-8=second 3",
        ] {
            assert!(text.parse::<PinFlag>().is_err(), "{text}");
        }
    }

    #[test]
    fn positions_are_read_as_typed() {
        let second = Position::new(2).unwrap();
        let rule = |text: &str| text.parse::<PositionFlag>().unwrap().pin().rule;
        let only = PlannedRule::Positions(PositionSet::NONE.with(second));
        assert_eq!(rule("5-8=II"), only);
        assert_eq!(rule("2/5=2"), only);
        assert_eq!(rule("5-8=not II"), PlannedRule::Positions(PositionSet::ALL.without(second)));
        for bad in ["5-8", "5-8=IIII", "5-8=", "x=II", "3:2=II"] {
            assert!(bad.parse::<PositionFlag>().is_err(), "{bad}");
        }
    }
}
