//! Levels: what may be asked of the player.

use apoyando_fingering::{
    Allowance, BarreLimit, FingerPair, HandSize, LeftFinger, LeftFingerSet, Level, PositionSet,
    Reach,
};
use apoyando_fretboard::{Fret, Millimetres};

use crate::error::BookError;
use crate::node::{Fields, Node};
use crate::plan::NamedLevel;
use crate::read::words::KnownLevel;

/// Reads a level as a table, or as the word `first` or `open`. What a table
/// does not say is as in `base`.
pub(crate) fn read(node: &Node<'_>, base: &NamedLevel) -> NamedLevel {
    if node.is_text() {
        return match node.choice() {
            Some(KnownLevel::First) => {
                NamedLevel { name: "first".to_owned(), level: Level::first() }
            }
            Some(KnownLevel::Open) => NamedLevel { name: "open".to_owned(), level: Level::open() },
            None => base.clone(),
        };
    }
    match node.fields() {
        Some(fields) => read_table(fields, base),
        None => base.clone(),
    }
}

pub(crate) fn read_table(fields: Fields<'_>, base: &NamedLevel) -> NamedLevel {
    let mut named = base.clone();
    let level = &mut named.level;
    if let Some(name) = fields.get("name").and_then(|node| node.text()) {
        named.name = name;
    }
    if let Some(fret) =
        fields.get("highest-fret").and_then(|node| node.whole(0..=i64::from(Fret::MOST.0)))
    {
        level.highest_fret = Fret(fret as u8);
    }
    if let Some(node) = fields.get("positions") {
        level.positions = positions(&node);
    }
    if let Some(node) = fields.get("fingers") {
        level.fingers = fingers(&node);
    }
    if let Some(barre) = fields.get("barre").and_then(|node| node.choice::<BarreLimit>()) {
        level.barre = barre;
    }
    if let Some(extension) = fields.get("extension").and_then(|node| node.whole(0..=3)) {
        level.extension = extension as u8;
    }
    if let Some(may) = fields.get("substitution").and_then(|node| node.yes_or_no()) {
        level.substitution = may;
    }
    if let Some(hand) = fields.get("hand").and_then(|node| node.choice::<HandSize>()) {
        level.reach = Reach::of(hand);
    }
    if let Some(fields) = fields.get("reach").and_then(|node| node.fields()) {
        level.reach = reach(fields, level.reach);
    }
    fields.finish();
    named
}

/// The reach of any pair of fingers, `1-4 = 118` in millimetres; the others as
/// they were.
fn reach(fields: Fields<'_>, mut reach: Reach) -> Reach {
    for info in FingerPair::ALL {
        let range = Reach::LEAST.0..=Reach::MOST.0;
        if let Some(far) = fields.get(info.name).and_then(|node| node.number(range, " mm")) {
            reach = reach.with(info.pair, Millimetres(far).to_tenths());
        }
    }
    if let Some((inner, outer)) = reach.contradiction() {
        let far = |pair| reach.of_pair(pair).in_millimetres();
        fields.fault(BookError::Contradiction {
            place: fields.place().clone(),
            message: format!(
                "fingers {inner} would reach {} mm and {outer} only {} mm, and no hand does; give {outer} at least as much, or {inner} less",
                far(inner),
                far(outer)
            ),
        });
    }
    fields.finish();
    reach
}

/// One position or a list of them.
pub(crate) fn positions(node: &Node<'_>) -> PositionSet {
    node.each().iter().filter_map(position).collect()
}

/// A roman numeral or a number.
pub(crate) fn position(node: &Node<'_>) -> Option<apoyando_fingering::Position> {
    match node.written_number()?.parse() {
        Ok(position) => Some(position),
        Err(error) => {
            let error: apoyando_fingering::hand::PositionTextError = error;
            node.bad_text(error.to_string());
            None
        }
    }
}

