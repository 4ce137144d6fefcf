//! Proofs: the pages of a book that is being changed. A take that did not
//! change is not set again.

use std::sync::Arc;

use rayon::prelude::*;
use typst::comemo;
use typst::ecow::EcoVec;
use typst_layout::Page;
use typst_library::layout::{Frame, FrameItem, GroupItem};
use typst_utils::hash128;

use crate::cast::{Chosen, Galley, Plan, left};
use crate::document::{Document, Section};
use crate::error::{Fault, PressError};
use crate::forme::{Entry, Plates, forme};
use crate::galleys::{Known, galleys};
use crate::lean::lean;
use crate::pages::{WAYS, picture};
use crate::standing::{Standing, standing};
use crate::steps::UNWATCHED;
use crate::take::Take;
use crate::typesetter::{As, Proof, figures, listed_heads, typeset};
use crate::words::Setter;

/// For how many settings the typesetter remembers what it did not need.
const REMEMBERED: usize = 4;

/// The pages of a book in a program that goes on running. They are those that
/// [`set`](crate::set) makes, without what a PDF needs besides.
#[derive(Clone, Default)]
pub struct Proofs {
    /// The document set last, without its sections.
    book: Option<Document>,
    takes: Vec<Kept>,
    /// Takes that were before, the last first.
    aside: Vec<Kept>,
    /// Takes that may come.
    expected: Vec<Kept>,
}

/// So many takes that were before are kept.
const ASIDE: usize = 4;

/// So many takes are expected.
const EXPECTED: usize = 12;

/// How many settings of a take are kept: two for each way it may be tried in, where it may have
/// been taken to begin on another page.
const SETTINGS: usize = 6;

/// How often the contents are set again where they turn out longer or shorter
/// than thought.
const ROUNDS: usize = 4;

/// A take and what came of it.
#[derive(Clone)]
struct Kept {
    take: Take,
    sections: Arc<[Section]>,
    galley: Arc<Galley>,
    /// Its settings; the last is the one that counts.
    settings: Vec<Arc<Setting>>,
}

/// A take as it was set.
struct Setting {
    chosen: Option<Chosen>,
    proof: Proof,
    pages: EcoVec<Page>,
    /// The pages of its heads that are in the contents.
    heads: Vec<usize>,
    faults: Vec<Fault>,
    /// Its systems; music is counted from its own first.
    standing: Vec<Standing>,
    /// How much music it has.
    musics: usize,
    /// Whether it came out as planned.
    kept: bool,
}

impl Proofs {
    /// Sets a document; afterwards the pages are those of it. Tells which of
    /// them, from 1, do not look as the page of that number did before.
    ///
    /// # Errors
    /// As [`set`](crate::set); the pages are then none.
    pub fn set(&mut self, mut document: Document) -> Result<Vec<usize>, PressError> {
        let before: Vec<Page> = self.pages().cloned().collect();
        let sections = std::mem::take(&mut document.sections);
        if self.book.as_ref() != Some(&document) {
            self.takes.clear();
            self.aside.clear();
            self.expected.clear();
        }
        self.book = Some(document.clone());
        document.sections = sections;
        let composed = self.compose(&document);
        // Nobody waits for it. What is only expected counts, too: else memory would grow with
        // every card that is read.
        rayon::spawn(|| comemo::evict(REMEMBERED));
        if composed.is_err() {
            self.takes.clear();
        }
        composed?;
        let same = |(index, page): &(usize, &Page)| {
            before.get(*index).is_some_and(|before| {
                hash128(&before.frame) == hash128(&page.frame)
                    || (before.frame.size(), look(&before.frame))
                        == (page.frame.size(), look(&page.frame))
            })
        };
        let changed = self.pages().enumerate().filter(|page| !same(page));
        Ok(changed.map(|(index, _)| index + 1).collect())
    }

    /// Has at hand the takes that `ahead` has otherwise, the proofs of what the document may
    /// become: they are not set again when it comes. What only begins on another page is.
    pub fn expect(&mut self, ahead: Self) {
        let is_new = |kept: &Kept| {
            let mut known = self.takes.iter().chain(&self.aside);
            !known.any(|it| Arc::ptr_eq(&it.galley, &kept.galley))
        };
        if self.book == ahead.book {
            let new: Vec<Kept> = ahead.takes.into_iter().filter(is_new).collect();
            self.expected.extend(new);
            self.expected.truncate(EXPECTED);
        }
    }

