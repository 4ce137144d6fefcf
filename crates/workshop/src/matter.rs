//! What every book says of itself: playing without strain, how to read the
//! signs, credits and rights.

use apoyando_book::{Book, Credit, Edition, Tablature};

use crate::plan::{Block, PlannedSection, SectionKind};

/// Usual cautions, in our own words. Common practice, no source; they take the
/// place of no teacher and no medical advice.
const STRAIN: &str = "\
Playing should never hurt. Warm up for a few minutes with something slow and
easy before anything that stretches or repeats.

Sit so that the shoulders hang loose and the wrists stay nearly straight. Press
a string only as hard as it needs to sound, close behind the fret, and let the
thumb rest lightly against the neck.

Take a few minutes away from the guitar at least every half hour, sooner after
barres and wide stretches. Shorter and more often is better than long.

**If anything hurts, goes numb or tingles, stop.** Do not play through it. Show
a teacher what you were doing, and see a medical professional if it does not
pass.

Hands differ. A stretch or a barre that is marked in this book may be left out,
played higher on the neck, or put off until it is easy.";

/// What the printed signs mean, beginning with those of the hands. Common
/// practice, no source.
const DIGITS: &str = "\
- **0 1 2 3 4** beside a note: the left-hand finger, from the index (1) to the
  little finger (4); 0 is an open string. A short dash before a digit: the same
  finger slides there along its string.
";
const LETTERS: &str = "\
- **p i m a**: the right-hand finger: thumb, index, middle, ring. At a chord with
  more notes than letters p strikes the lowest strings together.
";

/// The same for those who stop the strings with the right hand.
const DIGITS_CHANGED: &str = "\
- **0 1 2 3 4** beside a note: the finger of the hand on the neck, which is your
  right, from the index (1) to the little finger (4); 0 is an open string. A short
  dash before a digit: the same finger slides there along its string.
";
const LETTERS_CHANGED: &str = "\
- **p i m a**: the finger of the hand that plucks, which is your left: thumb, index,
  middle, ring. At a chord with more notes than letters p strikes the lowest strings
  together.
";

/// The digits where only diagrams have them.
const DIGITS_OF_DIAGRAMS: &str = "\
- **1 2 3 4** at diagrams: the left-hand finger, from the index (1) to the little
  finger (4).
";
const DIGITS_OF_DIAGRAMS_CHANGED: &str = "\
- **1 2 3 4** at diagrams: the finger of the hand on the neck, which is your right,
  from the index (1) to the little finger (4).
";

/// Signs that are the same for both, before and after the diagrams.
const CIRCLES: &str = "\
- **① ② ③ ④ ⑤ ⑥**: the string, from the thinnest; a dashed line shows how far
  it holds.
";
const SIGNS: &str = "\
- **I II III …** above the staff: the position, that is the fret where finger 1
  falls. It holds until the next numeral, or as far as its line.
- **C** with a numeral: a barre, finger 1 laid across the strings at that fret;
  ½ or another fraction before it: across some of them; its line shows how long
  it lies.
";

/// The lines under the staff, where they are printed.
const TABLATURE: &str = "\
- The **six lines** under the staff are the strings, the thinnest at the top; a
  number is the fret, 0 an open string. How long it sounds the notes above say.
";

/// The lines alone, with their rhythm; what it is by, `engrave` decides.
const TABLATURE_ALONE: &str = "\
- The **six lines** are the strings, the thinnest at the top; a number is the fret,
  0 an open string, in parentheses where it sounds on and is not struck again.
- The **stems** under the lines are the rhythm; of two voices the upper one has them
  above. Beams, flags and dots are those of notes; a half note has a short stem, a
  whole note none.
";

/// The last of them.
const FRAME: &str = "\
- **I IV V7** under the staff: the degree of the chord in the key, small numerals
  for minor; a 6 beside it for the first inversion, 6 over 4 for the second.
- **Boxes** after tempos: tick one when the exercise goes evenly at that tempo.
- Rows of letters such as **x32010**: one sign for every string from the
  thickest, its fret, 0 for open, x for not played.
";
const OCTAVE: &str = "\
- The small **8** under the clef: the guitar sounds an octave lower than it is
  written.";

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

