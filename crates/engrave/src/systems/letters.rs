//! Dynamics and words on a line.

use apoyando_music::Moment;

use super::line::{Line, OFF_BARLINE};
use crate::drawing::{Face, Ink, Kind, Owner, Point, Stain};
use crate::font::{self, Glyph};
use crate::geometry::Stage;
use crate::place::ink;

/// What is written.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Script {
    /// A dynamic.
    Dynamic(&'static Glyph),
    /// Words in italics whose em is so large.
    Words(String, f64),
}

/// A dynamic or words on a line.
#[derive(Clone, Debug)]
pub(super) struct Letters {
    pub at: Moment,
    pub script: Script,
    /// Left side of its ink.
    pub left: f64,
    pub owner: Owner,
}

impl Letters {
    pub(super) fn width(&self) -> f64 {
        match &self.script {
            Script::Dynamic(glyph) => glyph.width(),
            Script::Words(words, size) => font::text_width(Face::Italic, *size, words),
        }
    }

    pub(super) fn right(&self) -> f64 {
        self.left + self.width()
    }

    /// How far it reaches above its baseline.
    pub(super) fn rise(&self) -> f64 {
        match &self.script {
            Script::Dynamic(glyph) => glyph.high,
            // Ascenders are a little taller than capitals.
            Script::Words(_, size) => 1.1 * font::text_ascent(Face::Italic, *size).0,
        }
    }

    /// How far it reaches below its baseline.
    pub(super) fn fall(&self) -> f64 {
        match &self.script {
            Script::Dynamic(glyph) => -glyph.low,
            Script::Words(_, size) => font::text_ascent(Face::Italic, *size).1,
        }
    }

    /// Puts it on a baseline; a barline between staves that it meets is interrupted.
    pub(super) fn put(&self, stage: &mut Stage, line: &Line<'_>, baseline: f64) {
        let owner = self.owner;
        if line.meets_joint(self.left, self.right()) {
            let low = Point::new(self.left - OFF_BARLINE, baseline - self.fall());
            let high = Point::new(self.right() + OFF_BARLINE, baseline + self.rise());
            stage.add(Stain { ink: Ink::Halo { low, high }, kind: Kind::Halo, owner });
        }
        stage.add(match &self.script {
            Script::Dynamic(glyph) => {
                let x = self.left - glyph.left;
                ink::glyph(glyph, 1.0, x, baseline, Kind::Dynamic, owner)
            }
            Script::Words(words, size) => {
                let at = (self.left, baseline);
                ink::text(words, Face::Italic, *size, at, Kind::Expression, owner)
            }
        });
    }
}