    /// Expects nothing any more.
    pub fn expect_nothing(&mut self) {
        self.expected.clear();
    }

    /// How many pages there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.pages().count()
    }

    /// What the reader should not be the first to notice.
    #[must_use]
    pub fn faults(&self) -> Vec<Fault> {
        self.settings().flat_map(|set| &set.faults).cloned().collect()
    }

    /// A picture of a page, from 1, at so many dots per inch.
    ///
    /// # Errors
    /// No such page; a resolution below 10 or above 1200.
    pub fn png(&self, page: usize, dpi: f64) -> Result<Vec<u8>, PressError> {
        picture(self.pages(), page, dpi)
    }

    /// A page, from 1.
    ///
    /// # Errors
    /// No such page.
    pub fn leaf(&self, page: usize) -> Result<Leaf, PressError> {
        let found = page.checked_sub(1).and_then(|index| self.pages().nth(index));
        found.cloned().map(Leaf).ok_or_else(|| PressError::NoSuchPage { page, pages: self.count() })
    }

    /// The systems of music on the pages, in reading order.
    #[must_use]
    pub fn standing(&self) -> Vec<Standing> {
        let mut before = 0;
        let mut all = Vec::new();
        for set in self.settings() {
            let own = set.standing.iter().copied();
            all.extend(own.map(|it| Standing { music: before + it.music, ..it }));
            before += set.musics;
        }
        all
    }

    fn settings(&self) -> impl Iterator<Item = &Setting> {
        self.takes.iter().filter_map(|kept| kept.settings.last().map(Arc::as_ref))
    }

    fn pages(&self) -> impl Iterator<Item = &Page> {
        self.settings().flat_map(|set| &set.pages)
    }

    fn compose(&mut self, document: &Document) -> Result<(), PressError> {
        let [before, aside, expected] =
            [&mut self.takes, &mut self.aside, &mut self.expected].map(std::mem::take);
        (self.takes, self.aside) = measured(document, before, (aside, expected))?;
        let galleys: Vec<_> = self.takes.iter().map(|kept| Arc::clone(&kept.galley)).collect();
        for choose in WAYS {
            let chosen: Vec<Option<Chosen>> = choose(&galleys).into_iter().map(Some).collect();
            self.set_takes(document, &chosen)?;
            if self.settings().all(|set| set.kept) {
                return Ok(());
            }
        }
        self.set_takes(document, &vec![None; galleys.len()])
    }

    /// Sets every take as chosen, or as it falls.
    fn set_takes(
        &mut self,
        document: &Document,
        chosen: &[Option<Chosen>],
    ) -> Result<(), PressError> {
        let front = self.takes.iter().take_while(|kept| kept.take.front).count();
        let listed: Vec<Entry> =
            self.takes.first().map(|kept| kept.galley.listed.clone()).unwrap_or_default();
        // As the front was measured; it is set again if it comes out otherwise.
        let (mut length, mut heads) = match self.takes.first() {
            Some(kept) if front > 0 => (kept.galley.pages, kept.galley.listed_heads.clone()),
            _ => (0, Vec::new()),
        };
        // The second time those that were longer or shorter than thought, and what follows them.
        for _ in 0..2 {
            self.set_side_by_side(document, chosen, front, length)?;
        }
        for _ in 0..ROUNDS {
            let mut next = length + 1;
            for (kept, chosen) in self.takes[front..].iter_mut().zip(&chosen[front..]) {
                let proof = beginning(document, &kept.take, next);
                kept.set(document, chosen, proof)?;
                next += kept.settings.last().map_or(0, |set| set.pages.len());
            }
            if front == 0 {
                break;
            }
            let (contents, rest) = self.takes.split_at_mut(front);
            let pages = heads.iter().copied();
            let others = rest.iter().filter_map(|kept| kept.settings.last());
            let pages = pages.chain(others.flat_map(|set| set.heads.iter().copied()));
            let proof = Proof {
                page: 1,
                running: String::new(),
                contents: listed.iter().cloned().zip(pages).collect(),
            };
            contents[0].set(document, &chosen[0], proof)?;
            let Some(set) = contents[0].settings.last() else { break };
            if (set.pages.len(), &set.heads) == (length, &heads) {
                break;
            }
            (length, heads) = (set.pages.len(), set.heads.clone());
        }
        Ok(())
    }

    /// Sets the takes after the front side by side, each on the page on which it will begin if
    /// those before it are as long as they were, or as they are planned: if they are not, it is
    /// set once more when that is known.
    fn set_side_by_side(
        &mut self,
        document: &Document,
        chosen: &[Option<Chosen>],
        front: usize,
        length: usize,
    ) -> Result<(), PressError> {
        let mut next = length + 1;
        let takes = self.takes[front..].iter_mut().zip(&chosen[front..]);
        let begun: Vec<_> = takes
            .map(|(kept, chosen)| {
                let page = next;
                let blank = usize::from(kept.take.recto && page.is_multiple_of(2));
                let own = kept.settings.iter().rfind(|set| set.chosen == *chosen);
                next += match own.or(kept.settings.last()) {
                    Some(set) => set.pages.len(),
                    None => {
                        let chosen = chosen.as_ref();
                        blank + chosen.map_or(kept.galley.pages, |it| it.pages(&kept.galley))
                    }
                };
                (kept, chosen, page)
            })
            .collect();
        begun.into_par_iter().try_for_each(|(kept, chosen, page)| {
            let proof = beginning(document, &kept.take, page);
            kept.set(document, chosen, proof)
        })
    }
}

