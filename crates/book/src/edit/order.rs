//! The order of a book: items in a section and from one to another, sections in the book.
//!
//! An item is its lines, from the comment above it to the comment above the next one. They are
//! moved as they are written; no other byte changes.

use std::ops::Range;

use toml_edit::{Array, Document, DocumentMut, Item, Table, Value};

use super::spot::take_from;

/// Puts an item at another place of its section.
pub(super) fn move_item(text: &str, from: usize, to: usize) -> Result<String, String> {
    let blocks = blocks(text)?;
    let count = blocks.len();
    if from >= count || to >= count {
        return Err(format!("there are {count} items in this section"));
    }
    let mut order: Vec<usize> = (0..count).collect();
    let moved = order.remove(from);
    order.insert(to, moved);
    let mut after = String::with_capacity(text.len() + 1);
    let mut end = 0;
    for (slot, item) in blocks.iter().zip(order) {
        after.push_str(&text[end..slot.start]);
        close(&mut after);
        after.push_str(&text[blocks[item].clone()]);
        end = slot.end;
    }
    if end < text.len() {
        close(&mut after);
    }
    after.push_str(&text[end..]);
    Ok(after)
}

/// Takes an item out of its section.
pub(super) fn take_out(text: &str, item: usize) -> Result<String, String> {
    let block = block(text, item)?;
    Ok(format!("{}{}", &text[..block.start], &text[block.end..]))
}

/// The lines of an item.
pub(super) fn lines(text: &str, item: usize) -> Result<String, String> {
    let block = block(text, item)?;
    Ok(text[block].to_owned())
}

/// Puts the lines of an item into a section, before another one or at the end.
pub(super) fn put(text: &str, lines: &str, before: Option<usize>) -> Result<String, String> {
    let read = parsed(lines)?;
    let items = read.as_table().get("items").and_then(Item::as_array_of_tables);
    if read.as_table().len() != 1 || items.is_none_or(|items| items.len() != 1) {
        return Err("these are not the lines of one item".to_owned());
    }
    let blocks = blocks(text)?;
    let at = match before.and_then(|before| blocks.get(before)) {
        Some(block) => block.start,
        None => blocks.last().map_or(text.len(), |last| last.end),
    };
    let mut after = text[..at].to_owned();
    close(&mut after);
    let set_off = lines.starts_with('\n') || after.is_empty() || after.ends_with("\n\n");
    if !set_off {
        after.push('\n');
    }
    after.push_str(lines);
    if at < text.len() {
        close(&mut after);
    }
    after.push_str(&text[at..]);
    Ok(after)
}

/// Puts a section at another place of the book. What stands around the names stays.
pub(super) fn move_section(text: &str, section: &str, to: usize) -> Result<String, String> {
    let mut document: DocumentMut = super::parsed(text)?;
    let sections = sections(&mut document)?;
    let from = place_of(sections, section)?;
    if to >= sections.len() {
        return Err(format!("there are {} sections", sections.len()));
    }
    let mut names: Vec<Value> = sections.iter().cloned().collect();
    let moved = names.remove(from);
    names.insert(to, moved);
    for (slot, mut name) in sections.iter_mut().zip(names) {
        *name.decor_mut() = slot.decor().clone();
        *slot = name;
    }
    Ok(document.to_string())
}

/// Takes a section out of the book; its file stays.
pub(super) fn take_out_section(text: &str, section: &str) -> Result<String, String> {
    let mut document: DocumentMut = super::parsed(text)?;
    let sections = sections(&mut document)?;
    let index = place_of(sections, section)?;
    take_from(sections, index);
    Ok(document.to_string())
}

fn sections(document: &mut DocumentMut) -> Result<&mut Array, String> {
    document
        .get_mut("sections")
        .and_then(Item::as_array_mut)
        .ok_or_else(|| "its sections are no list; write sections = [\"…\"]".to_owned())
}

fn place_of(sections: &Array, section: &str) -> Result<usize, String> {
    let place = sections.iter().position(|it| it.as_str() == Some(section));
    place.ok_or_else(|| format!("{section} is not among the sections of the book"))
}

fn parsed(text: &str) -> Result<Document<String>, String> {
    Document::parse(text.to_owned())
        .map_err(|error| format!("this is not valid TOML: {error}; correct it first"))
}

fn block(text: &str, item: usize) -> Result<Range<usize>, String> {
    let blocks = blocks(text)?;
    let count = blocks.len();
    let none = || format!("there is no item {}; it has {count}", item + 1);
    blocks.into_iter().nth(item).ok_or_else(none)
}

