//! House style.

use apoyando_fingering::{Descending, EffortTable, HouseStyle, LeftFinger, Term};
use apoyando_fretboard::Millimetres;

use crate::error::BookError;
use crate::node::{Choice, Faults, Fields, Node};
use crate::plan::{FingeredShape, FourthFinger, House, OpenStrings, Tablature};
use crate::read::{self, book};
use crate::source::Source;

impl Choice for OpenStrings {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("sought", Self::Sought), ("usual", Self::Usual), ("equal", Self::Equal)];
}

impl Choice for FourthFinger {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("spared", Self::Spared), ("usual", Self::Usual), ("equal", Self::Equal)];
}

impl Choice for Tablature {
    const CHOICES: &'static [(&'static str, Self)] = &[("alone", Self::Alone)];
}

impl Choice for Descending {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("open", Self::Open), ("stopped", Self::Stopped)];
}

/// Reads house style from TOML, and the table of effort as it is then: the keys
/// of `[house]` in a book, at the top of the file, or a book's own `book.toml`, of
/// which only `[house]` and `[effort]` are read.
///
/// # Errors
/// Every fault, with its place.
pub fn read_house(file: &str, text: &str) -> Result<(House, EffortTable), Vec<BookError>> {
    let source = Source::new(file, text);
    let document = read::parse(&source, text).map_err(|error| vec![error])?;
    let faults = Faults::default();
    let fields = Fields::root(document.as_table(), &source, &faults);
    // A book has sections, a file of house style has not.
    let read = if document.contains_key("sections") {
        book::house_and_effort(&fields)
    } else {
        let house = house(fields);
        let effort = effort_of(&house);
        (house, effort)
    };
    match faults.into_inner() {
        faults if faults.is_empty() => Ok(read),
        faults => Err(faults),
    }
}

pub(crate) fn house(fields: Fields<'_>) -> House {
    let mut house = House::default();
    if let Some(density) = fields.get("density").and_then(|node| node.choice()) {
        house.density = density;
    }
    house.hold_lines =
        fields.get("hold-lines").and_then(|node| node.yes_or_no()).unwrap_or_default();
    house.tablature =
        fields.get("tablature").and_then(|node| node.yes_no_or_choice()).unwrap_or_default();
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
    house.worth = fields.get("worth").and_then(|node| node.whole(0..=1000)).map(|n| n as u32);
    house.like_bars = fields.get("like-bars").and_then(|node| node.yes_or_no()).unwrap_or_default();
    house.style = style(&fields);
    fields.finish();
    house
}

fn style(fields: &Fields<'_>) -> HouseStyle {
    HouseStyle {
        third_fret: fields
            .get("fret-3")
            .and_then(|node| node.whole(3..=4))
            .and_then(|digit| LeftFinger::from_digit(digit as u8)),
        descending: fields.get("descending").and_then(|node| node.choice()),
        shapes: fields
            .get("shapes")
            .iter()
            .flat_map(Node::each)
            .filter_map(|node| node.parsed::<FingeredShape>())
            .map(|shape| shape.0)
            .collect(),
    }
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
            house: self.worth.map_or(value(Term::House), |worth| worth as i32),
            ..table
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_style_is_read_with_what_it_makes_of_the_effort() {
        let (house, table) = read_house(
            "house.toml",
            "fret-3 = 4\ndescending = \"stopped\"\nshapes = [\"xx0231 ···241\"]\nworth = 9\n\
             like-bars = true\ntablature = true\nhold-lines = true\n\
             open-strings = \"equal\"\nfinger-4 = \"spared\"\n",
        )
        .unwrap();
        assert_eq!(house.style.third_fret.map(|finger| finger.digit()), Some(4));
        assert_eq!(house.style.descending, Some(Descending::Stopped));
        assert_eq!(house.style.shapes[0].to_string(), "xx0231 ···241");
        assert!(house.like_bars && house.hold_lines);
        assert_eq!(house.tablature, Tablature::Under);
        let usual = EffortTable::default();
        assert_eq!((table.stop, table.finger_4, table.house), (0, 2 * usual.finger_4, 9));
        assert_eq!(read_house("house.toml", "").unwrap(), (House::default(), usual));
    }

    #[test]
    fn tablature_stands_nowhere_under_the_notation_or_alone() {
        let read = |text: &str| read_house("house.toml", text).map(|read| read.0.tablature);
        assert_eq!(read("").unwrap(), Tablature::None);
        assert_eq!(read("tablature = false").unwrap(), Tablature::None);
        assert_eq!(read("tablature = true").unwrap(), Tablature::Under);
        assert_eq!(read("tablature = \"alone\"").unwrap(), Tablature::Alone);
        for wrong in ["tablature = \"only\"", "tablature = 2"] {
            let said = read(wrong).unwrap_err()[0].to_string();
            assert!(said.contains("true, false or “alone”"), "{said}");
        }
    }

    /// Of a book only what is about the house is read; its table of effort
    /// outranks what the house is worth.
    #[test]
    fn the_style_of_a_book_is_read_from_its_plan() {
        let book = "title = \"Book\"\nsections = [\"nowhere\"]\n[house]\nfret-3 = 3\nworth = 20\n";
        let (house, table) = read_house("book.toml", book).unwrap();
        assert_eq!(house.style.third_fret, Some(LeftFinger::Three));
        assert_eq!(table, EffortTable { house: 20, ..EffortTable::default() });
        let outranked = format!("{book}[effort]\nhouse = 5\njump = 7\n");
        let (_, table) = read_house("book.toml", &outranked).unwrap();
        assert_eq!((table.house, table.jump), (5, 7));
        let wrong = book.replace("fret-3 = 3", "fret-3 = 2");
        let faults = read_house("book.toml", &wrong).unwrap_err();
        assert!(matches!(&faults[..], [one] if one.to_string().starts_with("book.toml:4:")));
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
