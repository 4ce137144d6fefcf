//! What stands at a place of the plan: taken out, or made to mean something else.

use serde::{Deserialize, Serialize};
use toml_edit::{Array, Document, DocumentMut, Item, Table, TableLike, Value, value};

use super::note::NotePlace;
use super::pins::DECIDE;
use crate::plan::BarRange;
use crate::source::Source;

/// A place in a file of the plan, as findings name it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub struct Spot {
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// What a pin, a nudge or a range of bars is to be about.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meant {
    /// A note.
    Note(NotePlace),
    /// First and last bar: `5-8`.
    Bars(String),
}

/// A step on the way from the root of a file to what stands in it.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Step {
    Key(String),
    At(usize),
}

/// Takes out what stands at a place; of a pin only these keys, if any are named. What is left
/// without meaning goes with it.
pub(super) fn take_out(text: &str, spot: Spot, keys: &[String]) -> Result<String, String> {
    let (mut document, path) = found(text, spot)?;
    let (last, above) = path.split_last().ok_or_else(nothing)?;
    let mut emptied = false;
    match (last, at(document.as_table_mut(), above)) {
        (Step::At(index), Some(Place::Item(Item::ArrayOfTables(tables)))) => {
            let table = tables.get_mut(*index).ok_or_else(nothing)?;
            for key in keys {
                table.remove(key);
            }
            if keys.is_empty() || !DECIDE.iter().any(|key| table.contains_key(key)) {
                tables.remove(*index);
            }
            emptied = tables.is_empty();
        }
        (Step::At(index), Some(Place::Item(Item::Value(Value::Array(array))))) => {
            take_from(array, *index);
            emptied = array.is_empty();
        }
        (Step::Key(key), Some(Place::Item(Item::Table(table)))) => {
            table.remove(key);
        }
        (Step::Key(key), Some(Place::Table(table))) => {
            table.remove(key);
            let signs = ["digit", "letter"];
            let idle = |table: &Table| !signs.iter().chain(&DECIDE).any(|k| table.contains_key(k));
            // A nudge that moves nothing any more.
            if signs.contains(&key.as_str()) && idle(table) {
                return take_out_at(&mut document, above);
            }
        }
        _ => return Err(nothing()),
    }
    if emptied {
        remove(&mut document, above);
    }
    Ok(document.to_string())
}

fn take_out_at(document: &mut DocumentMut, path: &[Step]) -> Result<String, String> {
    let Some((Step::At(index), above)) = path.split_last() else { return Err(nothing()) };
    if let Some(Place::Item(Item::ArrayOfTables(tables))) = at(document.as_table_mut(), above) {
        tables.remove(*index);
        if tables.is_empty() {
            remove(document, above);
        }
    }
    Ok(document.to_string())
}

/// Takes a value out of a list; the next one stands as it stood.
pub(super) fn take_from(array: &mut Array, index: usize) {
    if index >= array.len() {
        return;
    }
    let taken = array.remove(index);
    if index == 0
        && let Some(first) = array.get_mut(0)
    {
        let prefix = taken.decor().prefix().cloned().unwrap_or_default();
        first.decor_mut().set_prefix(prefix);
    }
}

/// Lets a pin, a nudge or a range of bars be about something else.
pub(super) fn means(text: &str, spot: Spot, meant: &Meant) -> Result<String, String> {
    let (mut document, path) = found(text, spot)?;
    // The nearest table around it.
    let table = path.iter().rposition(|step| matches!(step, Step::At(_))).map(|it| &path[..=it]);
    if let (Meant::Bars(bars), Some((Step::At(index), above))) = (meant, path.split_last())
        && let Some(Place::Item(Item::Value(Value::Array(array)))) =
            at(document.as_table_mut(), above)
    {
        array.replace(*index, range(bars)?);
        return Ok(document.to_string());
    }
    let Some(Place::Table(table)) = table.and_then(|path| at(document.as_table_mut(), path)) else {
        return Err(nothing());
    };
    match meant {
        Meant::Bars(bars) => {
            put(table, "bars", range(bars)?.into());
        }
        Meant::Note(note) => {
            let written = note.pin();
            for key in ["part", "bar", "beat", "voice", "pitch"] {
                match written.get(key).and_then(Item::as_value) {
                    Some(new) => put(table, key, new.clone()),
                    None => {
                        table.remove(key);
                    }
                }
            }
        }
    }
    Ok(document.to_string())
}

/// Gives a key a value; where it had one, what stands around it stays.
pub(super) fn put(table: &mut dyn TableLike, key: &str, new: Value) {
    match table.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            let decor = old.decor().clone();
            *old = new;
            *old.decor_mut() = decor;
        }
        None => {
            table.insert(key, value(new));
        }
    }
}

/// Writes another word at a place.
pub(super) fn word(text: &str, spot: Spot, word: &str) -> Result<String, String> {
    let (mut document, path) = found(text, spot)?;
    let (last, above) = path.split_last().ok_or_else(nothing)?;
    let old = match (last, at(document.as_table_mut(), above)) {
        (Step::At(index), Some(Place::Item(Item::Value(Value::Array(array))))) => {
            array.get_mut(*index)
        }
        (Step::Key(key), Some(Place::Table(table))) => {
            table.get_mut(key).and_then(Item::as_value_mut)
        }
        _ => None,
    };
    let old = old.ok_or_else(nothing)?;
    let decor = old.decor().clone();
    *old = Value::from(word);
    *old.decor_mut() = decor;
    Ok(document.to_string())
}

fn range(bars: &str) -> Result<String, String> {
    let range: BarRange =
        bars.parse().map_err(|error: crate::plan::BarRangeTextError| error.to_string())?;
    Ok(range.to_string())
}

fn nothing() -> String {
    "there is nothing at this place any more; look at the remarks again".to_owned()
}

