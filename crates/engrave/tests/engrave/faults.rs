//! The meters of the notation: the gallery is free of faults, and each meter is tried
//! on one planted for it.

use apoyando_engrave::meter::{
    Fault, beams_off_stems, bent_slurs, collisions, crossing_hairpins, dots_on_lines, heads_apart,
    heads_on_wrong_sides, ink_off_the_line, jumpy_spacing, notation_faults, orphan_ledgers,
    poor_ties, scattered_accidentals, short_stems, slanting_beams, small_text, stems_off_heads,
    words_on_ink,
};
use apoyando_engrave::{
    Drawing, Ink, Kind, Outline, Owner, Point, Sheet, StaffSpaces, Style, engrave,
};
use apoyando_fretboard::Millimetres;
use apoyando_music::{Metre, NoteId, Score};

use crate::gallery;
use crate::scores::Sketch;

/// All faults of a drawing.
pub fn all(drawing: &Drawing, line_width: f64) -> Vec<Fault> {
    let mut found = hard(drawing, line_width);
    found.extend(collisions(drawing));
    found.extend(crossing_hairpins(drawing));
    found.extend(words_on_ink(drawing));
    found
}

/// The faults that no score excuses, however crowded.
pub fn hard(drawing: &Drawing, line_width: f64) -> Vec<Fault> {
    let mut found = ink_off_the_line(drawing, StaffSpaces(line_width));
    found.extend(stems_off_heads(drawing));
    found.extend(beams_off_stems(drawing));
    found.extend(dots_on_lines(drawing));
    found
}

