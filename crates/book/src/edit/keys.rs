//! What a form says of an item or a section: its keys as texts.

use toml_edit::{Array, DocumentMut, Item, Table, TableLike, Value};

use super::spot::put;

/// How the text of a key is written in the plan.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Written {
    Text,
    Whole,
    YesOrNo,
    /// A paragraph or a list of them, set off by empty lines.
    Paragraphs,
}

/// Keys of an item that a form gives.
const KEYS: [(&str, Written); 23] = [
    ("kind", Written::Text),
    ("title", Written::Text),
    ("file", Written::Text),
    ("tune", Written::Whole),
    ("composer", Written::Text),
    ("source", Written::Text),
    ("rights", Written::Text),
    ("tempo", Written::Whole),
    ("position", Written::Text),
    ("octave", Written::Whole),
    ("minor", Written::Text),
    ("degree", Written::Text),
    ("degrees", Written::Text),
    ("note-value", Written::Text),
    ("pattern", Written::Text),
    ("alternation", Written::Text),
    ("stroke", Written::Text),
    ("aim", Written::Text),
    ("goal", Written::Whole),
    ("density", Written::Text),
    ("level", Written::Text),
    ("advice", Written::Paragraphs),
    ("prepare", Written::YesOrNo),
];

/// Keys of a section that a form gives.
const SECTION_KEYS: [(&str, Written); 4] = [
    ("title", Written::Text),
    ("key", Written::Text),
    ("position", Written::Text),
    ("intro", Written::Text),
];

/// Exercises, which can become one another, as pieces can.
const EXERCISES: [&str; 5] = ["scale", "position-scale", "arpeggio", "triads", "progression"];
const PIECES: [&str; 2] = ["solo", "duet"];

/// Keys that only some kinds have.
const OF_KINDS: [(&str, &[&str]); 5] = [
    ("octave", &["scale"]),
    ("degree", &["triads"]),
    ("degrees", &["progression"]),
    ("student", &["duet"]),
    ("teacher", &["duet"]),
];

/// Says something else of an item; a key without text is taken out.
pub(super) fn of_item(item: &mut Table, keys: &[(String, String)]) -> Result<(), String> {
    let kind = |item: &Table| item.get("kind").and_then(Item::as_str).map(str::to_owned);
    let before = kind(item).unwrap_or_default();
    set(item, &KEYS, keys)?;
    let Some(after) = kind(item) else { return Err("it needs a kind".to_owned()) };
    if after != before {
        let class = |kind: &str| (EXERCISES.contains(&kind), PIECES.contains(&kind));
        if class(&after) != class(&before) || class(&after) == (false, false) {
            return Err(format!("a {before} cannot become a {after}; add a new one"));
        }
        for (key, kinds) in OF_KINDS {
            if !kinds.contains(&after.as_str()) {
                item.remove(key);
            }
        }
    }
    Ok(())
}

/// Says something else of a section.
pub(super) fn of_section(text: &str, keys: &[(String, String)]) -> Result<String, String> {
    let mut document: DocumentMut = super::parsed(text)?;
    set(document.as_table_mut(), &SECTION_KEYS, keys)?;
    if !document.contains_key("title") {
        return Err("a section needs a title; give it one".to_owned());
    }
    Ok(document.to_string())
}

fn set(
    table: &mut Table,
    known: &[(&str, Written)],
    keys: &[(String, String)],
) -> Result<(), String> {
    for (key, text) in keys {
        let Some((key, written)) = known.iter().find(|(name, _)| name == key) else {
            return Err(format!("{key} cannot be given by a form; write it into the text"));
        };
        let text = text.trim();
        if text.is_empty() {
            table.remove(key);
            continue;
        }
        // What says the same stays as it is written.
        if said(table.get(key)).as_deref() == Some(text) {
            continue;
        }
        let new = match written {
            Written::Text => Value::from(text),
            Written::Whole => {
                let number: i64 = text
                    .parse()
                    .map_err(|_| format!("{key} is a whole number; “{text}” is none"))?;
                Value::from(number)
            }
            Written::YesOrNo => Value::from(text == "true"),
            Written::Paragraphs => {
                let each: Vec<&str> =
                    text.split("\n\n").map(str::trim).filter(|it| !it.is_empty()).collect();
                match each[..] {
                    [only] => Value::from(only),
                    _ => Value::Array(Array::from_iter(each)),
                }
            }
        };
        let holds_value = table.get(key).is_none_or(Item::is_value);
        if !holds_value {
            return Err(format!("{key} is written as a table; change it in the text"));
        }
        put(table, key, new);
    }
    Ok(())
}