/// The file and the way to what begins at a place of it.
fn found(text: &str, spot: Spot) -> Result<(DocumentMut, Vec<Step>), String> {
    let wrong = |error| format!("this is not valid TOML: {error}; correct it first");
    let read = Document::parse(text.to_owned()).map_err(wrong)?;
    let source = Source::new("", text);
    let here = |span: Option<std::ops::Range<usize>>| {
        span.is_some_and(|span| {
            let place = source.place(span.start);
            (place.line, place.column) == (spot.line, spot.column)
        })
    };
    let mut path = Vec::new();
    if !search(read.as_table(), &here, &mut path) {
        return Err(nothing());
    }
    Ok((read.into_mut(), path))
}

type Here<'a> = dyn Fn(Option<std::ops::Range<usize>>) -> bool + 'a;

fn search(table: &dyn TableLike, here: &Here<'_>, path: &mut Vec<Step>) -> bool {
    for (key, item) in table.iter() {
        path.push(Step::Key(key.to_owned()));
        let found = match item {
            Item::None => false,
            Item::Value(value) => search_value(value, here, path),
            Item::Table(table) => here(table.span()) || search(table, here, path),
            Item::ArrayOfTables(tables) => tables.iter().enumerate().any(|(index, table)| {
                path.push(Step::At(index));
                let found = here(table.span()) || search(table, here, path);
                if !found {
                    path.pop();
                }
                found
            }),
        };
        if found {
            return true;
        }
        path.pop();
    }
    false
}

fn search_value(value: &Value, here: &Here<'_>, path: &mut Vec<Step>) -> bool {
    if here(value.span()) {
        return true;
    }
    match value {
        Value::Array(array) => array.iter().enumerate().any(|(index, value)| {
            path.push(Step::At(index));
            let found = search_value(value, here, path);
            if !found {
                path.pop();
            }
            found
        }),
        Value::InlineTable(table) => search(table, here, path),
        _ => false,
    }
}

/// What a path leads to.
enum Place<'a> {
    Table(&'a mut Table),
    Item(&'a mut Item),
}

fn at<'a>(root: &'a mut Table, path: &[Step]) -> Option<Place<'a>> {
    let Some((Step::Key(key), rest)) = path.split_first() else {
        return path.is_empty().then_some(Place::Table(root));
    };
    match (root.get_mut(key)?, rest) {
        (Item::ArrayOfTables(tables), [Step::At(index), rest @ ..]) => {
            at(tables.get_mut(*index)?, rest)
        }
        (Item::Table(table), rest) => at(table, rest),
        (item, []) => Some(Place::Item(item)),
        _ => None,
    }
}

/// Removes a key that holds nothing any more.
fn remove(document: &mut DocumentMut, path: &[Step]) {
    if let Some((Step::Key(key), above)) = path.split_last()
        && let Some(Place::Table(table)) = at(document.as_table_mut(), above)
    {
        table.remove(key);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAN: &str = "\
title = \"D\"
[[items]]
kind = \"solo\" # a solo
file = \"a.abc\" # the bell
no-barre = [\"1-4\", 7]
line-breaks = 5
# Not 3.
[[items.pins]]
bar = 2
beat = 2 # here
string = 3
finger = 3
[[items.nudges]]
bar = 3
digit = [0.5, -1]

[[items]]
kind = \"scale\"
";

    fn spot(needle: &str) -> Spot {
        let before = &PLAN[..PLAN.find(needle).unwrap()];
        let line = before.matches('\n').count() as u32 + 1;
        let column = before.chars().rev().take_while(|c| *c != '\n').count() as u32 + 1;
        Spot { line, column }
    }

    fn gone(text: &str) -> String {
        PLAN.replacen(text, "", 1)
    }

    #[test]
    fn what_stands_at_a_place_is_taken_out_and_nothing_else() {
        let out = |needle: &str| take_out(PLAN, spot(needle), &[]).unwrap();
        let pin = "# Not 3.\n[[items.pins]]\nbar = 2\nbeat = 2 # here\nstring = 3\nfinger = 3\n";
        assert_eq!(out("[[items.pins]]"), gone(pin));
        assert_eq!(out("7]"), gone(", 7"));
        assert_eq!(out("\"1-4\""), gone("\"1-4\", "));
        assert_eq!(out("5\n#"), gone("line-breaks = 5\n"));
        assert_eq!(out("[0.5"), gone("[[items.nudges]]\nbar = 3\ndigit = [0.5, -1]\n"));
        let keys = ["finger".to_owned()];
        let pinned = take_out(PLAN, spot("[[items.pins]]"), &keys).unwrap();
        assert_eq!(pinned, gone("finger = 3\n"));
        let far = Spot { line: 99, column: 1 };
        assert!(take_out(PLAN, far, &[]).is_err());
    }

    #[test]
    fn a_pin_is_put_on_another_note_and_a_word_replaced() {
        let note = NotePlace {
            part: 1,
            bar: 5,
            beat: "2½".to_owned(),
            voice: 2,
            pitch: Some("G4".to_owned()),
        };
        let text = means(PLAN, spot("[[items.pins]]"), &Meant::Note(note)).unwrap();
        assert!(
            text.contains(
                "bar = 5\nbeat = \"2½\" # here\nstring = 3\nfinger = 3\nvoice = 2\npitch = \"G4\"\n"
            ),
            "{text}"
        );
        let text = means(PLAN, spot("\"1-4\""), &Meant::Bars("2-5".to_owned())).unwrap();
        assert_eq!(text, PLAN.replace("1-4", "2-5"));
        let text = word(PLAN, spot("\"a.abc\""), "b.abc").unwrap();
        assert_eq!(text, PLAN.replace("a.abc", "b.abc"));
    }
}
