//! How to read the signs of a book: those that are printed in it, and no others.

use std::collections::BTreeSet;

use apoyando_book::{Edition, Tablature};
use apoyando_fingering::ToneFingering;
use apoyando_marks::{CaptionText, Marks};
use apoyando_music::{KeyNumber, Moment, Note, Tone, Tones};

use crate::item::BuiltItem;
use crate::plan::Block;

/// The signs that not every book has.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Signs {
    slides: bool,
    prepares: bool,
    takes_over: bool,
    strings: bool,
    string_lines: bool,
    positions: bool,
    lines: bool,
    barres: bool,
    diagrams: bool,
    degrees: bool,
    boxes: bool,
    sweeps: bool,
    carried: bool,
    /// Whether notes that a finger stops have no digit, where others have theirs.
    by_position: bool,
    repeats: bool,
    endings: bool,
    ties: bool,
}

/// A sign and how it is read, both in CommonMark.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct ReadSign {
    /// As it looks, and where it stands.
    pub sign: String,
    /// What it means.
    pub meaning: String,
}

impl Signs {
    /// Adds the signs of an item.
    pub fn see(&mut self, built: &BuiltItem, block: &Block) {
        let printed = |part| built.alone.is_none_or(|alone| alone == part);
        for marks in built.marks.iter().filter(|marks| printed(marks.part)) {
            self.slides |= marks.left.iter().flatten().any(|mark| mark.guide);
            self.prepares |= marks.left.iter().flatten().any(|mark| mark.prepares.is_some());
            self.takes_over |= marks.left.iter().flatten().any(|mark| mark.second.is_some());
            self.strings |= !marks.strings.is_empty();
            self.string_lines |= marks.strings.iter().any(|mark| mark.from != mark.to);
            self.positions |= !marks.positions.is_empty();
            self.lines |= marks.positions.iter().any(|mark| mark.line);
            self.barres |= !marks.barres.is_empty();
            self.carried |= is_carried(built, marks);
            self.by_position |= is_by_position(built, marks);
        }
        let bars = built.score.bars();
        self.repeats |= bars.iter().any(|bar| bar.repeat_end.is_some());
        self.endings |= bars.iter().any(|bar| bar.ending.is_some());
        let tied = |note: &Note| note.tied_from.is_some() && printed(note.part);
        self.ties |= built.score.notes().iter().any(tied);
        for caption in built.captions.iter().filter(|caption| printed(caption.part)) {
            self.diagrams |= matches!(caption.text, CaptionText::Diagram(_));
            self.degrees |= matches!(caption.text, CaptionText::Degree(_));
        }
        let practice = match block {
            Block::Exercise(exercise) => {
                self.diagrams |= !exercise.diagrams.is_empty();
                &exercise.practice
            }
            Block::Piece(piece) => &piece.practice,
            _ => return,
        };
        self.boxes |= !practice.tempos.is_empty();
        self.sweeps |= self.diagrams;
    }

    /// What the signs of an edition mean. Common practice, no source.
    pub fn read(self, edition: &Edition) -> Vec<ReadSign> {
        let (finger, plucking) = if edition.left_handed {
            (
                "The finger of the hand on the neck, which is your right,",
                "The finger of the hand that plucks, which is your left:",
            )
        } else {
            ("The left-hand finger,", "The right-hand finger:")
        };
        // Alone, tablature has its frets, and digits stand at diagrams only.
        let alone = edition.tablature == Tablature::Alone;
        let left_out = if self.by_position { BY_POSITION } else { "" };
        let carried = if self.carried { CARRIED } else { "" };
        let sweep = if self.sweeps { SWEEPS } else { "" };
        let as_far = if self.string_lines { STRING_LINES } else { "" };
        let held_on = if self.lines { POSITION_LINES } else { "" };
        let endings = if self.endings { ENDINGS } else { "" };
        let (thickest, reversed) =
            if edition.left_handed { ("right", REVERSED) } else { ("left", "") };
        let reversed = if self.diagrams { reversed } else { "" };
        let from_to = format!("{finger} from the index (1) to the little finger (4)");
        let digits = format!("{from_to}; 0 is an open string.{left_out}");
        let letters = format!("{plucking} thumb, index, middle, ring.{carried}{sweep}");
        let diagrams = format!(
            "Strings upright, the thickest on the {thickest}; the thick line is the nut. ○ an \
             open string, × a string that is not played, a dot where a finger stops, its digit \
             below."
        );
        let under = edition.tablature == Tablature::Under;
        let all = [
            (alone, "**1 2 3 4** at diagrams", format!("{from_to}.")),
            (!alone, "**0 1 2 3 4** at a note", digits),
            (!alone && self.slides, "**A dash** before a digit", SLIDES.to_owned()),
            (!alone && self.prepares, "**A digit in parentheses**", PREPARES.to_owned()),
            (!alone && self.takes_over, "**Two digits** with a dash between", SECONDS.to_owned()),
            (true, "*p i m a*", letters),
            (self.strings && !alone, "**① ② ③ ④ ⑤ ⑥**", format!("{STRINGS}{as_far}.")),
            (self.positions, "**I II III …** above the staff", format!("{POSITIONS}{held_on}")),
            (self.barres, "**C** with a numeral", BARRES.to_owned()),
            (self.diagrams, "**Chord diagrams**", diagrams),
            (under, "**Six lines** under the staff", TABLATURE.to_owned()),
            (alone, "**Six lines**", TABLATURE_ALONE.to_owned()),
            (alone, "**Stems** under the lines", STEMS.to_owned()),
            (self.degrees, "**I IV V7** under the staff", DEGREES.to_owned()),
            (self.repeats, "**Two dots** at a double bar", format!("{REPEATS}{endings}")),
            (self.ties, "**A curve** between two notes of one pitch", TIES.to_owned()),
            (self.boxes, "**Boxes** after tempos", BOXES.to_owned()),
            (true, "**x32010** and the like", format!("{SHAPES}{reversed}")),
            (!alone, "**A small 8** under the clef", OCTAVE.to_owned()),
        ];
        let printed = all.into_iter().filter(|(printed, ..)| *printed);
        printed.map(|(_, sign, meaning)| ReadSign { sign: sign.to_owned(), meaning }).collect()
    }
}