#[test]
fn the_gallery_is_free_of_faults() {
    let mut failed = Vec::new();
    for (name, score) in gallery::all() {
        for width in [45.0, 97.2, 140.0] {
            let style = Style { line_width: StaffSpaces(width), ..Style::default() };
            for system in engrave(&Sheet::bare(&score), &style).systems {
                let found = notation_faults(&system.drawing, &score, style.line_width);
                failed.extend(
                    found.into_iter().map(|f| format!("{name} {width} {:?}: {f:?}", system.bars)),
                );
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// The first line of a score.
fn line(score: &Score) -> Drawing {
    engrave(&Sheet::bare(score), &Style::default()).systems.remove(0).drawing
}

/// The same with something done to the first ink of a kind.
fn spoilt(score: &Score, kind: Kind, spoil: impl FnOnce(&mut Ink)) -> Drawing {
    let mut drawing = line(score);
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == kind).expect("such ink");
    spoil(&mut stain.ink);
    drawing
}

/// Moves every point of some ink.
fn each_point(ink: &mut Ink, mut change: impl FnMut(&mut Point)) {
    match ink {
        Ink::Glyph { at, .. } | Ink::Text { at, .. } => change(at),
        Ink::Line { from, to, .. } => [from, to].into_iter().for_each(change),
        Ink::Shape(outline) => {
            for step in outline {
                match step {
                    Outline::Move(at) | Outline::Line(at) => change(at),
                    Outline::Curve(one, two, to) => {
                        [one, two, to].into_iter().for_each(&mut change)
                    }
                    Outline::Close => {}
                }
            }
        }
        Ink::Circle { .. } | Ink::Halo { .. } => {}
    }
}

/// The first ink of a kind moved.
fn planted(score: &Score, kind: Kind, x: f64, y: f64) -> Drawing {
    spoilt(score, kind, |ink| {
        each_point(ink, |at| {
            at.x += StaffSpaces(x);
            at.y += StaffSpaces(y);
        });
    })
}

fn rules(faults: &[Fault]) -> Vec<&'static str> {
    let mut rules: Vec<_> = faults.iter().map(|fault| fault.rule).collect();
    rules.dedup();
    rules
}

#[test]
fn ink_that_misses_what_it_belongs_to_is_found() {
    let score = gallery::dotted();
    let moved = |kind, x, y| planted(&score, kind, x, y);
    assert_eq!(rules(&stems_off_heads(&moved(Kind::Stem, 0.05, 0.0))), ["stem-misses-head"]);
    assert_eq!(rules(&stems_off_heads(&moved(Kind::Head, 0.0, 0.5))), ["stem-misses-head"]);
    assert_eq!(rules(&beams_off_stems(&moved(Kind::Beam, 0.2, 0.0))), ["beam-misses-stem"]);
    assert_eq!(rules(&dots_on_lines(&moved(Kind::Dot, 0.0, 0.5))), ["dot-on-line"]);
    let off = moved(Kind::Head, 0.0, 30.0);
    assert_eq!(rules(&ink_off_the_line(&off, StaffSpaces(97.2))), ["ink-off-the-line"]);
    let squeezed = planted(&gallery::accidentals(), Kind::Accidental, 0.6, 0.0);
    assert_eq!(rules(&collisions(&squeezed)), ["ink-collides"]);
}

#[test]
fn a_steep_beam_and_a_crooked_one_are_found() {
    let score = gallery::sixteenths();
    let tilted = |more: f64| {
        spoilt(&score, Kind::Beam, |ink| {
            let mut left = f64::MAX;
            each_point(ink, |at| left = left.min(at.x.0));
            each_point(ink, |at| at.y += StaffSpaces((at.x.0 - left) * more));
        })
    };
    assert_eq!(slanting_beams(&tilted(0.0)), []);
    assert_eq!(rules(&slanting_beams(&tilted(0.5))), ["beam-slants"]);
    assert_eq!(rules(&slanting_beams(&tilted(0.03))), ["beam-slants"]);
}

#[test]
fn a_short_stem_is_found() {
    let score = gallery::scale();
    let stem = |longer: f64| {
        spoilt(&score, Kind::Stem, |ink| {
            let Ink::Line { from, to, .. } = ink else { panic!("a stem is a line") };
            to.y = from.y + (to.y - from.y) * longer;
        })
    };
    assert_eq!(short_stems(&stem(1.0)), []);
    assert_eq!(rules(&short_stems(&stem(0.5))), ["stem-short"]);
}

#[test]
fn ledger_lines_without_notes_and_notes_without_ledger_lines_are_found() {
    let score = gallery::accidentals();
    assert_eq!(orphan_ledgers(&line(&score)), []);
    let orphans = orphan_ledgers(&planted(&score, Kind::LedgerLine, 2.5, 0.0));
    let told: Vec<&str> = orphans.iter().map(|fault| fault.message.as_str()).collect();
    assert!(told.contains(&"a ledger line has no note"), "{told:?}");
    assert!(told.contains(&"a note lacks a ledger line"), "{told:?}");
}

#[test]
fn flat_ties_ties_on_lines_and_bent_slurs_are_found() {
    let score = gallery::ties();
    assert_eq!(poor_ties(&line(&score)), []);
    let flat = spoilt(&score, Kind::Tie, |ink| {
        let mut tip = None;
        each_point(ink, |at| {
            let tip = *tip.get_or_insert(at.y.0);
            at.y = StaffSpaces(tip + (at.y.0 - tip) * 0.3);
        });
    });
    assert!(poor_ties(&flat).iter().any(|fault| fault.message.contains("high")), "{flat:?}");
    let found = (1..10).any(|tenths| {
        let moved = planted(&score, Kind::Tie, 0.0, f64::from(tenths) / 10.0);
        poor_ties(&moved).iter().any(|fault| fault.message.contains("from a staff line"))
    });
    assert!(found, "somewhere within a space there is a line");
    let score = gallery::marks();
    assert_eq!(bent_slurs(&line(&score)), []);
    let bent = spoilt(&score, Kind::Slur, |ink| {
        let Ink::Shape(outline) = ink else { panic!("a slur is a shape") };
        let [Outline::Move(from), Outline::Curve(_, two, to), ..] = outline.as_mut_slice() else {
            panic!("a slur begins with a curve")
        };
        two.y = StaffSpaces(from.y.0 + to.y.0 - two.y.0);
    });
    assert_eq!(rules(&bent_slurs(&bent)), ["slur-bent"]);
}

#[test]
fn heads_apart_and_jumpy_spacing_are_found() {
    let duet = gallery::duet();
    assert_eq!(heads_apart(&line(&duet), &duet), []);
    let moved = planted(&duet, Kind::Head, 0.1, 0.0);
    assert_eq!(rules(&heads_apart(&moved, &duet)), ["heads-apart"]);
    let scale = gallery::scale();
    assert_eq!(jumpy_spacing(&line(&scale), &scale), []);
    // The first head of four equal ones.
    let moved = planted(&scale, Kind::Head, -6.0, 0.0);
    assert_eq!(rules(&jumpy_spacing(&moved, &scale)), ["spacing-jumpy"]);
}

#[test]
fn dynamics_hairpins_and_ties_into_nothing_that_touch_other_ink_are_found() {
    let score = gallery::dynamics();
    assert_eq!(all(&line(&score), 97.2), []);
    let touching = |kind: Kind, x: f64, y: f64, other: &str| {
        collisions(&planted(&score, kind, x, y)).iter().any(|fault| fault.message.contains(other))
    };
    assert!(touching(Kind::Dynamic, 0.0, 5.0, "Stem"));
    assert!(touching(Kind::Dynamic, 8.0, 0.0, "Hairpin"));
    assert!(touching(Kind::Dynamic, 17.0, 0.0, "Dynamic"));
    assert!(touching(Kind::Hairpin, 2.0, 0.0, "Dynamic"));
    assert!(touching(Kind::Hairpin, 0.0, 5.75, "Beam"));
    assert!(touching(Kind::Hairpin, 0.0, 9.0, "Head"));
    let crossing = planted(&score, Kind::Hairpin, 19.0, 0.0);
    assert_eq!(rules(&crossing_hairpins(&crossing)), ["hairpins-cross"]);
    let score = gallery::let_ring();
    assert_eq!(all(&line(&score), 97.2), []);
    let over_its_head = planted(&score, Kind::Tie, -1.5, -0.5);
    assert!(collisions(&over_its_head).iter().any(|fault| fault.message.contains("Tie")));
}

#[test]
fn scattered_accidentals_are_found() {
    let score = gallery::accidentals();
    let style = Style { line_width: StaffSpaces(140.0), ..Style::default() };
    let whole = engrave(&Sheet::bare(&score), &style).systems.remove(0).drawing;
    assert_eq!(scattered_accidentals(&whole, &score), []);
    let count = whole.stains.iter().filter(|stain| stain.kind == Kind::Accidental).count();
    assert!(count > 15);
    // Whichever of them stands leftmost in its chord, and every one that stands alone.
    let mut found = 0;
    for nth in 0..count {
        let mut drawing = whole.clone();
        let mut signs = drawing.stains.iter_mut().filter(|stain| stain.kind == Kind::Accidental);
        let sign = signs.nth(nth).unwrap();
        *sign = sign.clone().moved(-0.6, 0.0);
        let rules = rules(&scattered_accidentals(&drawing, &score));
        assert!(rules.is_empty() || rules == ["accidentals-scattered"]);
        found += rules.len();
    }
    assert!(found > 8, "{found}");
}

#[test]
fn seconds_unisons_and_crossing_voices_on_wrong_sides_are_found() {
    let sketch = |voices: &[&str]| Sketch::new(0, Metre::COMMON, voices).score();
    let told = |score: &Score, drawing: &Drawing| -> Vec<String> {
        let faults = heads_on_wrong_sides(drawing, score);
        assert!(faults.iter().all(|fault| fault.rule == "heads-wrong-side"));
        faults.into_iter().map(|fault| fault.message).collect()
    };
    let has = |score: &Score, drawing: &Drawing, what: &str| {
        told(score, drawing).iter().any(|message| message.contains(what))
    };
    let none: Vec<String> = Vec::new();
    // A second of a chord with its stem up, its upper head moved to the usual side.
    let second = sketch(&["E3+F3:q E3+G3:q C5+D5:q A4+B4+C5:q"]);
    assert_eq!(told(&second, &line(&second)), none);
    let mut wrong = line(&second);
    let head = wrong.stains.iter_mut().filter(|stain| stain.kind == Kind::Head).nth(1).unwrap();
    *head = head.clone().moved(-1.06, 0.0);
    assert!(has(&second, &wrong, "second"));
    // Two voices a second apart, the upper one put right of the lower.
    let voices = sketch(&["C4:q E4:q C4:h", "B3:q C4:q A3:h"]);
    assert_eq!(told(&voices, &line(&voices)), none);
    let mut wrong = line(&voices);
    for stain in &mut wrong.stains {
        if stain.owner == Owner::Note(NoteId(0)) {
            *stain = stain.clone().moved(2.4, 0.0);
        }
    }
    assert!(has(&voices, &wrong, "not left"));
    // Voices that cross, set as if they did not.
    let crossing = sketch(&["A3:q E4:q C4:h", "C4:q C4:q A3:h"]);
    assert_eq!(told(&crossing, &line(&crossing)), none);
    let mut wrong = line(&crossing);
    for stain in &mut wrong.stains {
        if stain.owner == Owner::Note(NoteId(0)) {
            *stain = stain.clone().moved(-1.06, 0.0);
        }
    }
    assert!(has(&crossing, &wrong, "cross"));
    // A half and a quarter at the unison, of which one loses its head.
    let unison = sketch(&["C4:h E4:h", "C4:q A3:q C4:h"]);
    assert_eq!(told(&unison, &line(&unison)), none);
    let mut wrong = line(&unison);
    let own = Owner::Note(unison.notes().iter().find(|note| note.voice.0 == 2).unwrap().id);
    wrong.stains.retain(|stain| (stain.kind, stain.owner) != (Kind::Head, own));
    assert!(has(&unison, &wrong, "share"));
}

/// Seven points are 2.47 mm.
#[test]
fn text_under_seven_points_is_found() {
    let score = gallery::repeats();
    let drawing = line(&score);
    assert_eq!(small_text(&drawing, Millimetres(7.2)), []);
    let text = |stain: &apoyando_engrave::Stain| match stain.ink {
        Ink::Text { size, .. } => Some(size.0),
        _ => None,
    };
    let least = drawing.stains.iter().filter_map(text).fold(f64::MAX, f64::min);
    let staff = 2.46 * 4.0 / least;
    assert_eq!(rules(&small_text(&drawing, Millimetres(staff))), ["text-small"]);
    assert_eq!(small_text(&drawing, Millimetres(staff * 2.48 / 2.46)), []);
}
