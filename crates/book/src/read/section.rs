//! Section files.

use crate::folder::Folder;
use crate::node::{Faults, Fields, Node};
use crate::plan::{House, NamedLevel, PositionChoice, Prose, Section};
use crate::read::{self, item, level};
use crate::source::Source;

/// Reads `sections/NAME.toml`.
pub(crate) fn read(
    name: &str,
    source: &Source,
    text: &str,
    around: (&Folder<'_>, &House, &NamedLevel),
    faults: &Faults,
) -> Option<Section> {
    let document = match read::parse(source, text) {
        Ok(document) => document,
        Err(error) => {
            faults.borrow_mut().push(error);
            return None;
        }
    };
    let (folder, house, book_level) = around;
    let fields = Fields::root(document.as_table(), source, faults);
    let title = fields.need("title", "title = \"G major\"").and_then(|node| node.text());
    let key = fields.get("key").and_then(|node| node.parsed());
    let position = fields.get("position").and_then(|node| item::position_choice(&node));
    let level = match fields.get("level") {
        Some(node) => level::narrowed(&node, book_level, "this section"),
        None => book_level.clone(),
    };
    let intro = prose(&fields, "intro", folder);
    let around = item::Around { folder, house, level: &level, key };
    let items = fields
        .get("items")
        .iter()
        .flat_map(Node::tables)
        .filter_map(|fields| item::read(fields, &around))
        .collect();
    let place = fields.place().clone();
    fields.finish();
    Some(Section {
        name: name.to_owned(),
        place,
        title: title?,
        key,
        position: position.unwrap_or(PositionChoice::Auto),
        level,
        intro,
        items,
    })
}

/// One file of prose or a list of them.
pub(crate) fn prose(fields: &Fields<'_>, key: &'static str, folder: &Folder<'_>) -> Vec<Prose> {
    fields.get(key).iter().flat_map(Node::each).filter_map(|node| folder.prose(&node)).collect()
}