/// The tones that some marks are for, with how they are played.
fn played<'a>(
    built: &'a BuiltItem,
    tones: &'a Tones,
    marks: &Marks,
) -> impl Iterator<Item = (&'a Tone, &'a ToneFingering)> {
    let part = built.parts.iter().find(|part| part.part == marks.part);
    let fingering = part.and_then(|part| part.fingering.as_ref());
    let fingered = fingering.map_or(&[][..], |fingering| &fingering.tones);
    tones.as_slice().iter().zip(fingered)
}

/// Whether a note that is plucked has no letter, nor any with it, in a part that has some: its
/// reader carries on.
fn is_carried(built: &BuiltItem, marks: &Marks) -> bool {
    let notes = built.score.notes().iter().zip(&marks.right);
    let lettered: BTreeSet<Moment> =
        notes.filter_map(|(note, letter)| letter.is_some().then_some(note.onset)).collect();
    let tones = built.score.tones(marks.part);
    let mut plucked = played(built, &tones, marks).filter(|(_, played)| played.right.is_some());
    !lettered.is_empty() && plucked.any(|(tone, _)| !lettered.contains(&tone.onset))
}

/// Whether a stopped note has no digit in a part that has some.
fn is_by_position(built: &BuiltItem, marks: &Marks) -> bool {
    // What two voices share has one digit.
    let notes = built.score.notes().iter().filter(|note| note.part == marks.part);
    let told: BTreeSet<(Moment, KeyNumber)> = notes
        .filter(|note| marks.left_of(note.id).is_some())
        .map(|note| (note.onset, note.pitch.key_number()))
        .collect();
    let tones = built.score.tones(marks.part);
    let mut stopped = played(built, &tones, marks)
        .filter(|(_, played)| played.left.is_some_and(|left| left.finger.is_some()));
    let bare = |tone: &Tone| !told.contains(&(tone.onset, tone.pitch.key_number()));
    !told.is_empty() && stopped.any(|(tone, _)| bare(tone))
}

const BY_POSITION: &str = " Where none stands, the finger is the one that the note had before, in \
this bar or the two before; if it had none, the one that the position gives to the fret.";

const SLIDES: &str = "The same finger slides there along its string.";

const PREPARES: &str = "Before another: that finger is put down there, too, and sounds later in \
the slur.";

const SECONDS: &str = "While the note sounds on, the second finger takes over its place, and the \
first is free.";

const CARRIED: &str = " Where none stands, go on as before: two fingers take turns, a pattern \
or a chord is plucked as it was, and *p* keeps the bass.";

const SWEEPS: &str = " At a chord with more notes than letters, *p* strikes the lowest strings \
together.";

const STRINGS: &str = "The string, from the thinnest";
const STRING_LINES: &str = "; a dashed line shows how far it holds";

const POSITIONS: &str = "The position, that is the fret where finger 1 falls. It holds until \
the next numeral.";
const POSITION_LINES: &str = " With a line, as far as that; in parentheses where a line of music \
begins, it still holds.";

const REPEATS: &str = "Play again from the last dots that look the other way, or from the \
beginning.";
const ENDINGS: &str = " Bars under **1.** the first time only, bars under **2.** instead of them \
the second time.";

const TIES: &str = "The second is not struck, the first sounds on.";

const BARRES: &str = "A barre, finger 1 laid across the strings at that fret; ½ or another \
fraction before it: across some of them; its line shows how long it lies.";

/// The lines under the staff.
const TABLATURE: &str = "The strings, the thinnest at the top; a number is the fret, 0 an open \
string. How long it sounds the notes above say.";

/// The lines alone, with their rhythm; what it is by, `engrave` decides.
const TABLATURE_ALONE: &str = "The strings, the thinnest at the top; a number is the fret, 0 an \
open string, in parentheses where it sounds on and is not struck again.";

