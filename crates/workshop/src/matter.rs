//! What every book says of itself: playing without strain, how to read its
//! signs, credits and rights.

use apoyando_book::{Book, Credit, Edition};
use apoyando_method::Verdict;

use crate::plan::{Block, PlannedSection, SectionKind};
use crate::signs::Signs;
use crate::words;

/// Usual cautions, in our own words. Common practice, no source; they take the
/// place of no teacher and no medical advice.
const STRAIN: &str = "\
Playing should never hurt. Warm up for a few minutes with something slow and
easy before anything that stretches or repeats.

Sit so that the shoulders hang loose and the wrists stay nearly straight. Press
a string only as hard as it needs to sound, close behind the fret, and let the
thumb rest lightly against the neck.

Take a few minutes away from the guitar at least every half hour, sooner after
barres and wide stretches. Shorter and more often is better than long.";

/// What must not be overlooked of it: framed.
const STOP: &str = "\
**If anything hurts, goes numb or tingles, stop.** Do not play through it. Show
a teacher what you were doing, and see a medical professional if it does not
pass.";

const HANDS: &str = "\
Hands differ. What is too wide or too strong for yours may be left out, played
higher on the neck, or put off until it is easy.";

/// Before the signs.
const SIGNS: &str = "These are the signs that stand in this book, and what they ask of you.";

/// So many titles of one source are each kept on a line of the credits.
const FEW_TITLES: usize = 40;

const RIGHTS: &str = "\
A composition may be free to use while an edition or an arrangement of it is
not, and the terms differ from country to country. Sources are named with the
pieces as far as they are known; before copying or selling anything, look up
the law where you live.";

fn prose(kind: SectionKind, heading: &str, text: &str) -> PlannedSection {
    PlannedSection {
        kind,
        heading: heading.to_owned(),
        line: String::new(),
        advice: String::new(),
        news: Vec::new(),
        map: None,
        blocks: vec![Block::Prose(text.to_owned())],
    }
}

/// The heading that a preface begins with, and the rest. A part without one goes on from
/// the part before.
fn headed(text: &str) -> (&str, &str) {
    let (first, rest) = text.trim_start().split_once('\n').unwrap_or((text.trim(), ""));
    match first.trim_end().strip_prefix("# ") {
        Some(heading) => (heading.trim(), rest),
        None => ("", text),
    }
}

/// How to play without strain: the same words wherever they stand.
pub fn strain() -> PlannedSection {
    let mut strain = prose(SectionKind::Front, "Playing without strain", STRAIN);
    strain.blocks.push(Block::Caution { title: String::new(), text: STOP.to_owned() });
    strain.blocks.push(Block::Prose(HANDS.to_owned()));
    strain
}

/// What stands before the lessons.
pub fn front(book: &Book, edition: &Edition, signs: Signs) -> Vec<PlannedSection> {
    let mut sections: Vec<PlannedSection> = Vec::new();
    for part in &book.preface {
        let (heading, text) = headed(&part.text);
        match sections.last_mut() {
            Some(PlannedSection { blocks, .. }) if heading.is_empty() => {
                blocks.push(Block::Prose(text.to_owned()));
            }
            _ => sections.push(prose(SectionKind::Preface, heading, text)),
        }
    }
    sections.push(strain());
    let mut read = prose(SectionKind::Front, "How to read the signs", SIGNS);
    read.blocks.push(Block::Signs(signs.read(edition)));
    sections.push(read);
    sections
}

/// Before the shapes that exercises leave out.
const LEFT_OUT: &str = "An exercise prints the shapes that its position and its level hold. \
These belong to it too. Below each stands its inversion,";
/// What keeps them out: that they lie elsewhere, or the level too.
const ELSEWHERE: &str = "and beside it the position in which it lies.";
const NOT_YET: &str =
    "beside it the position in which it lies, or below it what is not asked for yet.";

/// What stands after the lessons: what exercises leave out.
pub fn back(left_out: Vec<Block>) -> Option<PlannedSection> {
    if left_out.is_empty() {
        return None;
    }
    let all_lie_elsewhere = left_out.iter().all(|block| match block {
        Block::LeftOut { shapes, .. } => {
            shapes.iter().all(|listed| matches!(listed.verdict, Verdict::Elsewhere(_)))
        }
        _ => true,
    });
    let why = if all_lie_elsewhere { ELSEWHERE } else { NOT_YET };
    let mut section = prose(SectionKind::Back, "Shapes left out", &format!("{LEFT_OUT} {why}"));
    section.blocks.extend(left_out);
    Some(section)
}

/// The back of the title page: what the author says of the rights of the book, the credits of the plan and of the
/// pieces, and that others have rights. What is owed to the same source stands together.
pub fn verso(book: &Book, pieces: &[Credit]) -> PlannedSection {
    let mut owed: Vec<(&str, Vec<&str>)> = Vec::new();
    for Credit { what, who } in book.credits.iter().chain(pieces) {
        match owed.iter_mut().find(|(other, _)| other == who) {
            Some((_, all)) if all.contains(&what.as_str()) => {}
            Some((_, all)) => all.push(what),
            None => owed.push((who, vec![what])),
        }
    }
    // Of a few titles none is divided.
    let few = |all: &[&str]| (2..=FEW_TITLES).contains(&all.len());
    let whole = |what: &&str| what.replace(' ', "\u{a0}");
    let credit = |(who, all): &(&str, Vec<&str>)| Credit {
        what: match all.as_slice() {
            all if few(all) => all.iter().map(whole).collect::<Vec<_>>().join(", "),
            all => all.join(", "),
        },
        who: (*who).to_owned(),
    };
    let credits: Vec<Credit> = owed.iter().map(credit).collect();
    let mut section = prose(SectionKind::Verso, "Credits and rights", RIGHTS);
    if !credits.is_empty() {
        section.blocks.insert(0, Block::Credits(credits));
    }
    if !book.rights.is_empty() {
        section.blocks.insert(0, Block::Prose(words::plain(&book.rights)));
    }
    section
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_preface_has_the_heading_it_begins_with() {
        assert_eq!(headed("\n# To the student\n\nBehind"), ("To the student", "\nBehind"));
        assert_eq!(headed("## Lower\nwords"), ("", "## Lower\nwords"));
        assert_eq!(headed("words\n# later"), ("", "words\n# later"));
        assert_eq!(headed("# Alone"), ("Alone", ""));
    }
}
