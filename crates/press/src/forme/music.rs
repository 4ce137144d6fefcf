//! Systems: their plates and the gaps between them.

use apoyando_engrave::{Drawing, Ink, StaffSpaces};
use typst_library::foundations::{Array, Content, IntoValue, dict};

use super::sane::check;
use super::{Begin, Choice, Figure, Gap, Maker, POINTS, Plates, Role, STRETCH, Size};
use crate::document::{Casting, Music, System};
use crate::error::{Fault, PressError};
use crate::faces::faces;
use crate::plate::Plate;

/// Clear ink between systems at least, in staff spaces.
const CLEAR: f64 = 1.5;

/// Space between the words above a piece of music and its ink, in mm.
const ABOVE_MUSIC: f64 = 4.0;
/// Staves come nearer by so much of their distance where a page would just not hold them.
const SHRINK: f64 = 0.1;

impl Maker<'_> {
    pub(super) fn music(&mut self, place: &str, music: &Music) -> Result<(), PressError> {
        let staff = music.staff.0;
        let castings = music.castings.iter().enumerate();
        let mut castings: Vec<_> = castings.filter(|(_, c)| !c.systems.is_empty()).collect();
        if castings.is_empty() {
            return Ok(());
        }
        if !(3.0..=30.0).contains(&staff) {
            return Err(PressError::Staff { place: place.to_owned(), staff });
        }
        let number = self.musics.len();
        if let Some(chosen) = self.chosen.get(number) {
            castings.retain(|(casting, _)| casting == chosen);
        }
        let mut choices = Vec::with_capacity(castings.len());
        for (casting, Casting { cost, systems }) in castings {
            for (i, system) in systems.iter().enumerate() {
                check(place, i, &system.line.drawing)?;
            }
            if choices.is_empty() {
                for (i, system) in systems.iter().enumerate() {
                    self.report(place, i, &system.line.drawing, self.space(music));
                }
            }
            choices.push(Choice { casting, cost: *cost, systems: self.sizes(music, systems) });
        }
        if let Some(first) = choices.first() {
            self.systems(place, music, &music.castings[first.casting].systems, &first.systems);
        }
        self.musics.push(choices);
        Ok(())
    }

    /// How high systems are and how far they stand from one another.
    fn sizes(&self, music: &Music, systems: &[System]) -> Vec<Size> {
        let mut before: Option<(f64, f64)> = None;
        // Per gap how far staves stand apart as a rule, and how far these do.
        let mut parted: Vec<(f64, f64)> = Vec::with_capacity(systems.len());
        let size = |system: &System| {
            let drawing = &system.line.drawing;
            let space = self.space(music) * self.fitting(drawing, self.space(music));
            let (top, bottom) = drawing.staves_or_edges();
            let above = (drawing.above.0 - top.0) * space;
            let below = (drawing.below.0 + bottom.0) * space;
            let gap = match before {
                None => Gap { height: ABOVE_MUSIC * POINTS, ..Gap::default() },
                Some((last_below, last_clear)) => {
                    let line_gap = music.line_gap.0.clamp(0.0, 60.0) * space;
                    let clear = (CLEAR * space).max(last_clear);
                    let height = (line_gap - last_below - above).max(clear);
                    parted.push((line_gap, last_below + height + above));
                    let shrink = (height - clear).clamp(0.0, SHRINK * line_gap);
                    Gap { height, stretch: 0.0, shrink, new_page: system.new_page }
                }
            };
            before = Some((below, CLEAR * space));
            let height = drawing.height().0.max(0.0) * space;
            Size { gap, height, free_beats: system.line.free_beats }
        };
        let mut sizes: Vec<Size> = systems.iter().map(size).collect();
        let nearest = parted.iter().map(|(_, parted)| *parted).fold(f64::INFINITY, f64::min);
        for (size, (line_gap, parted)) in sizes.iter_mut().skip(1).zip(&parted) {
            // Where ink has parted staves more than others, their gap grows only so far
            // as the others may: staves stand alike.
            let most = (STRETCH - 1.0) * line_gap;
            size.gap.stretch = (STRETCH * nearest - parted).clamp(0.0, most);
        }
        sizes
    }

    /// A staff space in points.
    fn space(&self, music: &Music) -> f64 {
        music.staff.0 / 4.0 * POINTS
    }

    fn systems(&mut self, place: &str, music: &Music, systems: &[System], sizes: &[Size]) {
        let count = systems.len();
        let mut blocks = Array::new();
        for (i, (system, size)) in systems.iter().zip(sizes).enumerate() {
            let space = self.space(music) * self.fitting(&system.line.drawing, self.space(music));
            let gap = self.gap(size.gap);
            let plate = self.plate(place, &system.line.drawing, space);
            // No system is left alone at the foot of a page or at the head of
            // the next, where there are enough to go with it.
            let sticky = i + 1 < count && (i == 0 || i + 2 == count);
            blocks.push(
                dict! {
                    "plate" => plate,
                    "gap" => gap,
                    "sticky" => sticky,
                }
                .into_value(),
            );
            let head = if i == 0 { self.head.take() } else { None };
            let role = Role::System { index: i, head, music: self.musics.len() };
            let (first, last) = system.line.drawing.staves_or_edges();
            let above = system.line.drawing.above;
            let down = |y: StaffSpaces| (above.0 - y.0) * space;
            self.figure(role, size.height, Some((down(first), down(last))));
        }
        self.put("systems", dict! { "systems" => blocks });
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
        let plate = match self.plates {
            Plates::Blank => Plate::blank(drawing, space),
            Plates::Inked => Plate::new(drawing, space, self.lang),
        };
        plate.into_figure(&words)
    }

    pub(super) fn figure(&mut self, role: Role, height: f64, staves: Option<(f64, f64)>) {
        let (first_gap, end_gap) = (self.claimed, self.gaps.len());
        let (begin, words_before) = (self.begin, self.words);
        self.figures.push(Figure { first_gap, end_gap, begin, words_before, role, height, staves });
        self.claimed = end_gap;
        (self.begin, self.words) = (Begin::Below, false);
    }

    /// How much larger a drawing could be within the type area; 1 or more
    /// where it fits.
    fn fits(&self, drawing: &Drawing, space: f64) -> f64 {
        let paper = &self.document.paper;
        let wide = paper.type_width().0 * POINTS / (drawing.width.0 * space);
        let high = paper.type_height().0 * POINTS / (drawing.height().0 * space);
        let by = wide.min(high);
        // A hair too wide is the engraver's rounding.
        if by.is_nan() || by >= 0.9995 { 1.0 } else { by }
    }

    /// The scale at which a drawing fits: 1 as a rule.
    pub(super) fn fitting(&self, drawing: &Drawing, space: f64) -> f64 {
        let by = self.fits(drawing, space);
        if by < 1.0 { by * 0.9999 } else { 1.0 }
    }

    /// Reports a drawing that must be made smaller.
    pub(super) fn report(&mut self, place: &str, index: usize, drawing: &Drawing, space: f64) {
        let by = self.fits(drawing, space);
        if by < 1.0 {
            self.faults.push(Fault::Scaled { place: place.to_owned(), index: index + 1, by });
        }
    }
}
