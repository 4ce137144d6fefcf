//! What stands below a section's advice: what is new in it, and a map.

use typst_library::foundations::{Array, Dict, IntoValue, dict};

use super::{Maker, POINTS, Role, check, points};
use crate::document::{CaptionedMap, NewsBox};
use crate::error::PressError;

impl Maker<'_> {
    pub(super) fn news(&mut self, place: &str, news: &NewsBox) -> Dict {
        let lines = news.lines.iter().map(|(theme, said)| {
            let theme = self.setter.line(place, theme);
            let said = self.setter.line(place, said);
            Array::from_iter([theme.into_value(), said.into_value()]).into_value()
        });
        let lines = Array::from_iter(lines);
        dict! { "title" => self.setter.line(place, &news.title), "lines" => lines }
    }

    pub(super) fn map(&mut self, place: &str, map: &CaptionedMap) -> Result<Dict, PressError> {
        let staff_space = map.staff_space.0;
        if !(0.3..=20.0).contains(&staff_space) {
            let staff = staff_space * 4.0;
            return Err(PressError::Staff { place: place.to_owned(), staff });
        }
        check(place, 0, &map.drawing)?;
        let space = staff_space * POINTS;
        self.report(place, 0, &map.drawing, space);
        let space = space * self.fitting(&map.drawing, space);
        let plate = self.plate(place, &map.drawing, space);
        self.figure(Role::BeforeMusic, map.drawing.height().0.max(0.0) * space, None);
        Ok(dict! {
            "plate" => plate,
            "width" => points(map.drawing.width.0 * space),
            "caption" => self.optional(place, Some(&map.caption)),
        })
    }
}
