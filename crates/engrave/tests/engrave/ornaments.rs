//! Ornaments, harmonics and spread chords.

use apoyando_engrave::geometry::{Rect, bounds};
use apoyando_engrave::meter::{collisions, struck_digits};
use apoyando_engrave::{Drawing, Ink, Kind, Owner, Sheet, StaffSpaces, Style, engrave};
use apoyando_fingering::{LeftFinger, RightFinger};
use apoyando_marks::{LeftMark, Marks};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftPart, EventMark, KeySignature, Metre, NoteValue, Pitch,
    Score, Sweep,
};

use crate::gallery;
use crate::ink::areas;
use crate::scores::Sketch;

fn drawn(score: &Score) -> Drawing {
    let style = Style { line_width: StaffSpaces(80.0), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.remove(0).drawing
}

/// The mark after a mark, so that no kind of mark can be left out below.
const fn next(mark: EventMark) -> Option<EventMark> {
    Some(match mark {
        EventMark::SlurStart { technical: true } => EventMark::SlurStart { technical: false },
        EventMark::SlurStart { technical: false } => EventMark::SlurEnd,
        EventMark::SlurEnd => EventMark::Fermata,
        EventMark::Fermata => EventMark::Staccato,
        EventMark::Staccato => EventMark::Tenuto,
        EventMark::Tenuto => EventMark::Accent,
        EventMark::Accent => EventMark::Arpeggio(None),
        EventMark::Arpeggio(None) => EventMark::Arpeggio(Some(Sweep::ToTreble)),
        EventMark::Arpeggio(Some(Sweep::ToTreble)) => EventMark::Arpeggio(Some(Sweep::ToBass)),
        EventMark::Arpeggio(Some(Sweep::ToBass)) => EventMark::Strum(Sweep::ToTreble),
        EventMark::Strum(Sweep::ToTreble) => EventMark::Strum(Sweep::ToBass),
        EventMark::Strum(Sweep::ToBass) => EventMark::Together,
        EventMark::Together => EventMark::Breath,
        EventMark::Breath => EventMark::Caesura,
        EventMark::Caesura => EventMark::WavyLine,
        EventMark::WavyLine => EventMark::LetRing,
        EventMark::LetRing => EventMark::GlideStart,
        EventMark::GlideStart => EventMark::GlideEnd,
        EventMark::GlideEnd => EventMark::NaturalHarmonic,
        EventMark::NaturalHarmonic => EventMark::ArtificialHarmonic,
        EventMark::ArtificialHarmonic => EventMark::Trill,
        EventMark::Trill => EventMark::Mordent,
        EventMark::Mordent => EventMark::InvertedMordent,
        EventMark::InvertedMordent => EventMark::Turn,
        EventMark::Turn => EventMark::InvertedTurn,
        EventMark::InvertedTurn => return None,
    })
}

/// Two chords, the first with a mark; the second ends what the mark begins.
fn marked(mark: Option<EventMark>) -> Drawing {
    let pitches: Vec<Pitch> = ["A3", "C4", "E4"].map(|name| name.parse().unwrap()).to_vec();
    let mut voice = vec![DraftEvent::notes(NoteValue::plain(Base::Half), &pitches); 2];
    voice[0].marks.extend(mark);
    match mark {
        Some(EventMark::SlurStart { .. }) => voice[1].marks.push(EventMark::SlurEnd),
        Some(EventMark::GlideStart) => voice[1].marks.push(EventMark::GlideEnd),
        _ => {}
    }
    let draft = Draft {
        bars: vec![DraftBar::new(1, Metre::COMMON, KeySignature::NONE)],
        parts: vec![DraftPart { voices: vec![vec![voice]], ..DraftPart::guitar(String::new()) }],
        ..Draft::default()
    };
    drawn(&Score::assemble(draft).unwrap())
}

#[test]
fn every_mark_leaves_ink() {
    let without = marked(None).stains.len();
    let mut mark = Some(EventMark::SlurStart { technical: true });
    let mut seen = Vec::new();
    while let Some(this) = mark {
        let kind = match this {
            EventMark::SlurStart { .. } => Some(Kind::Slur),
            EventMark::Fermata => Some(Kind::Fermata),
            EventMark::Staccato | EventMark::Tenuto | EventMark::Accent => Some(Kind::Articulation),
            EventMark::LetRing => Some(Kind::Tie),
            EventMark::Breath | EventMark::Caesura => Some(Kind::Breath),
            EventMark::WavyLine => Some(Kind::WavyLine),
            EventMark::Arpeggio(_) | EventMark::Strum(_) | EventMark::Together => {
                Some(Kind::Arpeggio)
            }
            EventMark::NaturalHarmonic | EventMark::ArtificialHarmonic => Some(Kind::Harmonic),
            EventMark::Trill
            | EventMark::Mordent
            | EventMark::InvertedMordent
            | EventMark::Turn
            | EventMark::InvertedTurn => Some(Kind::Ornament),
            EventMark::GlideStart => Some(Kind::Glissando),
            // An end is drawn with its beginning.
            EventMark::SlurEnd | EventMark::GlideEnd => None,
        };
        if let Some(kind) = kind {
            let drawing = marked(Some(this));
            assert!(drawing.stains.len() > without, "{this:?} leaves no ink");
            assert!(!areas(&drawing.stains, kind).is_empty(), "{this:?} is no {kind:?}");
            let told =
                drawing.stains.iter().map(|stain| format!("{:?}", stain.ink)).collect::<Vec<_>>();
            assert!(!seen.contains(&told) || this == EventMark::SlurStart { technical: false });
            seen.push(told);
        }
        mark = next(this);
    }
    assert_eq!(seen.len(), 24);
}

/// Over the middle of the head, half a space off the staff and a quarter off
/// everything else (house values).
#[test]
fn ornaments_stand_over_their_heads() {
    for sign in ["%", "_", "^", "&", "$", "*"] {
        for pitch in ["E3", "B3", "E4", "E5"] {
            let voice = format!("{pitch}:q{sign} r:q");
            let drawing = drawn(&Sketch::new(0, Metre::new(2, 4), &[&voice]).score());
            let kind = if sign == "*" { Kind::Harmonic } else { Kind::Ornament };
            let (sign, head) =
                (areas(&drawing.stains, kind)[0], areas(&drawing.stains, Kind::Head)[0]);
            assert!((sign.left + sign.right - head.left - head.right).abs() < 0.02);
            assert!(sign.low >= 2.5 - 0.01, "{sign:?}");
            let stem = areas(&drawing.stains, Kind::Stem)[0];
            let apart = sign.distance(head).min(sign.distance(stem));
            assert!(apart >= 0.24, "{pitch} {sign:?}: {apart}");
        }
    }
}

/// From the head outwards: dot or accent, ring, ornament, fermata.
#[test]
fn marks_of_one_note_stand_in_order() {
    for voices in [&["C4:h'*%!"][..], &["G4:h>*_!"], &["G4:h", "C3:h'*&!"]] {
        let drawing = drawn(&Sketch::new(0, Metre::new(2, 4), voices).score());
        let kinds = [Kind::Articulation, Kind::Harmonic, Kind::Ornament];
        let side = if voices.len() > 1 { -1.0 } else { 1.0 };
        let mut before = f64::MIN;
        for kind in kinds {
            let area = areas(&drawing.stains, kind)[0];
            let (near, far) =
                if side > 0.0 { (area.low, area.high) } else { (-area.high, -area.low) };
            assert!(near > before, "{voices:?} {kind:?}");
            before = far;
        }
        let fermata = areas(&drawing.stains, Kind::Fermata)[0];
        let near = if side > 0.0 { fermata.low } else { -fermata.high };
        assert!(near > before, "{voices:?}");
    }
}

#[test]
fn the_lower_of_two_voices_has_its_signs_below() {
    let voices = ["C4:q_ E4:q*", "A2:q^ E3:q@"];
    let drawing = drawn(&Sketch::new(0, Metre::new(2, 4), &voices).score());
    for kind in [Kind::Ornament, Kind::Harmonic] {
        let (above, below): (Vec<Rect>, Vec<Rect>) =
            areas(&drawing.stains, kind).into_iter().partition(|area| area.low > 0.0);
        assert!(above.iter().all(|area| area.low >= 2.49), "{above:?}");
        assert!(below.iter().all(|area| area.high <= -2.49), "{below:?}");
        assert_eq!((above.len(), below.len()), (1, if kind == Kind::Ornament { 1 } else { 2 }));
    }
}

/// Ornaments of neighbouring notes have room side by side, on one level.
#[test]
fn neighbouring_ornaments_are_level() {
    let voice = "C4:16^ D4:16^ C4:16^ D4:16^ C4:16& D4:16& C4:16& D4:16&";
    let drawing = drawn(&Sketch::new(0, Metre::new(2, 4), &[voice]).score());
    let signs = areas(&drawing.stains, Kind::Ornament);
    assert_eq!(signs.len(), 8);
    for pair in signs.windows(2) {
        assert!(pair[1].left - pair[0].right > 0.2, "{pair:?}");
        assert!((pair[0].low - pair[1].low).abs() < 0.01, "{pair:?}");
    }
}

/// The wavy line runs from the lowest to the highest head, left of all that is
/// struck with it and clear of it.
#[test]
fn the_wave_stands_before_its_chord() {
    let voices = ["G3:8 E3+G#3+C4+D4:8? Eb4+F#4:q?", "r:q C#3:q"];
    let drawing = drawn(&Sketch::new(0, Metre::new(2, 4), &voices).score());
    let waves = areas(&drawing.stains, Kind::Arpeggio);
    assert_eq!(waves.len(), 2);
    // Steps above the middle line, an octave higher than they sound: E4 to D5,
    // then E flat 5 to F sharp 5.
    for (wave, (low, high)) in waves.iter().zip([(-2.0, 1.0), (1.5, 2.0)]) {
        assert!((wave.low - (low - 0.5)).abs() < 0.05, "{wave:?}");
        assert!((wave.high - (high + 0.5)).abs() < 0.05, "{wave:?}");
        assert!((0.4..=0.55).contains(&wave.width()), "{wave:?}");
        for kind in [Kind::Head, Kind::Accidental, Kind::Stem, Kind::Flag, Kind::BarLine] {
            for other in areas(&drawing.stains, kind) {
                assert!(other.distance(*wave) > 0.2, "{kind:?} {other:?} {wave:?}");
            }
        }
    }
}

/// A bass that is tied into the chord is not struck: the wave leaves it out, and
/// its tie arrives beneath.
#[test]
fn the_wave_leaves_out_what_is_tied() {
    let voice = "A2:q~ A2+E3+C4:q?";
    let drawing = drawn(&Sketch::new(0, Metre::new(2, 4), &[voice]).score());
    let (wave, tie) =
        (areas(&drawing.stains, Kind::Arpeggio)[0], areas(&drawing.stains, Kind::Tie)[0]);
    // E4 as written stands two spaces below the middle line, C5 half a space
    // above it.
    assert!((wave.low + 2.5).abs() < 0.01 && (wave.high - 1.0).abs() < 0.01, "{wave:?}");
    assert!(tie.right > wave.right && tie.high < wave.low, "{tie:?} {wave:?}");
    assert_eq!(collisions(&drawing), []);
}

/// Digits and letters on every note find their places beside the new signs,
/// and a wave through a digit is a fault.
#[test]
fn fingering_keeps_clear_of_the_signs() {
    for (name, score) in [
        ("ornaments", gallery::ornaments()),
        ("harmonics", gallery::harmonics()),
        ("spread", gallery::spread()),
    ] {
        let part = score.part_indices().next().unwrap();
        let mut marks = Marks::none(part, score.notes().len());
        for at in 0..score.notes().len() {
            let finger = Some(LeftFinger::ALL[at % 4]);
            marks.left[at] = Some(LeftMark::plain(finger));
            marks.right[at] = Some(RightFinger::ALL[at % 4]);
        }
        for width in [97.2, 60.0] {
            let style = Style { line_width: StaffSpaces(width), ..Style::default() };
            let marks = std::slice::from_ref(&marks);
            for system in engrave(&Sheet { marks, ..Sheet::bare(&score) }, &style).systems {
                assert_eq!(struck_digits(&system.drawing), [], "{name} {width}");
                let signs = [Kind::Ornament, Kind::Harmonic, Kind::Arpeggio];
                for sign in signs.into_iter().flat_map(|kind| areas(&system.drawing.stains, kind)) {
                    for letter in areas(&system.drawing.stains, Kind::RightLetter) {
                        assert!(sign.distance(letter) > 0.2, "{name}: {sign:?} {letter:?}");
                    }
                }
            }
        }
        if name == "spread" {
            let sheet = Sheet { marks: std::slice::from_ref(&marks), ..Sheet::bare(&score) };
            let mut drawing = engrave(&sheet, &Style::default()).systems.remove(0).drawing;
            let digit = areas(&drawing.stains, Kind::LeftDigit)[0];
            let wave = drawing.stains.iter_mut().find(|s| s.kind == Kind::Arpeggio).unwrap();
            let area = bounds(&wave.ink);
            *wave = wave.clone().moved(digit.left - area.left, digit.low - area.low);
            assert!(!struck_digits(&drawing).is_empty());
        }
    }
}

/// The word is there for artificial harmonics only, and belongs to the note.
#[test]
fn artificial_harmonics_say_so() {
    let drawing = drawn(&Sketch::new(0, Metre::new(2, 4), &["E4:q* A4:q@"]).score());
    let words: Vec<(&str, Owner)> = drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::Harmonic)
        .filter_map(|stain| match &stain.ink {
            Ink::Text { text, .. } => Some((text.as_str(), stain.owner)),
            _ => None,
        })
        .collect();
    assert_eq!(words, [("art.", Owner::Note(apoyando_music::NoteId(1)))]);
}

/// A sign on a stem or a head, or a wave on a head, would be seen.
#[test]
fn planted_contacts_are_found() {
    let voices = ["E3:q_ A2+E3+C4:q?*"];
    let sound = drawn(&Sketch::new(0, Metre::new(2, 4), &voices).score());
    assert_eq!(collisions(&sound), []);
    for (kind, struck) in [
        (Kind::Ornament, Kind::Stem),
        (Kind::Ornament, Kind::Head),
        (Kind::Harmonic, Kind::Head),
        (Kind::Arpeggio, Kind::Head),
    ] {
        let mut drawing = sound.clone();
        let onto = areas(&sound.stains, struck)[0];
        let stain = drawing.stains.iter_mut().find(|stain| stain.kind == kind).unwrap();
        let area = bounds(&stain.ink);
        let (x, y) = (onto.left - area.left, onto.low - area.low);
        *stain = stain.clone().moved(x, y);
        assert!(!collisions(&drawing).is_empty(), "{kind:?} {struck:?}");
    }
}