const STEMS: &str = "The rhythm; of two voices the upper one has them above. Beams, flags and \
dots are those of notes; a half note has a short stem, a whole note none.";

const DEGREES: &str = "The degree of the chord in the key, in lower case for minor; a 6 beside \
it for the first inversion, 6 over 4 for the second.";

const BOXES: &str = "Tick one when the exercise goes evenly at that tempo.";

const SHAPES: &str = "One sign for every string from the thickest: its fret, 0 for open, x for \
not played.";

/// How that agrees with diagrams whose thickest string is on the right.
const REVERSED: &str = " A diagram shows the same strings from the other side: read the row \
backwards to compare them.";

const OCTAVE: &str = "The guitar sounds an octave lower than it is written.";

#[cfg(test)]
mod tests {
    use apoyando_book::{Paper, PrintedParts};
    use apoyando_fretboard::Millimetres;

    use super::*;

    fn said(signs: Signs, edition: &Edition) -> String {
        let read = signs.read(edition);
        read.iter().map(|it| format!("{}: {}\n", it.sign, it.meaning)).collect()
    }

    fn edition(tablature: Tablature, left_handed: bool) -> Edition {
        Edition {
            name: String::new(),
            note: String::new(),
            paper: Paper::A4,
            staff_height: Millimetres(7.2),
            tablature,
            large_print: false,
            left_handed,
            parts: PrintedParts::Score,
        }
    }

    #[test]
    fn only_what_is_printed_is_explained() {
        let usual = edition(Tablature::None, false);
        let bare = said(Signs::default(), &usual);
        assert!(!bare.contains("barre") && !bare.contains("slides"), "{bare}");
        assert!(bare.starts_with("**0 1 2 3 4** at a note: The left-hand finger,"), "{bare}");
        let barred = Signs { barres: true, slides: true, prepares: true, ..Signs::default() };
        let barred = said(barred, &usual);
        assert_eq!(barred.lines().count(), bare.lines().count() + 3);
        assert!(barred.contains("A barre, finger 1") && barred.contains("slides"), "{barred}");
        assert!(barred.contains("in parentheses") && !bare.contains("in parentheses"), "{barred}");
        let second = said(Signs { takes_over: true, ..Signs::default() }, &usual);
        assert!(second.contains("takes over its place") && !barred.contains("takes over"));
        let left_handed = said(Signs::default(), &edition(Tablature::None, true));
        assert!(left_handed.contains("which is your right"));
    }

    #[test]
    fn what_is_left_out_of_letters_is_told_where_some_are() {
        let read =
            |carried| said(Signs { carried, ..Signs::default() }, &edition(Tablature::None, false));
        assert!(read(true).contains("ring. Where none stands, go on as before"));
        assert!(!read(false).contains("as before"));
    }

    #[test]
    fn what_is_left_out_of_digits_is_told_where_some_are() {
        let read = |by_position| {
            said(Signs { by_position, ..Signs::default() }, &edition(Tablature::None, false))
        };
        assert!(read(true).contains("open string. Where none stands, the finger is the one"));
        assert!(!read(false).contains("Where none stands"));
    }

    /// Diagrams of the left-handed have the thickest string on the right, rows of figures
    /// have it first.
    #[test]
    fn rows_of_figures_and_mirrored_diagrams_are_compared() {
        let read = |diagrams, left_handed| {
            said(Signs { diagrams, ..Signs::default() }, &edition(Tablature::None, left_handed))
        };
        assert!(read(true, true).contains("read the row backwards"));
        assert!(!read(true, false).contains("backwards"));
        assert!(!read(false, true).contains("backwards"), "no diagram is printed");
    }

    #[test]
    fn a_numeral_in_parentheses_is_explained_where_lines_go_on() {
        let read = |lines| {
            let signs = Signs { positions: true, lines, ..Signs::default() };
            said(signs, &edition(Tablature::None, false))
        };
        assert!(read(true).contains("as far as that; in parentheses"));
        assert!(!read(false).contains("parentheses"));
    }

    #[test]
    fn an_edition_explains_what_it_prints() {
        let all = Signs { strings: true, positions: true, diagrams: true, ..Signs::default() };
        for left_handed in [false, true] {
            let each = [Tablature::None, Tablature::Under, Tablature::Alone]
                .map(|tablature| said(all, &edition(tablature, left_handed)));
            let has = |text: &str| each.each_ref().map(|said| said.contains(text));
            assert_eq!(has("Six lines"), [false, true, true]);
            assert_eq!(has("Stems"), [false, false, true]);
            assert_eq!(has("at a note"), [true, true, false]);
            assert_eq!(has("②"), [true, true, false]);
            assert_eq!(has("under the clef"), [true, true, false]);
            for text in ["p i m a", "I II III", "Chord diagrams", "x32010"] {
                assert_eq!(has(text), [true; 3], "{text}");
            }
        }
    }
}