/// How diagrams are read, by the side on which the thickest string is.
fn diagrams(side: &str) -> String {
    format!(
        "- **Chord diagrams**: strings upright, the thickest on the {side}; the thick line
  is the nut. ○ an open string, × a string that is not played, a dot where a
  finger stops, its digit below.
"
    )
}

/// What the signs of an edition mean.
fn signs(edition: &Edition) -> String {
    let changed = edition.left_handed;
    let thickest = if changed { "right" } else { "left" };
    let letters = if changed { LETTERS_CHANGED } else { LETTERS };
    let diagrams = diagrams(thickest);
    if edition.tablature == Tablature::Alone {
        let digits = if changed { DIGITS_OF_DIAGRAMS_CHANGED } else { DIGITS_OF_DIAGRAMS };
        return format!("{TABLATURE_ALONE}{digits}{letters}{SIGNS}{diagrams}{}", FRAME.trim_end());
    }
    let digits = if changed { DIGITS_CHANGED } else { DIGITS };
    let tablature = if edition.tablature == Tablature::Under { TABLATURE } else { "" };
    format!("{digits}{letters}{CIRCLES}{SIGNS}{diagrams}{tablature}{FRAME}{OCTAVE}")
}

/// What stands before the lessons.
pub fn front(book: &Book, edition: &Edition) -> Vec<PlannedSection> {
    let mut sections = Vec::new();
    if !book.preface.is_empty() {
        sections.push(PlannedSection {
            kind: SectionKind::Front,
            heading: String::new(),
            line: String::new(),
            advice: String::new(),
            news: Vec::new(),
            map: None,
            blocks: book.preface.iter().map(|prose| Block::Prose(prose.text.clone())).collect(),
        });
    }
    sections.push(PlannedSection {
        kind: SectionKind::Front,
        heading: "Playing without strain".to_owned(),
        line: String::new(),
        advice: String::new(),
        news: Vec::new(),
        map: None,
        blocks: vec![Block::Caution { title: String::new(), text: STRAIN.to_owned() }],
    });
    sections.push(prose(SectionKind::Front, "How to read the signs", &signs(edition)));
    sections
}

/// Before the shapes that exercises leave out.
const LEFT_OUT: &str = "An exercise prints the shapes that its position and its level hold. \
These belong to it too; each says why it is not printed yet. After the frets stand \
the fingers, with a dot for a string that none stops.";

/// What stands after the lessons: what exercises leave out, and the credits of the plan
/// and of the pieces.
pub fn back(book: &Book, left_out: Vec<Block>, pieces: &[Credit]) -> Vec<PlannedSection> {
    let mut sections = Vec::new();
    if !left_out.is_empty() {
        let mut section = prose(SectionKind::Back, "Shapes left out", LEFT_OUT);
        section.blocks.extend(left_out);
        sections.push(section);
    }
    let mut credits = book.credits.clone();
    for credit in pieces {
        if !credits.contains(credit) {
            credits.push(credit.clone());
        }
    }
    let mut section = prose(SectionKind::Back, "Credits and rights", RIGHTS);
    if !credits.is_empty() {
        section.blocks.insert(0, Block::Credits(credits));
    }
    sections.push(section);
    sections
}

#[cfg(test)]
mod tests {
    use apoyando_book::{Paper, PrintedParts};
    use apoyando_fretboard::Millimetres;

    use super::*;

    /// What an edition prints is what it explains.
    #[test]
    fn signs_that_are_not_printed_are_not_explained() {
        let said = |tablature, left_handed| {
            signs(&Edition {
                name: String::new(),
                note: String::new(),
                paper: Paper::A4,
                staff_height: Millimetres(7.2),
                tablature,
                large_print: false,
                left_handed,
                parts: PrintedParts::Score,
            })
        };
        for left_handed in [false, true] {
            let [none, under, alone] = [Tablature::None, Tablature::Under, Tablature::Alone]
                .map(|tablature| said(tablature, left_handed));
            let has = |text: &str| [&none, &under, &alone].map(|all| all.contains(text));
            assert_eq!(has("six lines"), [false, true, true]);
            assert_eq!(has("stems"), [false, false, true]);
            assert_eq!(has("beside a note"), [true, true, false]);
            assert_eq!(has("②"), [true, true, false]);
            assert_eq!(has("under the clef"), [true, true, false]);
            for text in ["p i m a", "I II III", "Chord diagrams", "x32010"] {
                assert_eq!(has(text), [true; 3], "{text}");
            }
        }
    }
}
