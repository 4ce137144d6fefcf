//! Systems: their plates and the gaps between them.

use apoyando_engrave::{Drawing, Ink};
use typst_library::foundations::{Array, Content, IntoValue, dict};

use super::sane::check;
use super::{Figure, Maker, POINTS, Role, STRETCH};
use crate::document::Music;
use crate::error::{Fault, PressError};
use crate::faces::faces;
use crate::plate::Plate;

/// Clear ink between systems at least, in staff spaces.
const CLEAR: f64 = 1.5;

/// Space between the words above a piece of music and its ink, in mm.
const ABOVE_MUSIC: f64 = 4.0;

impl Maker<'_> {
    pub(super) fn music(&mut self, place: &str, music: &Music) -> Result<(), PressError> {
        let staff = music.staff.0;
        if music.systems.is_empty() {
            return Ok(());
        }
        if !(3.0..=30.0).contains(&staff) {
            return Err(PressError::Staff { place: place.to_owned(), staff });
        }
        let space = staff / 4.0 * POINTS;
        let count = music.systems.len();
        let mut before: Option<(f64, f64)> = None;
        let mut systems = Array::new();
        for (i, drawing) in music.systems.iter().enumerate() {
            check(place, i, drawing)?;
            let scale = self.fitting(place, i, drawing, space);
            let space = space * scale;
            let (top, bottom) = drawing
                .staves()
                .map_or((drawing.above.0, -drawing.below.0), |(high, low)| (high.0, low.0));
            let above = (drawing.above.0 - top) * space;
            let below = (drawing.below.0 + bottom) * space;
            let gap = match before {
                None => self.gap(ABOVE_MUSIC * POINTS, 0.0),
                Some((last_below, last_clear)) => {
                    let line_gap = music.line_gap.0.clamp(0.0, 60.0) * space;
                    let clear = (CLEAR * space).max(last_clear);
                    let height = (line_gap - last_below - above).max(clear);
                    self.gap(height, (STRETCH - 1.0) * line_gap)
                }
            };
            before = Some((below, CLEAR * space));
            let plate = self.plate(place, drawing, space);
            // No system is left alone at the foot of a page or at the head of
            // the next, where there are enough to go with it.
            let sticky = i + 1 < count && (i == 0 || i + 2 == count);
            systems.push(
                dict! {
                    "plate" => plate,
                    "gap" => gap,
                    "sticky" => sticky,
                }
                .into_value(),
            );
            let head = if i == 0 { self.head.take() } else { None };
            let role = Role::System { index: i, count, head };
            self.figure(role, drawing.height().0.max(0.0) * space);
        }
        self.put("systems", dict! { "systems" => systems });
        Ok(())
    }

    /// A drawing at its printed size, as a figure.
    pub(super) fn plate(&mut self, place: &str, drawing: &Drawing, space: f64) -> Content {
        for stain in &drawing.stains {
            match &stain.ink {
                Ink::Text { text, .. } => {
                    self.setter.printable(place, text);
                }
                Ink::Glyph { glyph, .. } if !faces().engrave(*glyph) => {
                    self.setter.miss(place, vec![*glyph]);
                }
                _ => {}
            }
        }
        let words = self.setter.printable(place, &drawing.description);
        Plate::new(drawing, space, self.lang).into_figure(&words)
    }

    pub(super) fn figure(&mut self, role: Role, height: f64) {
        let (first_gap, end_gap) = (self.claimed, self.gaps.len());
        let (fresh, words_before) = (self.fresh, self.words);
        self.figures.push(Figure { first_gap, end_gap, fresh, words_before, role, height });
        self.claimed = end_gap;
        (self.fresh, self.words) = (false, false);
    }

    /// How much smaller a drawing must be to fit the type area: 1 as a rule.
    pub(super) fn fitting(
        &mut self,
        place: &str,
        index: usize,
        drawing: &Drawing,
        space: f64,
    ) -> f64 {
        let paper = &self.document.paper;
        let wide = paper.type_width().0 * POINTS / (drawing.width.0 * space);
        let high = paper.type_height().0 * POINTS / (drawing.height().0 * space);
        let by = wide.min(high);
        // A hair too wide is the engraver's rounding.
        if by.is_nan() || by >= 0.9995 {
            return 1.0;
        }
        self.faults.push(Fault::Scaled { place: place.to_owned(), index: index + 1, by });
        by * 0.9999
    }
}