/// The lines of every item, with the comments above it.
fn blocks(text: &str) -> Result<Vec<Range<usize>>, String> {
    let read = parsed(text)?;
    let root = read.as_table();
    let header = |table: &Table| table.span().map(|span| above(text, span.start));
    let Some(items) = root.get("items").and_then(Item::as_array_of_tables) else {
        return match root.contains_key("items") {
            true => Err("its items are a list; write each as [[items]]".to_owned()),
            false => Ok(Vec::new()),
        };
    };
    let starts: Vec<usize> = items.iter().filter_map(header).collect();
    // Other tables of the section end an item, too.
    let mut ends: Vec<usize> = starts.clone();
    for (_, item) in root.iter().filter(|(key, _)| *key != "items") {
        let tables: Vec<&Table> = match item {
            Item::Table(table) if !table.is_dotted() => vec![table],
            Item::ArrayOfTables(tables) => tables.iter().collect(),
            _ => Vec::new(),
        };
        ends.extend(tables.into_iter().filter_map(header));
    }
    let end =
        |start: usize| ends.iter().copied().filter(|end| *end > start).min().unwrap_or(text.len());
    Ok(starts.iter().map(|start| *start..end(*start)).collect())
}

/// Where the comments and empty lines above a line begin.
fn above(text: &str, at: usize) -> usize {
    let mut start = text[..at].rfind('\n').map_or(0, |end| end + 1);
    while start > 0 {
        let before = text[..start - 1].rfind('\n').map_or(0, |end| end + 1);
        let line = text[before..start].trim();
        if !line.is_empty() && !line.starts_with('#') {
            break;
        }
        start = before;
    }
    start
}

/// Ends the last line.
fn close(text: &mut String) {
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECTION: &str = "\
title = \"D\" # second

# First of all.
[[items]]
kind = \"scale\"
advice = \"\"\"
# not a comment

\"\"\"

[[items]]
kind = \"duet\"
file = \"a.abc\"
[items.teacher]
name = \"T\"
# A pin.
[[items.pins]]
bar = 1
finger = 2

[[items]]
kind = \"solo\"
file = \"b.abc\" # the end";

    fn kinds(text: &str) -> Vec<String> {
        let read: DocumentMut = text.parse().unwrap();
        let items = read["items"].as_array_of_tables().unwrap();
        items.iter().map(|item| item["kind"].as_str().unwrap().to_owned()).collect()
    }

    fn sorted(text: &str) -> Vec<&str> {
        let mut lines: Vec<&str> = text.lines().collect();
        lines.sort_unstable();
        lines
    }

    #[test]
    fn items_are_moved_with_all_their_lines() {
        let moved = move_item(SECTION, 0, 2).unwrap();
        assert_eq!(kinds(&moved), ["duet", "solo", "scale"]);
        assert_eq!(sorted(&moved), sorted(SECTION));
        assert!(moved.contains("# the end\n\n# First of all.\n[[items]]\nkind = \"scale\"\n"));
        assert!(moved.contains(
            "kind = \"duet\"\nfile = \"a.abc\"\n[items.teacher]\nname = \"T\"\n# A pin.\n"
        ));
        let back = move_item(&moved, 2, 0).unwrap();
        assert_eq!(back.trim_end(), SECTION);
        assert!(move_item(SECTION, 0, 3).is_err());
    }

    #[test]
    fn an_item_goes_from_one_section_to_another_as_it_is_written() {
        let lines = lines(SECTION, 1).unwrap();
        let rest = take_out(SECTION, 1).unwrap();
        assert_eq!(kinds(&rest), ["scale", "solo"]);
        let other = "title = \"E\"\n\n[[items]]\nkind = \"triads\"";
        let at_end = put(other, &lines, None).unwrap();
        assert_eq!(at_end, format!("{other}\n{lines}"));
        let first = put(&at_end, &lines, Some(0)).unwrap();
        assert_eq!(kinds(&first), ["duet", "triads", "duet"]);
        assert_eq!(kinds(&put("title = \"F\"\n", &lines, None).unwrap()), ["duet"]);
        assert!(put(other, "title = \"x\"\n", None).is_err());
        assert!(put(other, "[[items]]\nkind = \"a\"\n[level]\n", None).is_err());
    }

    #[test]
    fn another_table_of_the_section_is_no_items() {
        let text = "title = \"D\"\n[[items]]\nkind = \"scale\"\n\n[level]\nbarre = \"none\"\n";
        assert_eq!(lines(text, 0).unwrap(), "[[items]]\nkind = \"scale\"\n");
        let more = put(text, "[[items]]\nkind = \"triads\"\n", None).unwrap();
        assert_eq!(kinds(&more), ["scale", "triads"]);
        assert!(more.ends_with("\n\n[level]\nbarre = \"none\"\n"), "{more}");
    }

    #[test]
    fn sections_change_places_and_what_stands_around_them_stays() {
        let book = "title = \"B\"\nsections = [\n  \"one\", # the first\n  \"two\",\n  \"three\",\n]\nauthor = \"A\"\n";
        let moved = move_section(book, "three", 0).unwrap();
        assert_eq!(
            moved,
            "title = \"B\"\nsections = [\n  \"three\", # the first\n  \"one\",\n  \"two\",\n]\nauthor = \"A\"\n"
        );
        let without = take_out_section("sections = [\"one\", \"two\"]\n", "one").unwrap();
        assert_eq!(without, "sections = [\"two\"]\n");
        assert!(move_section(book, "four", 0).is_err());
        assert!(move_section(book, "one", 3).is_err());
    }
}
