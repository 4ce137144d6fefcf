//! What is new in a book: a section, its place in the order, an item at the end of a section.

use toml_edit::{Array, DocumentMut, Item, Table, Value, value};

use super::parsed;
use crate::node::Choice;
use crate::read::words::Kind;

/// Keys of an item that may be given to a new one, in the order in which they are written.
const KEYS: [&str; 8] =
    ["title", "file", "degrees", "degree", "minor", "note-value", "pattern", "tempo"];

/// The text of a new section.
pub(super) fn section(title: &str, key: &str, position: Option<&str>) -> Result<String, String> {
    if title.trim().is_empty() {
        return Err("a section needs a title; give it one".to_owned());
    }
    let mut table = DocumentMut::new();
    table.insert("title", value(title.trim()));
    if !key.trim().is_empty() {
        table.insert("key", value(key.trim()));
    }
    table.insert("position", value(position.unwrap_or("auto")));
    Ok(table.to_string())
}

/// The plan of a book with one more section at its end.
pub(super) fn list(text: &str, section: &str) -> Result<String, String> {
    let mut document: DocumentMut = parsed(text)?;
    let sections = document.entry("sections").or_insert_with(|| value(Array::new()));
    let sections = sections
        .as_value_mut()
        .and_then(Value::as_array_mut)
        .ok_or("its sections are no list; write sections = [\"…\"]")?;
    if sections.iter().any(|it| it.as_str() == Some(section)) {
        return Err(format!("{section} is in the order of sections already"));
    }
    sections.push(section);
    Ok(document.to_string())
}

/// A section's text with one more item at its end.
pub(super) fn item(text: &str, kind: &str, keys: &[(String, String)]) -> Result<String, String> {
    parsed(text)?;
    let kinds: Vec<&str> = Kind::CHOICES.iter().map(|(word, _)| *word).collect();
    if !kinds.contains(&kind) {
        return Err(format!("there is no kind {kind}, only: {}", kinds.join(", ")));
    }
    if let Some((other, _)) = keys.iter().find(|(key, _)| !KEYS.contains(&key.as_str())) {
        return Err(format!("{other} cannot be given to a new item; write it into the text"));
    }
    let mut table = Table::new();
    table.insert("kind", value(kind));
    for key in KEYS {
        let given = keys.iter().find(|(own, text)| own == key && !text.trim().is_empty());
        if let Some((_, text)) = given {
            let number = (key == "tempo").then(|| text.trim().parse::<i64>().ok()).flatten();
            table.insert(key, number.map_or_else(|| value(text.trim()), value));
        }
    }
    let mut items = toml_edit::ArrayOfTables::new();
    items.push(table);
    let mut added = DocumentMut::new();
    added.insert("items", Item::ArrayOfTables(items));
    // What stands there stays as it is, byte by byte.
    let gap = match text {
        "" => "",
        text if text.ends_with("\n\n") => "",
        text if text.ends_with('\n') => "\n",
        _ => "\n\n",
    };
    Ok(format!("{text}{gap}{}", added.to_string().trim_start()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
        pairs.iter().map(|(key, text)| ((*key).to_owned(), (*text).to_owned())).collect()
    }

    #[test]
    fn an_item_is_added_at_the_end_and_nothing_else_changes() {
        let before = "title = \"D major\"  # second\n\n[[items]]\nkind = \"scale\"\n[[items.pins]]\nbar = 1\nbeat = 1\nfinger = 2";
        let after = item(before, "progression", &keys(&[("degrees", "I IV V7 I"), ("title", "")]));
        let wanted =
            format!("{before}\n\n[[items]]\nkind = \"progression\"\ndegrees = \"I IV V7 I\"\n");
        assert_eq!(after.as_deref(), Ok(wanted.as_str()));
        let solo = item("", "solo", &keys(&[("tempo", "80"), ("file", "a \"b\".abc")])).unwrap();
        assert_eq!(solo, "[[items]]\nkind = \"solo\"\nfile = 'a \"b\".abc'\ntempo = 80\n");
    }

    #[test]
    fn what_no_item_has_is_refused() {
        assert!(item("", "march", &[]).unwrap_err().contains("only: scale, "));
        assert!(item("", "scale", &keys(&[("pins", "x")])).unwrap_err().starts_with("pins"));
        assert!(item("title = ", "scale", &[]).unwrap_err().contains("not valid TOML"));
    }

    #[test]
    fn a_section_comes_last_in_the_order_and_only_once() {
        let book = "title = \"A book\"\nsections = [\n  \"one\", # the first\n  \"two\",\n]\n";
        let after = list(book, "three").unwrap();
        assert!(after.contains("# the first") && after.contains("\"three\""), "{after}");
        let read: DocumentMut = after.parse().unwrap();
        assert_eq!(read["sections"].as_array().map(Array::len), Some(3));
        assert!(list(&after, "three").is_err());
        assert!(list("title = \"B\"\n", "one").unwrap().contains("sections = [\"one\"]"));
        let own = section("E minor", "E minor", None).unwrap();
        assert_eq!(own, "title = \"E minor\"\nkey = \"E minor\"\nposition = \"auto\"\n");
        assert!(section(" ", "", None).is_err());
    }
}
