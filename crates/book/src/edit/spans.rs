//! What is decided about bars: `[[items.positions]]` and `no-barre`.

use toml_edit::{Array, ArrayOfTables, Item, Table, Value, value};

use crate::plan::BarRange;

fn range(bars: &str) -> Result<BarRange, String> {
    bars.parse().map_err(|error: crate::plan::BarRangeTextError| error.to_string())
}

/// Gives the hand a position in some bars; another for the same bars is gone.
pub(super) fn position(
    item: &mut Table,
    part: u16,
    bars: &str,
    position: &str,
) -> Result<(), String> {
    let bars = range(bars)?.to_string();
    let positions = item
        .entry("positions")
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()))
        .as_array_of_tables_mut()
        .ok_or("its positions are written as a list; write each as [[items.positions]]")?;
    let same = |table: &Table| {
        table.get("bars").and_then(Item::as_str) == Some(&bars)
            && table.get("part").and_then(Item::as_integer).unwrap_or(1) == i64::from(part)
    };
    if let Some(table) = positions.iter_mut().find(|table| same(table)) {
        table.insert("position", value(position));
        return Ok(());
    }
    let mut table = Table::new();
    if part != 1 {
        table.insert("part", value(i64::from(part)));
    }
    table.insert("bars", value(bars));
    table.insert("position", value(position));
    positions.push(table);
    Ok(())
}

/// Forbids a barre in some bars.
pub(super) fn no_barre(item: &mut Table, bars: &str) -> Result<(), String> {
    let bars = range(bars)?.to_string();
    let list = item
        .entry("no-barre")
        .or_insert_with(|| value(Array::new()))
        .as_value_mut()
        .ok_or("no-barre is no list of bars")?;
    if !list.is_array() {
        let only = list.clone();
        *list = Value::Array(Array::from_iter([only]));
    }
    let Some(array) = list.as_array_mut() else { return Err("no-barre is no list".to_owned()) };
    if !array.iter().any(|it| it.as_str() == Some(&bars)) {
        array.push(bars);
    }
    Ok(())
}
