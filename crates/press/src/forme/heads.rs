//! Exercises and pieces: a head, the words below it, and its music.

use typst_library::foundations::{Content, dict};
use typst_library::text::TextElem;

use super::{Entry, Gap, Head, LONG_INSTRUCTION, Maker, POINTS};
use crate::document::{Exercise, Piece};
use crate::error::PressError;
use crate::words::{short, titled};

/// Space above the head of an exercise and of a piece, in mm; it grows with the text.
const ABOVE_HEAD: f64 = 9.0;
/// Heads part more than systems do: the space above them grows by so much of itself, and
/// shrinks by so much.
const HEAD_STRETCH: f64 = 0.8;
const HEAD_SHRINK: f64 = 0.15;

/// How deep heads may stand that are printed in the contents.
pub const CONTENTS_DEPTH: usize = 2;

impl Maker<'_> {
    pub(super) fn exercise(&mut self, exercise: &Exercise, under: usize) -> Result<(), PressError> {
        let place = format!("exercise {}", short(&exercise.number, 20));
        let number = self.setter.line(&place, &exercise.number);
        let words = self.setter.line(&place, &exercise.title);
        let space = TextElem::packed('\u{2002}');
        let heading = Content::sequence([number.clone(), space, words.clone()]);
        let level = self.level(under + 1, Some(number), words);
        let gap = self.head(ABOVE_HEAD * POINTS, false);
        self.put("exercise", dict! { "heading" => heading, "level" => level, "gap" => gap });
        self.practice(&place, &exercise.practice);
        self.instruction(&place, &exercise.instruction, under + 1);
        if let Some(row) = &exercise.diagrams {
            self.diagrams(&place, row, true)?;
        }
        self.music(&place, &exercise.music)?;
        self.headed();
        for block in &exercise.after {
            self.block(&place, block, under + 1)?;
        }
        Ok(())
    }

    pub(super) fn piece(&mut self, piece: &Piece, under: usize) -> Result<(), PressError> {
        let title = titled(&piece.title);
        let place = format!("piece “{}”", short(title, 60));
        let heading = self.setter.line(&place, title);
        let level = self.level(under + 1, None, heading.clone());
        let gap = self.head(1.4 * ABOVE_HEAD * POINTS, true);
        let source = self.optional(&place, piece.source.as_deref());
        let tuning = self.optional(&place, piece.tuning.as_deref());
        let composer = self.optional(&place, piece.composer.as_deref());
        self.put(
            "piece",
            dict! {
                "heading" => heading,
                "level" => level,
                "gap" => gap,
                "source" => source,
                "tuning" => tuning,
                "composer" => composer,
            },
        );
        self.practice(&place, &piece.practice);
        self.instruction(&place, &piece.instruction, under + 1);
        self.music(&place, &piece.music)?;
        self.headed();
        Ok(())
    }

    pub(super) fn instruction(&mut self, place: &str, source: &str, under: usize) {
        if let Some(body) = self.prose(place, source, under) {
            let together = source.chars().count() <= LONG_INSTRUCTION;
            self.put("instruction", dict! { "body" => body, "together" => together });
        }
    }

    /// The level of a head, which comes into the contents if that is not deep.
    fn level(&mut self, wanted: usize, number: Option<Content>, words: Content) -> i64 {
        let level = self.setter.level(wanted).get();
        if level <= CONTENTS_DEPTH {
            self.entries.push(Entry { number, words, deep: level > 1 });
        }
        level as i64
    }

    /// A head that waits for its music, with the gap above it.
    fn head(&mut self, height: f64, piece: bool) -> i64 {
        let height = height * self.text_scale();
        let (stretch, shrink) = (HEAD_STRETCH * height, HEAD_SHRINK * height);
        let gap = self.gap(Gap { height, stretch, shrink, new_page: false });
        self.head = Some(Head { ordinal: self.heads, gap: gap as usize, piece });
        self.heads += 1;
        gap
    }

    /// Ends an exercise or a piece: a head without music is but words.
    fn headed(&mut self) {
        self.words |= self.head.take().is_some();
    }
}
