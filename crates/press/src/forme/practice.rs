//! How an exercise or a piece is practised: a few lines below its head.

use typst_library::foundations::{Array, Content, IntoValue, dict};

use super::Maker;
use crate::document::Practice;

impl Maker<'_> {
    pub(super) fn practice(&mut self, place: &str, practice: &Practice) {
        if *practice == Practice::default() {
            return;
        }
        let aim = self.optional(place, practice.aim.as_deref());
        let mut row = |row: &Option<(String, Vec<String>)>| {
            row.as_ref().map(|(before, each)| {
                let mut line = |text: &String| -> Content { self.setter.line(place, text) };
                let before = line(before).into_value();
                let each = Array::from_iter(each.iter().map(|text| line(text).into_value()));
                Array::from_iter([before, each.into_value()])
            })
        };
        let tempos = row(&practice.tempos);
        let also_with = row(&practice.also_with);
        self.put("practice", dict! { "aim" => aim, "tempos" => tempos, "also-with" => also_with });
    }
}
