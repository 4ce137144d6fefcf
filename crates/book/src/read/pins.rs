//! Pins of an item: by note, by bars.

use apoyando_fingering::{
    BarreLimit, FretSet, LeftFinger, LeftFingerSet, RightFinger, RightFingerSet, StringSet,
};
use apoyando_fretboard::{Fret, StringNumber};
use apoyando_music::Pitch;

use crate::error::BookError;
use crate::node::{Fields, Node};
use crate::plan::{BarRange, Beat, PinPlace, PlannedPin, PlannedRule, PlannedScope};
use crate::read::level;

/// All pins of an item: `[[items.pins]]`, `[[items.positions]]`, `no-barre`.
pub(crate) fn read(item: &Fields<'_>) -> Vec<PlannedPin> {
    let mut pins = Vec::new();
    for fields in item.get("pins").iter().flat_map(Node::tables) {
        note_pins(fields, &mut pins);
    }
    for fields in item.get("positions").iter().flat_map(Node::tables) {
        position_pin(fields, &mut pins);
    }
    for node in item.get("no-barre").iter().flat_map(Node::each) {
        if let Some(bars) = range(&node) {
            pins.push(PlannedPin {
                place: node.place().clone(),
                part: 1,
                scope: PlannedScope::Bars(bars),
                rule: PlannedRule::Barre(BarreLimit::None),
            });
        }
    }
    pins
}

pub(crate) fn range(node: &Node<'_>) -> Option<BarRange> {
    match node.written_number()?.parse::<BarRange>() {
        Ok(range) => Some(range),
        Err(error) => {
            node.bad_text(error.to_string());
            None
        }
    }
}

pub(crate) fn part(fields: &Fields<'_>) -> u16 {
    fields.get("part").and_then(|node| node.whole(1..=16)).map_or(1, |part| part as u16)
}

fn position_pin(fields: Fields<'_>, pins: &mut Vec<PlannedPin>) {
    let bars = fields.need("bars", "bars = \"5-8\"").and_then(|node| range(&node));
    let positions =
        fields.need("position", "position = \"II\"").map(|node| level::positions(&node));
    let part = part(&fields);
    if let (Some(bars), Some(positions)) = (bars, positions) {
        pins.push(PlannedPin {
            place: fields.place().clone(),
            part,
            scope: PlannedScope::Bars(bars),
            rule: PlannedRule::Positions(positions),
        });
    }
    fields.finish();
}

fn note_pins(fields: Fields<'_>, pins: &mut Vec<PlannedPin>) {
    let scope = match fields.get("bars") {
        Some(node) => range(&node).map(PlannedScope::Bars),
        None => note(&fields).map(PlannedScope::Note),
    };
    let part = part(&fields);
    let over_bars = matches!(scope, Some(PlannedScope::Bars(_)));
    if let Some(node) = fields.get("second-finger").filter(|_| over_bars) {
        node.not_allowed("a second finger is of one note: give bar and beat");
    }
    let rules = rules(&fields);
    if rules.is_empty() {
        fields.fault(BookError::Missing {
            place: fields.place().clone(),
            key: "finger".to_owned(),
            table: "[[pins]]".to_owned(),
            example: "one of finger, not-finger, second-finger, string, not-string, fret, not-fret, right, as in finger = 4"
                .to_owned(),
        });
    }
    if let Some(scope) = scope {
        pins.extend(rules.into_iter().flatten().map(|rule| PlannedPin {
            place: fields.place().clone(),
            part,
            scope: scope.clone(),
            rule,
        }));
    }
    fields.finish();
}

/// The note that a pin or a nudge is on.
pub(crate) fn note(fields: &Fields<'_>) -> Option<PinPlace> {
    let bar =
        fields.need("bar", "bar = 3, or bars = \"5-8\"").and_then(|node| node.whole(0..=9999));
    let beat = fields.get("beat").map_or_else(
        || "1".parse::<Beat>().ok(),
        |node| match node.written_number()?.parse::<Beat>() {
            Ok(beat) => Some(beat),
            Err(error) => {
                node.bad_text(error.to_string());
                None
            }
        },
    );
    let voice = fields.get("voice").map_or(Some(1), |node| node.whole(1..=8));
    let pitch = match fields.get("pitch") {
        Some(node) => Some(node.parsed::<Pitch>()?),
        None => None,
    };
    Some(PinPlace { bar: bar? as u32, beat: beat?, voice: voice? as u8, pitch })
}

/// The rules of a pin; `None` for one that could not be read.
fn rules(fields: &Fields<'_>) -> Vec<Option<PlannedRule>> {
    let mut rules = Vec::new();
    if let Some(node) = fields.get("finger") {
        rules.push(set(&node, 0..=4).map(|digits| {
            PlannedRule::LeftFingers(digits.into_iter().map(LeftFinger::from_digit).collect())
        }));
    }
    if let Some(node) = fields.get("not-finger") {
        rules.push(set(&node, 0..=4).map(|digits| {
            PlannedRule::LeftFingers(
                digits
                    .into_iter()
                    .map(LeftFinger::from_digit)
                    .fold(LeftFingerSet::ALL, LeftFingerSet::without),
            )
        }));
    }
    let most = i64::from(StringNumber::MOST);
    if let Some(node) = fields.get("string") {
        rules.push(set(&node, 1..=most).map(|strings| {
            PlannedRule::Strings(strings.into_iter().filter_map(StringNumber::new).collect())
        }));
    }
    if let Some(node) = fields.get("not-string") {
        rules.push(set(&node, 1..=most).map(|strings| {
            PlannedRule::Strings(
                strings
                    .into_iter()
                    .filter_map(StringNumber::new)
                    .fold(StringSet::ALL, StringSet::without),
            )
        }));
    }
    let highest = i64::from(Fret::MOST.0);
    if let Some(node) = fields.get("fret") {
        rules.push(
            set(&node, 0..=highest)
                .map(|frets| PlannedRule::Frets(frets.into_iter().map(Fret).collect())),
        );
    }
    if let Some(node) = fields.get("not-fret") {
        rules.push(set(&node, 0..=highest).map(|frets| {
            PlannedRule::Frets(frets.into_iter().map(Fret).fold(FretSet::ALL, FretSet::without))
        }));
    }
    if let Some(node) = fields.get("second-finger") {
        rules.push(set(&node, 1..=4).map(|digits| {
            PlannedRule::SecondFingers(digits.into_iter().map(LeftFinger::from_digit).collect())
        }));
    }
    if let Some(node) = fields.get("right") {
        rules.push(right(&node).map(PlannedRule::RightFingers));
    }
    rules
}

/// A number or a list of them; `None` if any is out of range.
fn set(node: &Node<'_>, range: std::ops::RangeInclusive<i64>) -> Option<Vec<u8>> {
    node.each().iter().map(|node| node.whole(range.clone()).map(|n| n as u8)).collect()
}

fn right(node: &Node<'_>) -> Option<RightFingerSet> {
    node.each()
        .iter()
        .map(|node| {
            let text = node.text()?;
            let mut letters = text.chars();
            let finger = letters.next().and_then(RightFinger::from_letter);
            if finger.is_none() || letters.next().is_some() {
                node.not_allowed("allowed: “p”, “i”, “m” or “a”");
                return None;
            }
            finger
        })
        .collect()
}
