//! `[[editions]]` of `book.toml`.

use std::collections::BTreeSet;

use apoyando_fretboard::Millimetres;

use crate::error::BookError;
use crate::node::{Fields, Node};
use crate::plan::{Edition, House, Paper};

/// Reads every edition; names are needed, and no two may be alike.
pub(crate) fn read(fields: &Fields<'_>, paper: Paper, house: &House) -> Vec<Edition> {
    let mut names = BTreeSet::new();
    let tables = fields.get("editions").iter().flat_map(Node::tables).collect::<Vec<_>>();
    tables.into_iter().filter_map(|table| edition(table, paper, house, &mut names)).collect()
}

fn edition(
    fields: Fields<'_>,
    paper: Paper,
    house: &House,
    names: &mut BTreeSet<String>,
) -> Option<Edition> {
    let name = fields.need("name", "name = \"large-print\"").and_then(|node| name(&node, names));
    let note = fields.text_or_empty("note");
    let paper = fields.get("paper").and_then(|node| node.choice()).unwrap_or(paper);
    let yes = |key| fields.get(key).and_then(|node| node.yes_or_no());
    let large_print = yes("large-print").unwrap_or(false);
    let left_handed = yes("left-handed").unwrap_or(false);
    let tablature = fields.get("tablature").and_then(|node| node.yes_no_or_choice());
    let tablature = tablature.unwrap_or(house.tablature);
    let staff_height = fields
        .get("staff-height")
        .and_then(|node| node.number(3.0..=20.0, " mm"))
        .map_or_else(|| Edition::usual_staff(house.staff_height, large_print), Millimetres);
    let parts = fields.get("parts").and_then(|node| node.choice()).unwrap_or_default();
    fields.finish();
    Some(Edition {
        name: name?,
        note,
        paper,
        staff_height,
        tablature,
        large_print,
        left_handed,
        parts,
    })
}

/// A name that can be part of a file's name on every system.
fn name(node: &Node<'_>, names: &mut BTreeSet<String>) -> Option<String> {
    let name = node.text()?;
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    let wrong = if name.is_empty() || name.len() > 40 || !name.chars().all(fits) {
        Some("an edition is named with small letters, digits and hyphens, as in “large-print”")
    } else if name == "main" {
        Some("“main” is the book as the plan has it; give this edition another name")
    } else if !names.insert(name.clone()) {
        Some("another edition has this name already; give each its own")
    } else {
        None
    };
    match wrong {
        None => Some(name),
        Some(message) => {
            node.fault(BookError::Contradiction {
                place: node.place().clone(),
                message: format!("“{name}”: {message}"),
            });
            None
        }
    }
}
