//! Tables and values of a plan, read with their places. Every fault is put
//! down and reading goes on, so that an author sees all of them at once.

use std::cell::RefCell;
use std::fmt::Display;
use std::ops::RangeInclusive;
use std::str::FromStr;

use toml_edit::{ArrayOfTables, Item, TableLike, Value};

use crate::error::BookError;
use crate::nearest::nearest;
use crate::source::{Source, SourcePlace};

/// Where faults are put down.
pub(crate) type Faults = RefCell<Vec<BookError>>;

/// A value that is one of a few words.
pub(crate) trait Choice: Copy + 'static {
    /// Every word with what it means.
    const CHOICES: &'static [(&'static str, Self)];

    /// What a word means.
    fn of_word(word: &str) -> Option<Self> {
        Self::CHOICES.iter().find(|(name, _)| *name == word).map(|(_, choice)| *choice)
    }
}

/// A table that is being read. It remembers which keys were asked for: those
/// left over at the end are unknown.
pub(crate) struct Fields<'a> {
    table: &'a dyn TableLike,
    place: SourcePlace,
    name: String,
    source: &'a Source,
    faults: &'a Faults,
    asked: RefCell<Vec<&'static str>>,
}

/// What a key holds.
#[derive(Clone, Copy)]
enum Held<'a> {
    Value(&'a Value),
    Table(&'a dyn TableLike),
    Tables(&'a ArrayOfTables),
}

/// A value with its key and place.
pub(crate) struct Node<'a> {
    held: Held<'a>,
    place: SourcePlace,
    key: String,
    source: &'a Source,
    faults: &'a Faults,
}

/// `a, b or c`.
fn listed(words: impl IntoIterator<Item = impl Display>) -> String {
    let words: Vec<String> = words.into_iter().map(|word| format!("“{word}”")).collect();
    match words.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
    }
}

fn hint(read: &str, words: &[&str]) -> String {
    let allowed = format!("allowed: {}", listed(words));
    match nearest(read, words.iter().copied()) {
        Some(meant) => format!("did you mean “{meant}”? {allowed}"),
        None => allowed,
    }
}

impl<'a> Fields<'a> {
    pub(crate) fn root(
        table: &'a toml_edit::Table,
        source: &'a Source,
        faults: &'a Faults,
    ) -> Self {
        Self {
            table,
            place: source.place(0),
            name: source.file().to_owned(),
            source,
            faults,
            asked: RefCell::default(),
        }
    }

    pub(crate) const fn place(&self) -> &SourcePlace {
        &self.place
    }

    pub(crate) fn fault(&self, error: BookError) {
        self.faults.borrow_mut().push(error);
    }

