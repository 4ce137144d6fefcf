//! Decorations: signs noted before a note.

use apoyando_fingering::LeftFinger;
use apoyando_music::{Dynamic, EventMark, HairpinKind};

use super::voice::Pending;
use crate::rough::Loudness;

/// Adds a decoration by name to what waits for its note; whether it is
/// understood.
pub(super) fn apply(name: &str, pending: &mut Pending) -> bool {
    let mark = match name {
        "fermata" | "invertedfermata" => EventMark::Fermata,
        "accent" | ">" | "emphasis" => EventMark::Accent,
        "." | "staccato" => EventMark::Staccato,
        "tenuto" => EventMark::Tenuto,
        "arpeggio" => EventMark::Arpeggio(None),
        // ABC 2.1, section 4.14, from memory: it stands after its note.
        "breath" => EventMark::Breath,
        "trill" => EventMark::Trill,
        // ABC 2.1, section 4.14: the lower mordent is the one with the vertical
        // line, and a mordent is a lower one.
        "lowermordent" | "mordent" => EventMark::Mordent,
        "uppermordent" | "pralltriller" => EventMark::InvertedMordent,
        "turn" => EventMark::Turn,
        "invertedturn" => EventMark::InvertedTurn,
        "0" => return finger(None, pending),
        "1" | "2" | "3" | "4" => {
            let digit = name.parse().ok().and_then(LeftFinger::from_digit);
            return finger(digit, pending);
        }
        _ => return false,
    };
    pending.marks.push(mark);
    true
}

/// The dynamic or end of a hairpin that a decoration is.
///
/// ABC 2.1, section 4.14, from memory: a hairpin begins before its first note
/// and ends after its last.
pub(super) fn loudness(name: &str) -> Option<Loudness> {
    let (mark, begins) = match name.strip_suffix('(') {
        Some(mark) => (mark, true),
        None => match name.strip_suffix(')') {
            Some(mark) => (mark, false),
            None => return Dynamic::from_letters(name).map(Loudness::Dynamic),
        },
    };
    let (kind, number) = match mark {
        "crescendo" | "<" => (HairpinKind::Grows, 1),
        "diminuendo" | ">" => (HairpinKind::Fades, 2),
        _ => return None,
    };
    Some(if begins {
        Loudness::HairpinStart { kind, number }
    } else {
        Loudness::HairpinEnd { number }
    })
}

fn finger(finger: Option<LeftFinger>, pending: &mut Pending) -> bool {
    let free = pending.hand.left.is_none();
    if free {
        pending.hand.left = Some(finger);
    }
    free
}

/// What a letter stands for before the author says otherwise.
pub(super) fn letter(letter: char) -> Option<&'static str> {
    Some(match letter {
        '.' => "staccato",
        '~' => "roll",
        'H' => "fermata",
        'L' => "accent",
        'M' => "lowermordent",
        'O' => "coda",
        'P' => "uppermordent",
        'S' => "segno",
        'T' => "trill",
        'u' => "upbow",
        'v' => "downbow",
        _ => return None,
    })
}

/// Reads a `U:` field: a letter and the decoration it stands for.
pub(super) fn user_symbol(text: &str) -> Option<(char, String)> {
    let (letter, meaning) = text.split_once('=')?;
    let mut letters = letter.trim().chars();
    let letter = letters.next()?;
    let meaning = meaning.trim().trim_matches(['!', '+']);
    letters.next().is_none().then(|| (letter, meaning.to_owned()))
}
