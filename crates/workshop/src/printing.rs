//! A book in one of its editions: what of an item is printed in it, and how.

use std::borrow::Cow;

use apoyando_book::{self as book, Book, Edition};
use apoyando_engrave::{
    Engraving, Fretting, Parts, Print, Sheet, Stopping, Style, System, Tablature,
};
use apoyando_fretboard::Millimetres;
use apoyando_marks::{Caption, Marks};
use apoyando_music::{PartIndex, Score};

use crate::item::BuiltItem;
use crate::memo::content_hash;
use crate::piece::FingeredPart;

/// A book in one of its editions, on lines of a certain length.
#[derive(Clone, Copy, Debug)]
pub struct Printing<'a> {
    /// The book.
    pub book: &'a Book,
    /// The edition.
    pub edition: &'a Edition,
    /// Length of a line of music.
    pub line: Millimetres,
}

impl Printing<'_> {
    /// How its music is set.
    #[must_use]
    pub fn style(&self) -> Style {
        let edition = self.edition;
        Style {
            tablature: match edition.tablature {
                book::Tablature::None => Tablature::None,
                book::Tablature::Under => Tablature::Under,
                book::Tablature::Alone => Tablature::Alone,
            },
            print: if edition.large_print { Print::Large } else { Print::Usual },
            stopping: if edition.left_handed { Stopping::RightHand } else { Stopping::LeftHand },
            // A duet is the student's page. In large print nothing is small.
            parts: if edition.large_print { Parts::Alike } else { Parts::FirstLarge },
            ..Style::on_paper(self.line, edition.staff_height)
        }
    }

    /// The part of a score that is printed alone, if one is.
    #[must_use]
    pub fn alone(&self, score: &Score) -> Option<PartIndex> {
        let part = self.edition.parts.alone()?;
        (score.parts().len() > 1 && usize::from(part) < score.parts().len())
            .then_some(PartIndex(part))
    }

    /// Every line of music that an item could have, by which those it has are judged: where the
    /// author breaks lines, none goes on.
    #[must_use]
    pub fn every_line(&self, item: &BuiltItem) -> Vec<System> {
        let printed = self.printed(&item.score, &item.parts, &item.marks, &item.captions);
        let mut lines = apoyando_engrave::every_line(&printed.sheet(), &self.style());
        let goes_on = |line: &System, at: u32| line.bars.start < at && at < line.bars.end;
        lines.retain(|line| !item.line_breaks.iter().any(|at| goes_on(line, *at)));
        lines
    }

    /// What is printed of a score.
    pub(crate) fn printed<'s>(
        &self,
        score: &'s Score,
        parts: &[FingeredPart],
        marks: &'s [Marks],
        captions: &'s [Caption],
    ) -> Printed<'s> {
        // Without tablature too: pages are turned where open strings ring.
        let fingerings = parts.iter().filter_map(|part| part.fingering.as_ref());
        let instrument = &self.book.instrument;
        let frettings = fingerings.map(|fingering| Fretting::of(score, fingering, instrument));
        let Some(part) = self.alone(score) else {
            return Printed {
                score: Cow::Borrowed(score),
                marks: Cow::Borrowed(marks),
                captions: Cow::Borrowed(captions),
                frettings: frettings.collect(),
            };
        };
        let of = |other: PartIndex| other == part;
        let captions = captions.iter().filter(|caption| of(caption.part));
        Printed {
            score: Cow::Owned(score.part_alone(part)),
            marks: marks.iter().filter(|m| of(m.part)).map(|m| m.alone(score)).collect(),
            captions: captions.map(|c| Caption { part: PartIndex(0), ..c.clone() }).collect(),
            frettings: frettings.filter(|f| of(f.part)).map(|f| f.alone(score)).collect(),
        }
    }
}

/// What is printed of an item: the whole score, or a part of it alone.
pub(crate) struct Printed<'s> {
    pub score: Cow<'s, Score>,
    pub marks: Cow<'s, [Marks]>,
    pub captions: Cow<'s, [Caption]>,
    pub frettings: Vec<Fretting>,
}

impl Printed<'_> {
    /// Hash of everything its engraving depends on.
    pub fn key(&self, style: &Style, begins: &[u32]) -> u128 {
        let revision = self.score.revision();
        content_hash((revision, &self.marks, &self.captions, &self.frettings, begins), style)
    }

    fn sheet(&self) -> Sheet<'_> {
        Sheet {
            score: &self.score,
            marks: &self.marks,
            captions: &self.captions,
            frettings: &self.frettings,
        }
    }

    /// Its engraving; these bars begin a line.
    pub fn engrave(&self, style: &Style, begins: &[u32]) -> Engraving {
        apoyando_engrave::engrave_for_pages(&self.sheet(), style, begins)
    }
}