/// Digits 0 (open) to 4.
pub(crate) fn fingers(node: &Node<'_>) -> LeftFingerSet {
    node.each()
        .iter()
        .filter_map(|node| node.whole(0..=4))
        .map(|digit| LeftFinger::from_digit(digit as u8))
        .collect()
}

/// Reads a narrower level; one that allows more than `outer` is a fault.
pub(crate) fn narrowed(node: &Node<'_>, outer: &NamedLevel, what: &str) -> NamedLevel {
    let inner = read(node, outer);
    let wider = wider(&inner.level, &outer.level);
    if let Some(key) = wider {
        node.fault(BookError::Contradiction {
            place: node.place().clone(),
            message: format!(
                "the level of {what} allows more than the level around it in “{key}”; narrow it, or raise the level of the book"
            ),
        });
    }
    inner
}

/// A level with what is allowed beyond it on purpose, under `allow`.
pub(crate) fn widened(fields: &Fields<'_>, level: Level) -> Level {
    let Some(allow) = fields.get("allow").and_then(|node| node.fields()) else { return level };
    let mut too: Vec<Allowance> = Vec::new();
    let highest = i64::from(Fret::MOST.0);
    let fret = allow.get("highest-fret").and_then(|node| node.whole(0..=highest));
    too.extend(fret.map(|fret| Allowance::HighestFret(Fret(fret as u8))));
    if let Some(node) = allow.get("positions") {
        too.extend(node.each().iter().filter_map(position).map(Allowance::Position));
    }
    if let Some(node) = allow.get("fingers") {
        let digits = node.each();
        let digits = digits.iter().filter_map(|node| node.whole(0..=4));
        too.extend(digits.map(|it| Allowance::Finger(LeftFinger::from_digit(it as u8))));
    }
    let barre = allow.get("barre").and_then(|node| node.choice::<BarreLimit>());
    too.extend(barre.map(Allowance::Barre));
    let extension = allow.get("extension").and_then(|node| node.whole(0..=3));
    too.extend(extension.map(|frets| Allowance::Extension(frets as u8)));
    if allow.get("substitution").and_then(|node| node.yes_or_no()) == Some(true) {
        too.push(Allowance::Substitution);
    }
    allow.finish();
    too.into_iter().fold(level, |level, allowance| allowance.beside(&level))
}

/// The key by which one level allows more than another.
fn wider(inner: &Level, outer: &Level) -> Option<&'static str> {
    if inner.highest_fret > outer.highest_fret {
        Some("highest-fret")
    } else if inner.positions.and(outer.positions) != inner.positions {
        Some("positions")
    } else if inner.fingers.and(outer.fingers) != inner.fingers {
        Some("fingers")
    } else if inner.barre > outer.barre {
        Some("barre")
    } else if inner.extension > outer.extension {
        Some("extension")
    } else if inner.substitution && !outer.substitution {
        Some("substitution")
    } else if FingerPair::ALL
        .iter()
        .any(|info| inner.reach.of_pair(info.pair) > outer.reach.of_pair(info.pair))
    {
        Some("hand")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use apoyando_fretboard::TenthsOfMm;

    use crate::read_level;

    #[test]
    fn a_level_may_give_the_reach_of_any_pair() {
        let named = read_level("l.toml", "hand = \"small\"\nreach = { 1-4 = 118.5 }\n").unwrap();
        assert_eq!(named.level.reach.one_four, TenthsOfMm(1185));
        assert_eq!(named.level.reach.one_two, TenthsOfMm(720));
        for (text, says) in [
            ("reach = { 1-5 = 90 }", "unknown key “1-5”"),
            ("reach = { 1-4 = 10 }", "from 15 to 250 mm"),
            ("reach = { 2-3 = 99 }", "fingers 2-3 would reach 99 mm and 2-4 only 95 mm"),
        ] {
            let faults = read_level("l.toml", text).unwrap_err();
            assert!(faults.iter().any(|fault| fault.to_string().contains(says)), "{faults:?}");
        }
    }
}
