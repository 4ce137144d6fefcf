//! Remarks that an author lets stand or prints: `[[items.seen]]`, `advice`.

use serde::{Deserialize, Serialize};
use toml_edit::{Array, ArrayOfTables, Item, Table, Value, value};

/// A remark by its rule and place.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Remark {
    /// Its rule, as in `open-bass-rings-on`.
    pub rule: String,
    /// The part, by the name that the remark gives it.
    #[serde(default)]
    pub part: Option<String>,
    /// The bar.
    #[serde(default)]
    pub bar: Option<u32>,
    /// The beat, as it is counted.
    #[serde(default)]
    pub beat: Option<String>,
}

/// Lets a remark stand: it is not made again.
pub(super) fn seen(item: &mut Table, remark: &Remark) -> Result<(), String> {
    let list = item
        .entry("seen")
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()))
        .as_array_of_tables_mut()
        .ok_or("its seen remarks are written as a list; write each as [[items.seen]]")?;
    let mut table = Table::new();
    table.insert("remark", value(remark.rule.as_str()));
    if let Some(part) = &remark.part {
        table.insert("part", value(part.as_str()));
    }
    if let Some(bar) = remark.bar {
        table.insert("bar", value(i64::from(bar)));
    }
    if let Some(beat) = &remark.beat {
        let number = beat.parse::<i64>().map(value);
        table.insert("beat", number.unwrap_or_else(|_| value(beat.as_str())));
    }
    list.push(table);
    Ok(())
}

/// Prints a sentence for the student, and lets the remark it comes from stand.
pub(super) fn advise(item: &mut Table, sentence: &str, remark: &Remark) -> Result<(), String> {
    match item.get_mut("advice") {
        None => {
            item.insert("advice", value(sentence));
        }
        Some(Item::Value(Value::Array(list))) => list.push(sentence),
        Some(Item::Value(only @ Value::String(_))) => {
            let decor = only.decor().clone();
            only.decor_mut().clear();
            *only = Value::Array(Array::from_iter([only.clone(), Value::from(sentence)]));
            *only.decor_mut() = decor;
        }
        Some(_) => return Err("its advice is neither a text nor a list of texts".to_owned()),
    }
    seen(item, remark)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn advice_is_added_to_what_is_said_and_the_remark_stands() {
        let mut item = toml_edit::DocumentMut::new();
        let remark = Remark {
            rule: "open-bass-rings-on".to_owned(),
            part: Some("Guitar".to_owned()),
            bar: Some(3),
            beat: Some("2½".to_owned()),
        };
        advise(item.as_table_mut(), "One.", &remark).unwrap();
        assert!(item.to_string().starts_with("advice = \"One.\"\n"), "{item}");
        advise(
            item.as_table_mut(),
            "Two.",
            &Remark { beat: Some("1".to_owned()), ..remark.clone() },
        )
        .unwrap();
        advise(item.as_table_mut(), "Three.", &remark).unwrap();
        let text = item.to_string();
        assert!(text.starts_with("advice = [\"One.\", \"Two.\", \"Three.\"]\n"), "{text}");
        assert!(
            text.contains(
                "[[seen]]\nremark = \"open-bass-rings-on\"\npart = \"Guitar\"\nbar = 3\nbeat = 1\n"
            ),
            "{text}"
        );
        assert!(text.contains("beat = \"2½\"\n"), "{text}");
    }
}
