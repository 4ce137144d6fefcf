//! A note as a pin of the plan points at it.

use serde::{Deserialize, Serialize};
use toml_edit::{Item, Table, Value, value};

use crate::plan::Beat;

/// A note by bar, beat, voice and, in a chord, pitch: [`PinPlace`](crate::PinPlace) as text.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub struct NotePlace {
    /// The part, from 1.
    pub part: u16,
    /// The bar, by its printed number.
    pub bar: u32,
    /// The beat, as it is counted: `2½`.
    pub beat: String,
    /// The voice, from 1.
    pub voice: u8,
    /// Its pitch as written, where others are struck with it.
    #[serde(default)]
    pub pitch: Option<String>,
}

impl NotePlace {
    /// Whether a pin is on this note. One that gives no pitch is on the only note there, and
    /// is not on one that needs its pitch told.
    pub(super) fn is_of(&self, pin: &Table) -> bool {
        let number = |key: &str, usual: i64| match pin.get(key) {
            None => Some(usual),
            Some(item) => item.as_integer(),
        };
        let beat = match pin.get("beat") {
            None => "1".parse::<Beat>().ok(),
            Some(item) => written(item).and_then(|text| text.parse().ok()),
        };
        !pin.contains_key("bars")
            && number("part", 1) == Some(i64::from(self.part))
            && number("voice", 1) == Some(i64::from(self.voice))
            && number("bar", -1) == Some(i64::from(self.bar))
            && beat.is_some()
            && beat == self.beat.parse::<Beat>().ok()
            && match (pin.get("pitch").and_then(Item::as_str), &self.pitch) {
                (Some(one), Some(other)) => one == other,
                (None, None) | (Some(_), None) => true,
                (None, Some(_)) => false,
            }
    }

    /// A pin on this note that decides nothing yet.
    pub(super) fn pin(&self) -> Table {
        let mut pin = Table::new();
        if self.part != 1 {
            pin.insert("part", value(i64::from(self.part)));
        }
        pin.insert("bar", value(i64::from(self.bar)));
        match self.beat.parse::<i64>() {
            Ok(1) => {}
            Ok(whole) => {
                pin.insert("beat", value(whole));
            }
            Err(_) => {
                pin.insert("beat", value(self.beat.as_str()));
            }
        }
        if self.voice != 1 {
            pin.insert("voice", value(i64::from(self.voice)));
        }
        if let Some(pitch) = &self.pitch {
            pin.insert("pitch", value(pitch.as_str()));
        }
        pin
    }
}

/// A number or a text as it is written.
fn written(item: &Item) -> Option<String> {
    match item.as_value()? {
        Value::Integer(number) => Some(number.value().to_string()),
        Value::Float(number) => Some(number.value().to_string()),
        Value::String(text) => Some(text.value().clone()),
        _ => None,
    }
}
