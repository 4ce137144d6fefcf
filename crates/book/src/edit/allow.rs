//! What an item may ask beyond the level: `allow`.

use serde::{Deserialize, Serialize};
use toml_edit::{Array, InlineTable, Item, Table, TableLike, Value, value};

use super::spot::put;

/// A player of a duet.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Player {
    /// The first part.
    Student,
    /// The second part.
    Teacher,
}

/// What is allowed, as it is written in the plan.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Allowed {
    /// A barre: `small`, `half` or `full`.
    Barre(String),
    /// Frets up to this one.
    HighestFret(u8),
    /// A position more: `III`.
    Position(String),
    /// A finger more; 0 is the open string.
    Finger(u8),
    /// An extension of so many frets.
    Extension(u8),
    /// Another finger that takes over.
    Substitution,
}

/// Allows something in an item, or to one player of a duet.
pub(super) fn allow(
    item: &mut Table,
    player: Option<Player>,
    allowed: &Allowed,
) -> Result<(), String> {
    let table: &mut dyn TableLike = match player {
        None => item,
        Some(player) => {
            let who = match player {
                Player::Student => "student",
                Player::Teacher => "teacher",
            };
            item.entry(who)
                .or_insert_with(|| Item::Table(Table::new()))
                .as_table_like_mut()
                .ok_or_else(|| format!("{who} is no table; write [items.{who}]"))?
        }
    };
    let allow = table
        .entry("allow")
        .or_insert_with(|| value(InlineTable::new()))
        .as_table_like_mut()
        .ok_or("allow is no table; write allow = { barre = \"small\" }")?;
    match allowed {
        Allowed::Barre(width) => put(allow, "barre", Value::from(width.as_str())),
        Allowed::HighestFret(fret) => put(allow, "highest-fret", Value::from(i64::from(*fret))),
        Allowed::Extension(frets) => put(allow, "extension", Value::from(i64::from(*frets))),
        Allowed::Substitution => put(allow, "substitution", Value::from(true)),
        Allowed::Position(position) => also(allow, "positions", Value::from(position.as_str()))?,
        Allowed::Finger(finger) => also(allow, "fingers", Value::from(i64::from(*finger)))?,
    }
    Ok(())
}

/// One more in a list.
fn also(allow: &mut dyn TableLike, key: &str, new: Value) -> Result<(), String> {
    let list = allow.entry(key).or_insert_with(|| value(Array::new()));
    let list = list.as_array_mut().ok_or_else(|| format!("{key} is no list"))?;
    list.push(new);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_allowed_adds_up() {
        let mut item = toml_edit::DocumentMut::new();
        for allowed in [
            Allowed::Barre("small".to_owned()),
            Allowed::Position("III".to_owned()),
            Allowed::Position("IV".to_owned()),
            Allowed::Barre("half".to_owned()),
            Allowed::Substitution,
        ] {
            allow(item.as_table_mut(), None, &allowed).unwrap();
        }
        allow(item.as_table_mut(), Some(Player::Teacher), &Allowed::HighestFret(9)).unwrap();
        let wanted = "allow = { barre = \"half\", positions = [\"III\", \"IV\"], substitution = true }\n\n[teacher]\nallow = { highest-fret = 9 }\n";
        assert_eq!(item.to_string().trim(), wanted.trim());
        item.insert("allow", value("barre"));
        assert!(allow(item.as_table_mut(), None, &Allowed::Extension(1)).is_err());
    }
}
