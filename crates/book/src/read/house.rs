//! House style.

use apoyando_fingering::{Descending, EffortTable, Term};
use apoyando_fretboard::Millimetres;

use crate::error::BookError;
use crate::node::{Choice, Faults, Fields, Node};
use crate::plan::{FingeredShape, FourthFinger, House, OpenStrings, Preferences};
use crate::read;
use crate::source::Source;

impl Choice for OpenStrings {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("sought", Self::Sought), ("usual", Self::Usual), ("equal", Self::Equal)];
}

impl Choice for FourthFinger {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("spared", Self::Spared), ("usual", Self::Usual), ("equal", Self::Equal)];
}

impl Choice for Descending {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("open", Self::Open), ("stopped", Self::Stopped)];
}

/// Reads house style from TOML: the keys of `[house]` in a book, at the top of
/// the file.
///
/// # Errors
/// Every fault, with its place.
pub fn read_house(file: &str, text: &str) -> Result<House, Vec<BookError>> {
    let source = Source::new(file, text);
    let document = read::parse(&source, text).map_err(|error| vec![error])?;
    let faults = Faults::default();
    let house = house(Fields::root(document.as_table(), &source, &faults));
    match faults.into_inner() {
        faults if faults.is_empty() => Ok(house),
        faults => Err(faults),
    }
}

pub(crate) fn house(fields: Fields<'_>) -> House {
    let mut house = House::default();
    if let Some(density) = fields.get("density").and_then(|node| node.choice()) {
        house.density = density;
    }
    if let Some(height) = fields.get("staff-height").and_then(|node| node.number(4.0..=16.0, " mm"))
    {
        house.staff_height = Millimetres(height);
    }
    if let Some(alternation) = fields.get("alternation").and_then(|node| node.parsed()) {
        house.alternation = alternation;
    }
    if let Some(stroke) = fields.get("stroke").and_then(|node| node.choice()) {
        house.stroke = Some(stroke);
    }
    house.open_strings =
        fields.get("open-strings").and_then(|node| node.choice()).unwrap_or_default();
    house.fourth_finger = fields.get("finger-4").and_then(|node| node.choice()).unwrap_or_default();
    house.preferences = preferences(&fields);
    fields.finish();
    house
}

fn preferences(fields: &Fields<'_>) -> Preferences {
    let mut preferences = Preferences {
        third_fret: fields
            .get("fret-3")
            .and_then(|node| node.whole(3..=4))
            .and_then(|digit| apoyando_fingering::LeftFinger::from_digit(digit as u8)),
        descending: fields.get("descending").and_then(|node| node.choice()),
        ..Preferences::default()
    };
    if let Some(worth) = fields.get("worth").and_then(|node| node.whole(0..=1000)) {
        preferences.worth = worth as u32;
    }
    if let Some(like_bars) = fields.get("like-bars").and_then(|node| node.yes_or_no()) {
        preferences.like_bars = like_bars;
    }
    for node in fields.get("shapes").iter().flat_map(Node::each) {
        preferences.shapes.extend(node.parsed::<FingeredShape>().map(|shape| shape.0));
    }
    preferences
}

/// The table of effort as the house has it.
pub(crate) fn effort_of(house: &House) -> EffortTable {
    house.effort(EffortTable::default())
}

impl House {
    /// A table of effort with what the house changes in it.
    #[must_use]
    pub fn effort(&self, table: EffortTable) -> EffortTable {
        let value = |term: Term| table.value(term);
        EffortTable {
            stop: match self.open_strings {
                OpenStrings::Sought => 2 * value(Term::Stop),
                OpenStrings::Usual => value(Term::Stop),
                OpenStrings::Equal => 0,
            },
            finger_4: match self.fourth_finger {
                FourthFinger::Spared => 2 * value(Term::Finger4),
                FourthFinger::Usual => value(Term::Finger4),
                FourthFinger::Equal => value(Term::Finger3),
            },
            ..table
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn preferences_are_read() {
        let house = read_house(
            "house.toml",
            "fret-3 = 4\ndescending = \"stopped\"\nshapes = [\"xx0231 ···241\"]\nworth = 9\n\
             like-bars = true\n\
             open-strings = \"equal\"\nfinger-4 = \"spared\"\n",
        )
        .unwrap();
        assert_eq!(house.preferences.third_fret.map(|finger| finger.digit()), Some(4));
        assert_eq!(house.preferences.descending, Some(Descending::Stopped));
        assert_eq!(house.preferences.shapes[0].to_string(), "xx0231 ···241");
        assert_eq!(house.preferences.worth, 9);
        assert!(house.preferences.like_bars);
        let usual = EffortTable::default();
        let table = house.effort(usual.clone());
        assert_eq!((table.stop, table.finger_4), (0, 2 * usual.finger_4));
        assert_eq!(read_house("house.toml", "").unwrap(), House::default());
        assert_eq!(House::default().effort(usual.clone()), usual);
    }

    #[test]
    fn what_a_house_cannot_prefer_is_named_with_its_line() {
        let text = "fret-3 = 2\ndescending = \"down\"\nshapes = [\"x02210\"]\nopen = 1\n";
        let faults = read_house("house.toml", text).unwrap_err();
        let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
        for (line, says) in [
            (1, "a whole number from 3 to 4"),
            (2, "“open” or “stopped”"),
            (3, "not a shape with fingers"),
            (4, "unknown key “open”"),
        ] {
            let place = format!("house.toml:{line}:");
            assert!(
                said.iter().any(|said| said.starts_with(&place) && said.contains(says)),
                "{said:#?}"
            );
        }
    }
}