/// A value as the text of a form; `None` if it has no text, as a table.
fn said(item: Option<&Item>) -> Option<String> {
    Some(match item?.as_value()? {
        Value::String(text) => text.value().clone(),
        Value::Integer(number) => number.value().to_string(),
        Value::Float(number) => number.value().to_string(),
        Value::Boolean(yes) => yes.value().to_string(),
        Value::Array(list) => {
            let each: Option<Vec<&str>> = list.iter().map(Value::as_str).collect();
            each?.join("\n\n")
        }
        Value::Datetime(_) | Value::InlineTable(_) => return None,
    })
}

/// What a table says, as a form shows it: keys with their texts; what a form cannot show is
/// left out.
pub(super) fn shown(table: &dyn TableLike) -> Vec<(String, String)> {
    table.iter().filter_map(|(key, item)| Some((key.to_owned(), said(Some(item))?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
        pairs.iter().map(|(key, text)| ((*key).to_owned(), (*text).to_owned())).collect()
    }

    fn after(text: &str, keys: &[(&str, &str)]) -> Result<String, String> {
        let mut document: DocumentMut = text.parse().unwrap();
        of_item(document.as_table_mut(), &pairs(keys)).map(|()| document.to_string())
    }

    #[test]
    fn what_is_said_the_same_way_stays_and_what_is_emptied_goes() {
        let text = "kind = \"scale\" # up\ntitle = 'The scale'\noctave = 3\ngoal = 88 # later 96\n";
        let same = after(text, &[("title", "The scale"), ("goal", "88")]);
        assert_eq!(same.as_deref(), Ok(text));
        let other = after(text, &[("title", ""), ("goal", "96"), ("position", "II")]).unwrap();
        assert_eq!(
            other,
            "kind = \"scale\" # up\noctave = 3\ngoal = 96 # later 96\nposition = \"II\"\n"
        );
        assert!(after(text, &[("goal", "fast")]).unwrap_err().contains("whole number"));
        assert!(after(text, &[("pins", "x")]).is_err());
    }

    #[test]
    fn an_exercise_becomes_another_and_loses_what_that_has_not() {
        let text = "kind = \"scale\"\noctave = 3\n";
        let keys = [("kind", "progression"), ("degrees", "I V7 I")];
        assert_eq!(after(text, &keys).unwrap(), "kind = \"progression\"\ndegrees = \"I V7 I\"\n");
        assert!(after(text, &[("kind", "solo")]).is_err());
        let duet = "kind = \"duet\"\nfile = \"a.abc\"\n[teacher]\nname = \"T\"\n";
        assert_eq!(
            after(duet, &[("kind", "solo")]).unwrap(),
            "kind = \"solo\"\nfile = \"a.abc\"\n"
        );
    }

    #[test]
    fn advice_is_a_text_or_a_list() {
        let two = after("kind = \"scale\"\n", &[("advice", "One.\n\nTwo.")]).unwrap();
        assert_eq!(two, "kind = \"scale\"\nadvice = [\"One.\", \"Two.\"]\n");
        let document: DocumentMut = two.parse().unwrap();
        let shown = shown(document.as_table());
        assert_eq!(shown, pairs(&[("kind", "scale"), ("advice", "One.\n\nTwo.")]));
    }

    #[test]
    fn a_section_is_named_otherwise() {
        let text = "title = \"D\" # second\nkey = \"D major\"\n\n[[items]]\nkind = \"scale\"\n";
        let other = of_section(text, &pairs(&[("title", "D in II"), ("position", "II")])).unwrap();
        assert!(
            other.starts_with(
                "title = \"D in II\" # second\nkey = \"D major\"\nposition = \"II\"\n\n[[items]]"
            ),
            "{other}"
        );
        assert!(of_section(text, &pairs(&[("title", " ")])).is_err());
    }
}
