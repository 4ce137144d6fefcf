//! Pins on notes: `[[items.pins]]`.

use toml_edit::{ArrayOfTables, Item, Table, value};

use super::note::NotePlace;
use super::{PinKey, PinValue};

/// Keys of a pin that decide something.
pub(super) const DECIDE: [&str; 8] =
    ["finger", "not-finger", "second-finger", "string", "not-string", "fret", "not-fret", "right"];

/// Decides something about a note.
pub(super) fn pin(
    item: &mut Table,
    note: &NotePlace,
    what: &[(PinKey, PinValue)],
) -> Result<(), String> {
    for (key, _) in what {
        take_away(item, note, against(key.word()))?;
    }
    let pins = pins(item)?;
    let here = pins.iter().position(|pin| note.is_of(pin));
    let at = match here {
        Some(at) => at,
        None => {
            pins.push(note.pin());
            pins.len() - 1
        }
    };
    let pin = pins.get_mut(at).expect("it is there or was just put there");
    for (key, decided) in what {
        let decided = match decided {
            PinValue::Number(number) => value(*number),
            PinValue::Letter(letter) => value(letter.as_str()),
        };
        pin.insert(key.word(), decided);
    }
    Ok(())
}

/// Decides about other notes what was decided about one. What was decided about them about the
/// same is gone.
pub(super) fn pin_like(
    item: &mut Table,
    note: &NotePlace,
    likes: &[NotePlace],
) -> Result<(), String> {
    let mut decided: Vec<(String, Item)> = Vec::new();
    for pin in pins(item)?.iter().filter(|pin| note.is_of(pin)) {
        let keys = DECIDE.iter().filter_map(|key| Some(((*key).to_owned(), pin.get(key)?.clone())));
        decided.extend(keys);
    }
    if decided.is_empty() {
        return Err("nothing was decided about this note here".to_owned());
    }
    for like in likes {
        for (key, _) in &decided {
            take_away(item, like, against(key))?;
        }
        let pins = pins(item)?;
        let mut pin = like.pin();
        for (key, value) in &decided {
            pin.insert(key, value.clone());
        }
        pins.push(pin);
    }
    Ok(())
}

/// What a key says otherwise than another: only one of them can hold.
fn against(key: &str) -> &'static [&'static str] {
    let of = |group: &'static [&'static str]| group.contains(&key).then_some(group);
    let groups: [&[&str]; 5] = [
        &["finger", "not-finger"],
        &["second-finger"],
        &["string", "not-string"],
        &["fret", "not-fret"],
        &["right"],
    ];
    groups.into_iter().find_map(of).unwrap_or_default()
}

/// Takes back all that was decided about a note.
pub(super) fn unpin(item: &mut Table, note: &NotePlace) -> Result<(), String> {
    if !pins(item)?.iter().any(|pin| note.is_of(pin)) {
        return Err("nothing was decided about this note here".to_owned());
    }
    take_away(item, note, &DECIDE)
}

fn take_away(item: &mut Table, note: &NotePlace, keys: &[&str]) -> Result<(), String> {
    let pins = pins(item)?;
    for pin in pins.iter_mut().filter(|pin| note.is_of(pin)) {
        for key in keys {
            pin.remove(key);
        }
    }
    pins.retain(|pin| DECIDE.iter().any(|key| pin.contains_key(key)) || !note.is_of(pin));
    if pins.is_empty() {
        item.remove("pins");
    }
    Ok(())
}

fn pins(item: &mut Table) -> Result<&mut ArrayOfTables, String> {
    item.entry("pins")
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()))
        .as_array_of_tables_mut()
        .ok_or_else(|| "its pins are written as a list; write each as [[items.pins]]".to_owned())
}