/// One page of the proofs, by itself.
pub struct Leaf(Page);

impl Leaf {
    /// As SVG with points as its unit: what is printed, with letters as outlines, on no ground.
    #[must_use]
    pub fn svg(&self) -> String {
        lean(typst_svg::svg(&self.0, &typst_svg::SvgOptions::default()))
    }
}

/// A hash of what is seen of a frame: without the tags and links in it, which tell of
/// other places in the book.
fn look(frame: &Frame) -> u128 {
    let seen = frame.items().map(|(at, item)| match item {
        FrameItem::Tag(_) | FrameItem::Link(..) => 0,
        FrameItem::Group(group) => {
            let GroupItem { frame, transform, clip, .. } = group;
            hash128(&(at, look(frame), transform, clip))
        }
        item => hash128(&(at, item)),
    });
    let seen: Vec<u128> = seen.filter(|hash| *hash != 0).collect();
    hash128(&seen)
}

impl Kept {
    /// Sets it, if it was not set in this way before.
    fn set(
        &mut self,
        document: &Document,
        chosen: &Option<Chosen>,
        proof: Proof,
    ) -> Result<(), PressError> {
        let same = |set: &Arc<Setting>| set.proof == proof && set.chosen == *chosen;
        let setting = match self.settings.iter().position(same) {
            Some(at) => self.settings.remove(at),
            None => Arc::new(self.setting(document, chosen.clone(), proof)?),
        };
        self.settings.push(setting);
        if self.settings.len() > SETTINGS {
            self.settings.remove(0);
        }
        Ok(())
    }

    fn setting(
        &self,
        document: &Document,
        chosen: Option<Chosen>,
        proof: Proof,
    ) -> Result<Setting, PressError> {
        let padding = usize::from(proof.padded());
        let as_it_falls = || left(std::slice::from_ref(&self.galley)).swap_remove(0);
        let castings = chosen.clone().unwrap_or_else(as_it_falls).castings;
        let forme = forme(document, &self.take, &castings, Plates::Inked)?;
        let plan = match &chosen {
            Some(chosen) => Plan::of(std::slice::from_ref(chosen), &forme, self.galley.height()),
            None => Plan::natural(&forme.gaps),
        };
        let how = As::Proof(proof);
        let set = typeset(&forme, &plan, &how)?;
        let places = figures(&set);
        let kept = chosen.is_none() || plan.kept(&places);
        let As::Proof(proof) = how else { unreachable!("made above") };
        let heads = listed_heads(&set).into_iter().map(|page| page + proof.page - padding);
        let standing = standing(document, &forme, &places, padding, proof.page);
        Ok(Setting {
            heads: heads.collect(),
            pages: set.pages().iter().skip(padding).cloned().collect(),
            chosen,
            proof,
            standing,
            musics: forme.musics.len(),
            faults: forme.faults,
            kept,
        })
    }
}