    /// The value of a key, if it is there.
    pub(crate) fn get(&self, key: &'static str) -> Option<Node<'a>> {
        self.asked.borrow_mut().push(key);
        let item = self.table.get(key)?;
        let held = match item {
            Item::None => return None,
            Item::Value(value) => Held::Value(value),
            Item::Table(table) => Held::Table(table),
            Item::ArrayOfTables(tables) => Held::Tables(tables),
        };
        let span = item.span().or_else(|| self.table.key(key).and_then(|key| key.span()));
        let place = match span {
            Some(span) => self.source.place(span.start),
            None => self.place.clone(),
        };
        Some(Node { held, place, key: key.to_owned(), source: self.source, faults: self.faults })
    }

    /// The value of a key that must be there; its absence is put down.
    pub(crate) fn need(&self, key: &'static str, example: &str) -> Option<Node<'a>> {
        let node = self.get(key);
        if node.is_none() {
            self.fault(BookError::Missing {
                place: self.place.clone(),
                key: key.to_owned(),
                table: self.name.clone(),
                example: example.to_owned(),
            });
        }
        node
    }

    /// The text of a key, empty if it is not there.
    pub(crate) fn text_or_empty(&self, key: &'static str) -> String {
        self.get(key).and_then(|node| node.text()).unwrap_or_default()
    }

    /// Puts down every key that nobody asked for.
    pub(crate) fn finish(self) {
        let asked = self.asked.into_inner();
        for (key, item) in self.table.iter() {
            if asked.contains(&key) {
                continue;
            }
            let span = self.table.key(key).and_then(|key| key.span()).or_else(|| item.span());
            self.faults.borrow_mut().push(BookError::UnknownKey {
                place: span.map_or_else(|| self.place.clone(), |s| self.source.place(s.start)),
                key: key.to_owned(),
                table: self.name.clone(),
                hint: hint(key, &asked),
            });
        }
    }
}

impl<'a> Node<'a> {
    pub(crate) const fn place(&self) -> &SourcePlace {
        &self.place
    }

    pub(crate) fn fault(&self, error: BookError) {
        self.faults.borrow_mut().push(error);
    }

    /// What was read, for a sentence: `the number 3`, `“x”`.
    fn read(&self) -> String {
        match self.held {
            Held::Value(Value::String(text)) => format!("“{}”", text.value()),
            Held::Value(Value::Integer(number)) => format!("the number {}", number.value()),
            Held::Value(Value::Float(number)) => format!("the number {}", number.value()),
            Held::Value(Value::Boolean(yes)) => yes.value().to_string(),
            Held::Value(Value::Datetime(_)) => "a date".to_owned(),
            Held::Value(Value::Array(_)) => "a list".to_owned(),
            Held::Value(Value::InlineTable(_)) | Held::Table(_) => "a table".to_owned(),
            Held::Tables(_) => "a list of tables".to_owned(),
        }
    }

    const fn value(&self) -> Option<&'a Value> {
        match self.held {
            Held::Value(value) => Some(value),
            _ => None,
        }
    }

    fn wrong_kind(&self, wanted: &str) {
        self.fault(BookError::WrongKind {
            place: self.place.clone(),
            key: self.key.clone(),
            read: self.read(),
            wanted: wanted.to_owned(),
        });
    }

    /// Puts down that the value is not allowed.
    pub(crate) fn not_allowed(&self, hint: impl Into<String>) {
        self.fault(BookError::NotAllowed {
            place: self.place.clone(),
            key: self.key.clone(),
            read: self.read(),
            hint: hint.into(),
        });
    }

    /// Puts down why the value is not understood.
    pub(crate) fn bad_text(&self, message: impl Into<String>) {
        self.fault(BookError::BadText {
            place: self.place.clone(),
            key: self.key.clone(),
            message: message.into(),
        });
    }

    /// Whether the value is a text.
    pub(crate) fn is_text(&self) -> bool {
        self.value().is_some_and(Value::is_str)
    }

    /// Whether the value is this word.
    pub(crate) fn is(&self, word: &str) -> bool {
        self.value().and_then(Value::as_str) == Some(word)
    }

    /// A text in quotation marks.
    pub(crate) fn text(&self) -> Option<String> {
        let text = self.value().and_then(Value::as_str).map(str::to_owned);
        if text.is_none() {
            self.wrong_kind("a text in quotation marks");
        }
        text
    }

    /// A text that is read further.
    pub(crate) fn parsed<T: FromStr<Err: Display>>(&self) -> Option<T> {
        match self.text()?.trim().parse() {
            Ok(value) => Some(value),
            Err(error) => {
                self.bad_text(error.to_string());
                None
            }
        }
    }

    /// One of a few words.
    pub(crate) fn choice<T: Choice>(&self) -> Option<T> {
        let words: Vec<&str> = T::CHOICES.iter().map(|(word, _)| *word).collect();
        let Some(word) = self.value().and_then(Value::as_str) else {
            self.wrong_kind(&listed(words));
            return None;
        };
        let choice = T::of_word(word);
        if choice.is_none() {
            self.not_allowed(hint(word, &words));
        }
        choice
    }

    /// `true` or `false`.
    pub(crate) fn yes_or_no(&self) -> Option<bool> {
        let read = self.value().and_then(Value::as_bool);
        if read.is_none() {
            self.wrong_kind("true or false");
        }
        read
    }

    /// `true`, `false` or one of some words.
    pub(crate) fn yes_no_or_choice<T: Choice + From<bool>>(&self) -> Option<T> {
        let words: Vec<&str> = T::CHOICES.iter().map(|(word, _)| *word).collect();
        let allowed = format!("true, false or {}", listed(&words));
        let value = self.value();
        if let Some(wanted) = value.and_then(Value::as_bool) {
            return Some(T::from(wanted));
        }
        let Some(word) = value.and_then(Value::as_str) else {
            self.wrong_kind(&allowed);
            return None;
        };
        let choice = T::of_word(word);
        if choice.is_none() {
            self.not_allowed(format!("allowed: {allowed}"));
        }
        choice
    }

    /// A whole number in a range.
    pub(crate) fn whole(&self, range: RangeInclusive<i64>) -> Option<i64> {
        let allowed = format!("a whole number from {} to {}", range.start(), range.end());
        match self.value().and_then(Value::as_integer) {
            None => self.wrong_kind(&allowed),
            Some(number) if range.contains(&number) => return Some(number),
            Some(_) => self.not_allowed(format!("allowed: {allowed}")),
        }
        None
    }

    /// A number in a range, with or without decimals.
    pub(crate) fn number(&self, range: RangeInclusive<f64>, unit: &str) -> Option<f64> {
        let allowed = format!("a number from {} to {}{unit}", range.start(), range.end());
        let value = self.value();
        let whole = || value?.as_integer().map(|number| number as f64);
        match value.and_then(Value::as_float).or_else(whole) {
            None => self.wrong_kind(&allowed),
            Some(number) if range.contains(&number) => return Some(number),
            Some(_) => self.not_allowed(format!("allowed: {allowed}")),
        }
        None
    }

    /// The integer or decimal as it is written, or a text: for beats.
    pub(crate) fn written_number(&self) -> Option<String> {
        match self.held {
            Held::Value(Value::Integer(number)) => Some(number.value().to_string()),
            Held::Value(Value::Float(number)) => Some(number.value().to_string()),
            Held::Value(Value::String(text)) => Some(text.value().clone()),
            _ => {
                self.wrong_kind("a number or a text");
                None
            }
        }
    }

    /// Every value of a list; a single value counts as a list of one.
    pub(crate) fn each(&self) -> Vec<Self> {
        match self.value().and_then(Value::as_array) {
            None => vec![self.alike(self.held, self.place.clone())],
            Some(array) => array
                .iter()
                .map(|value| {
                    let place = value.span().map(|span| self.source.place(span.start));
                    self.alike(Held::Value(value), place.unwrap_or_else(|| self.place.clone()))
                })
                .collect(),
        }
    }

    fn alike(&self, held: Held<'a>, place: SourcePlace) -> Self {
        Self { held, place, key: self.key.clone(), source: self.source, faults: self.faults }
    }

    /// A table.
    pub(crate) fn fields(&self) -> Option<Fields<'a>> {
        let table: &dyn TableLike = match self.held {
            Held::Table(table) => table,
            Held::Value(Value::InlineTable(table)) => table,
            _ => {
                self.wrong_kind(&format!("a table [{}]", self.key));
                return None;
            }
        };
        Some(self.fields_of(table, self.place.clone(), format!("[{}]", self.key)))
    }

    /// Every table of a list of tables.
    pub(crate) fn tables(&self) -> Vec<Fields<'a>> {
        let name = format!("[[{}]]", self.key);
        match self.held {
            Held::Tables(tables) => tables
                .iter()
                .map(|table| {
                    let place = self.source.place_of(table.span());
                    self.fields_of(table, place, name.clone())
                })
                .collect(),
            Held::Value(Value::Array(array)) => self
                .each()
                .into_iter()
                .zip(array)
                .filter_map(|(node, value)| match value.as_inline_table() {
                    Some(table) => Some(self.fields_of(table, node.place.clone(), name.clone())),
                    None => {
                        node.wrong_kind(&format!("tables, each begun with {name}"));
                        None
                    }
                })
                .collect(),
            _ => {
                self.wrong_kind(&format!("tables, each begun with {name}"));
                Vec::new()
            }
        }
    }

    fn fields_of(&self, table: &'a dyn TableLike, place: SourcePlace, name: String) -> Fields<'a> {
        Fields {
            table,
            place,
            name,
            source: self.source,
            faults: self.faults,
            asked: RefCell::default(),
        }
    }
}