/// What a take after the front must know of the book, if it begins on a page.
fn beginning(document: &Document, take: &Take, page: usize) -> Proof {
    Proof { page, running: running(document, take), contents: Vec::new() }
}

/// What the running head says at the beginning of a take: nothing where a
/// section opens it that has a heading, unless a page of blank staves comes before that.
fn running(document: &Document, take: &Take) -> String {
    let headed = |section: &Section| {
        section.heading.as_deref().filter(|heading| !heading.trim().is_empty()).map(str::to_owned)
    };
    let (before, own) = document.sections.split_at(take.sections.start);
    if !take.recto && own.first().is_some_and(|section| headed(section).is_some()) {
        return String::new();
    }
    let heading = before.iter().rev().find_map(headed).unwrap_or_default();
    Setter::default().running("", &heading)
}

/// The takes of a document, measured; those that were before, were aside or are expected and did
/// not change are not measured again. With what is aside now.
fn measured(
    document: &Document,
    before: Vec<Kept>,
    (aside, expected): (Vec<Kept>, Vec<Kept>),
) -> Result<(Vec<Kept>, Vec<Kept>), PressError> {
    let were = before.len() + aside.len();
    let all = before.into_iter().chain(aside).chain(expected);
    let mut before: Vec<Option<Kept>> = all.map(Some).collect();
    let takes = Take::all(document).into_iter().enumerate();
    let found: Vec<(Take, Option<Kept>)> = takes
        .map(|(index, take)| {
            let sections = &document.sections[take.sections.clone()];
            let same = |kept: &Kept| {
                (kept.take.front, kept.take.recto) == (take.front, take.recto)
                    && *kept.sections == *sections
            };
            // Where it was, or elsewhere.
            let mut places = std::iter::once(index).chain(0..before.len());
            let place =
                places.find(|at| before.get(*at).and_then(Option::as_ref).is_some_and(same));
            let kept = place.and_then(|at| before[at].take());
            (take, kept)
        })
        .collect();
    // What stood in its place before, if it is nowhere now.
    let known = |(index, (take, kept)): (usize, &(Take, Option<Kept>))| {
        let there = before.get(index).and_then(Option::as_ref);
        let known = match (kept, there) {
            (Some(kept), _) => Known::Same(Arc::clone(&kept.galley)),
            (None, Some(before)) => Known::Before(Arc::clone(&before.galley)),
            (None, None) => Known::Nothing,
        };
        (take.clone(), known)
    };
    let takes = found.iter().enumerate().map(known);
    let galleys = galleys(document, takes.collect(), UNWATCHED)?;
    let kept = found.into_iter().zip(galleys).map(|((take, kept), galley)| match kept {
        Some(kept) if Arc::ptr_eq(&kept.galley, &galley) => Kept { take, ..kept },
        _ => {
            let sections = document.sections[take.sections.clone()].into();
            Kept { take, sections, galley, settings: Vec::new() }
        }
    });
    let kept = kept.collect();
    Ok((kept, before.into_iter().take(were).flatten().take(ASIDE).collect()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::Paper;

    #[test]
    fn what_was_expected_or_was_before_is_not_set_again() {
        let document = |headings: [&str; 2]| {
            let section =
                |heading: &str| Section { heading: Some(heading.to_owned()), ..Section::default() };
            Document {
                sections: headings.into_iter().map(section).collect(),
                ..Document::new("T", Paper::A4)
            }
        };
        let (now, then) = (document(["One", "Two"]), document(["One", "Three"]));
        let last =
            |proofs: &Proofs| Arc::clone(proofs.takes.last().unwrap().settings.last().unwrap());
        let mut proofs = Proofs::default();
        proofs.set(now.clone()).unwrap();
        let before = last(&proofs);
        let mut ahead = proofs.clone();
        ahead.set(then.clone()).unwrap();
        let expected = last(&ahead);
        assert!(!Arc::ptr_eq(&before, &expected));
        proofs.expect(ahead);
        proofs.set(then).unwrap();
        assert!(Arc::ptr_eq(&last(&proofs), &expected));
        proofs.set(now).unwrap();
        assert!(Arc::ptr_eq(&last(&proofs), &before));
    }
}
