//! Tablature that stands alone, with its rhythm.

use apoyando_engrave::geometry::{Rect, bounds, strips};
use apoyando_engrave::meter::{
    Fault, figures_off_lines, fingering_faults, heads_apart, notation_faults, small_text,
};
use apoyando_engrave::{
    Drawing, Engraving, Fretting, Ink, Kind, Owner, Sheet, StaffSpaces, Stain, Style, Tablature,
    engrave,
};
use apoyando_fretboard::{Fret, Millimetres, Place, StringNumber};
use apoyando_music::{Clef, Metre, PartIndex, Score};
use proptest::prelude::*;

use super::{faults, fingered, fretted, gallery, properties};
use crate::scores::Sketch;

fn style(width: f64) -> Style {
    let tablature = Tablature::Alone;
    Style { line_width: StaffSpaces(width), tablature, ..Style::default() }
}

fn engraved(score: &Score, frettings: &[Fretting], width: f64) -> Engraving {
    engrave(&Sheet { frettings, ..Sheet::bare(score) }, &style(width))
}

/// One line of music, every note where it is lowest on the neck.
fn one(fifths: i32, metre: Metre, voices: &[&str]) -> Drawing {
    let score = Sketch::new(fifths, metre, voices).score();
    let mut engraving = engraved(&score, &fretted::all(&score), 97.2);
    assert_eq!(engraving.systems.len(), 1);
    engraving.systems.remove(0).drawing
}

fn of(drawing: &Drawing, kind: Kind) -> Vec<&Stain> {
    drawing.stains.iter().filter(|stain| stain.kind == kind).collect()
}

/// Beginning and end of the stems, from the left.
fn stems(drawing: &Drawing) -> Vec<(f64, f64)> {
    let mut stems: Vec<(f64, f64, f64)> = of(drawing, Kind::Stem)
        .iter()
        .filter_map(|stain| match stain.ink {
            Ink::Line { from, to, .. } => Some((from.x.0, from.y.0, to.y.0)),
            _ => None,
        })
        .collect();
    stems.sort_by(|a, b| a.0.total_cmp(&b.0));
    stems.into_iter().map(|(_, from, to)| (from, to)).collect()
}

/// What the figures say, in the order of their notes, in brackets where they have some.
fn said(drawing: &Drawing) -> Vec<String> {
    let figures = of(drawing, Kind::TabFigure);
    let text = |stain: &&Stain| match &stain.ink {
        Ink::Text { text, .. } => Some((stain.owner, text.clone())),
        _ => None,
    };
    let bracketed = |owner: Owner| {
        let mut shapes = figures.iter().filter(|stain| matches!(stain.ink, Ink::Shape(_)));
        shapes.any(|stain| stain.owner == owner)
    };
    let mut said: Vec<(Owner, String)> = figures.iter().filter_map(text).collect();
    said.sort();
    let said = said.into_iter();
    said.map(|(owner, text)| if bracketed(owner) { format!("({text})") } else { text }).collect()
}

/// Arcs that touch the rhythm, which stands outside of the lines: no meter of notation asks
/// for that, where slurs cross stems.
fn arcs_on_rhythm(drawing: &Drawing) -> Vec<String> {
    let kinds = [Kind::Stem, Kind::Flag, Kind::Beam, Kind::Rest, Kind::Dot];
    let rhythm: Vec<&Stain> =
        drawing.stains.iter().filter(|stain| kinds.contains(&stain.kind)).collect();
    let mut found = Vec::new();
    for arc in of(drawing, Kind::Slur) {
        let arcs = strips(&arc.ink);
        for stain in rhythm.iter().filter(|stain| bounds(&stain.ink).meets(bounds(&arc.ink))) {
            let meets = |area: &Rect| arcs.iter().any(|arc| arc.grown(-0.02).meets(*area));
            if strips(&stain.ink).iter().any(meets) {
                found.push(format!("an arc on {:?} at {:?}", stain.kind, bounds(&stain.ink)));
            }
        }
    }
    found
}

/// All faults of a drawing.
fn all(score: &Score, drawing: &Drawing, width: f64) -> Vec<Fault> {
    let mut found = notation_faults(drawing, score, StaffSpaces(width));
    found.extend(fingering_faults(drawing, score));
    found
}

#[test]
fn the_gallery_is_free_of_faults() {
    let mut failed = Vec::new();
    for (name, score) in gallery::all() {
        for width in [45.0, 97.2, 140.0] {
            for system in engraved(&score, &fretted::all(&score), width).systems {
                let found = all(&score, &system.drawing, width);
                failed.extend(arcs_on_rhythm(&system.drawing));
                failed.extend(
                    found.into_iter().map(|f| format!("{name} {width} {:?}: {f:?}", system.bars)),
                );
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// Letters, positions, barres and captions stand outside of the rhythm.
#[test]
fn fingered_pieces_are_free_of_faults() {
    let mut failed = Vec::new();
    for piece in fingered::all() {
        let fingered::Fingered { score, marks, captions, frettings, .. } = &piece;
        for width in [97.2, 62.0] {
            let sheet = Sheet { score, marks, captions, frettings };
            for system in engrave(&sheet, &style(width)).systems {
                let found = all(score, &system.drawing, width);
                failed.extend(found.into_iter().map(|f| format!("{} {width}: {f:?}", piece.name)));
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// Stems of one voice stand below the lines and do not touch them, those of the upper of two
/// above; that of a half note is shorter, a whole note has none. Common practice, no source.
#[test]
fn stems_stand_outside_of_the_lines() {
    let drawing = one(0, Metre::new(8, 4), &["C4:q E2:8 E4:8 D4:h D4:w"]);
    let stems_of_one = stems(&drawing);
    assert_eq!(stems_of_one.len(), 4);
    let length = |(from, to): (f64, f64)| (to - from).abs();
    assert!(stems_of_one.iter().all(|(from, to)| *from < -4.4 && to < from));
    // Figures on the lowest line reach .7 below it.
    let low = bounds(&of(&drawing, Kind::TabFigure)[1].ink).low;
    assert!((-4.5..-4.3).contains(&low) && stems_of_one[0].0 < low);
    assert!((length(stems_of_one[0]) - length(stems_of_one[1])).abs() < 0.01);
    let half = length(stems_of_one[3]) / length(stems_of_one[0]);
    assert!((0.4..0.6).contains(&half), "{half}");
    let two = stems(&one(0, Metre::new(2, 4), &["E4:q F4:q", "C3:q D3:q"]));
    let up = two.iter().filter(|(from, to)| *from > 4.4 && to > from).count();
    let down = two.iter().filter(|(from, to)| *from < -4.4 && to < from).count();
    assert_eq!((up, down, two.len()), (2, 2, 4));
    // A third voice has its own stems outside of those of another on its side.
    let three = stems(&one(0, Metre::new(2, 4), &["G4:8 F4:8 E4:q", "C4:q D4:8 D4:8", "C3:h"]));
    let mut beginnings: Vec<i64> = three.iter().map(|stem| (stem.0 * 100.0) as i64).collect();
    beginnings.sort_unstable();
    beginnings.dedup();
    assert_eq!(beginnings.len(), 3, "{three:?}");
}

/// A beam is level wherever its figures are, and the beams of a group are one below the
/// other within the length of its stems.
#[test]
fn beams_are_level() {
    let drawing = one(0, Metre::new(2, 4), &["E2:16 B2:16 G3:16 E4:16 E4:8 E2:8"]);
    let beams: Vec<_> = of(&drawing, Kind::Beam).iter().map(|beam| bounds(&beam.ink)).collect();
    assert_eq!(beams.len(), 3);
    assert!(beams.iter().all(|beam| (beam.height() - 0.5).abs() < 1e-9));
    let tips: Vec<f64> = stems(&drawing).iter().map(|stem| stem.1).collect();
    assert!(tips.iter().all(|tip| (tip - tips[0]).abs() < 0.01), "{tips:?}");
}

/// No key signature and no accidentals, the metre where it is on notation; and the middle of
/// a figure where that of a head would be.
#[test]
fn strings_have_a_metre_and_no_key() {
    let voices = &["C#4:q F#4:q A4:q C#4:q"];
    let drawing = one(3, Metre::COMMON, voices);
    for kind in [Kind::KeySignature, Kind::Accidental, Kind::Head, Kind::StaffLine, Kind::Clef] {
        assert!(of(&drawing, kind).is_empty(), "{kind:?}");
    }
    assert_eq!(of(&drawing, Kind::TimeSignature).len(), 2);
    assert_eq!(of(&drawing, Kind::TabLine).len(), 6);
    assert_eq!(of(&drawing, Kind::TabClef).len(), 1);
    // A change of key shows nothing, one of metre does.
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["C4:h | D4:h | E4:q D4:8 D4:8 | C4:q. "]);
    sketch.bars(|bars| {
        bars[1].signature = apoyando_music::KeySignature::new(2).unwrap();
        (bars[2].signature, bars[3].signature) = (bars[1].signature, bars[1].signature);
        bars[3].metre = Metre::new(3, 8);
    });
    let score = sketch.score();
    let changed = &engraved(&score, &fretted::all(&score), 97.2).systems[0].drawing;
    assert!(of(changed, Kind::KeySignature).is_empty());
    assert_eq!(of(changed, Kind::TimeSignature).len(), 4);
}

/// A dot stands beside the beginning of its stem, beside the figure where there is no stem.
#[test]
fn dots_stand_outside_of_the_lines_with_their_stems() {
    let drawing = one(0, Metre::new(3, 4), &["C4:q. D4:8 E4:q | C4:h."]);
    let dots = of(&drawing, Kind::Dot);
    let below = dots.iter().map(|dot| bounds(&dot.ink)).filter(|dot| dot.high < -4.0);
    assert_eq!((dots.len(), below.count()), (2, 2));
    let whole = one(0, Metre::new(6, 4), &["C4:w."]);
    let [dot] = of(&whole, Kind::Dot)[..] else { panic!("one dot") };
    let figure = bounds(&of(&whole, Kind::TabFigure)[0].ink);
    let dot = bounds(&dot.ink);
    assert!(dot.left > figure.right && dot.left < figure.right + 0.6);
    assert!((2.8..3.2).contains(&dot.low), "between the lines of ① and ②: {dot:?}");
}

/// Every stem has its figure: what a tie leads to stands in parentheses.
#[test]
fn what_is_tied_is_figured_again() {
    let drawing = one(0, Metre::new(2, 4), &["C4:q E4:q~ | E4:8 D4:8 C4:q"]);
    assert_eq!(said(&drawing), ["1", "0", "(0)", "3", "1"]);
    assert!(of(&drawing, Kind::Tie).is_empty());
}

#[test]
fn slurs_of_phrases_are_drawn_too_away_from_the_stems() {
    let drawing = one(0, Metre::new(2, 4), &["C4:8( D4:8 E4:8 F4:8)"]);
    let [slur] = of(&drawing, Kind::Slur)[..] else { panic!("one slur") };
    let figures = of(&drawing, Kind::TabFigure);
    let high = figures.iter().map(|figure| bounds(&figure.ink).high).fold(f64::MIN, f64::max);
    assert!(bounds(&slur.ink).high > high);
    let two = one(0, Metre::new(2, 4), &["C4:8< D4:8) r:q", "C3:8< D3:8) r:q"]);
    let middle = |stain: &Stain| f64::midpoint(bounds(&stain.ink).low, bounds(&stain.ink).high);
    let mut slurs: Vec<f64> = of(&two, Kind::Slur).into_iter().map(middle).collect();
    slurs.sort_by(f64::total_cmp);
    // On ② and ⑤: below the upper one, above the lower.
    assert!(slurs[0] > -2.25 && slurs[1] < 2.25, "{slurs:?}");
}

/// Grace notes have small figures before that of their note, on its string, with a slur to it:
/// alone, and under the notation. One that is a fourth and more away, one of a chord and one
/// that the string has not got have none, for their place is not known.
#[test]
fn grace_notes_have_small_figures() {
    let voice = "{/F#4}E4:q {E4,F4}G4:q {C4}E4:q {A4}E4:q | {F4}C4+E4:q E4:q E4:h";
    let score = Sketch::new(0, Metre::COMMON, &[voice]).score();
    let frettings = fretted::all(&score);
    for tablature in [Tablature::Alone, Tablature::Under] {
        let style = Style { tablature, ..style(97.2) };
        let sheet = Sheet { frettings: &frettings, ..Sheet::bare(&score) };
        let drawing = &engrave(&sheet, &style).systems[0].drawing;
        let texts = |kind: Kind| -> Vec<(Owner, String, Rect)> {
            let of_kind = of(drawing, kind).into_iter();
            of_kind
                .filter_map(|stain| match &stain.ink {
                    Ink::Text { text, .. } => Some((stain.owner, text.clone(), bounds(&stain.ink))),
                    _ => None,
                })
                .collect()
        };
        let (smalls, figures) = (texts(Kind::TabGrace), texts(Kind::TabFigure));
        let said: Vec<&str> = smalls.iter().map(|(_, text, _)| text.as_str()).collect();
        assert_eq!(said, ["2", "0", "1"], "{tablature:?}");
        for (owner, _, area) in &smalls {
            let main = figures.iter().find(|figure| figure.0 == *owner).unwrap().2;
            assert!(area.right < main.left && main.left - area.right < 4.0, "{tablature:?}");
            assert!(area.height() < 0.85 * main.height());
            assert!(area.low > main.low && area.high < main.high);
        }
        assert!(smalls[1].2.right < smalls[2].2.left);
        let low = of(drawing, Kind::TabLine)[0];
        let near = bounds(&low.ink).low - 2.0;
        let slurs = of(drawing, Kind::Slur).into_iter().map(|slur| bounds(&slur.ink));
        let slurs: Vec<Rect> =
            slurs.filter(|slur| (near..near + 4.0).contains(&slur.low)).collect();
        assert_eq!(slurs.len(), 2, "{tablature:?}");
        assert!(slurs[1].left < smalls[1].2.right && slurs[1].right > smalls[2].2.right);
        assert_eq!(all(&score, drawing, 97.2), []);
        let mut planted = drawing.clone();
        let stain = planted.stains.iter_mut().find(|stain| stain.kind == Kind::TabGrace).unwrap();
        *stain = Stain::clone(stain).moved(0.0, 0.1);
        let found = all(&score, &planted, 97.2);
        assert!(found.iter().any(|fault| fault.rule == "figure-off-line"), "{found:?}");
    }
}

/// On a small staff they are as large as text must be, but smaller than the others.
#[test]
fn small_figures_can_be_read() {
    let score = Sketch::new(0, Metre::new(2, 4), &["{/F#4}E4:q {E4,F4}G4:q"]).score();
    let frettings = fretted::all(&score);
    let sheet = Sheet { frettings: &frettings, ..Sheet::bare(&score) };
    for height in [7.2, 5.5, 5.0] {
        let staff_height = Millimetres(height);
        let drawing = engrave(&sheet, &Style { staff_height, ..style(97.2) }).systems.remove(0);
        let drawing = drawing.drawing;
        assert_eq!(small_text(&drawing, staff_height), [], "{height}");
        assert_eq!(all(&score, &drawing, 97.2), [], "{height}");
        let size = |kind: Kind| match of(&drawing, kind)[0].ink {
            Ink::Text { size, .. } => size.0,
            _ => panic!("no text"),
        };
        assert!(size(Kind::TabGrace) < 0.96 * size(Kind::TabFigure), "{height}");
    }
}

/// Parts nothing is known of keep their notation, and stand under one another with the rest.
#[test]
fn a_part_without_places_keeps_its_notation() {
    let mut sketch = Sketch::new(1, Metre::new(2, 4), &["E4:q C4:q"]);
    sketch.part("Voice", Clef::Treble, &["G4:8 A4:8 B4:q"]);
    let score = sketch.score();
    let fretting = fretted::lowest(&score, PartIndex(0));
    let drawing = &engraved(&score, &[fretting], 97.2).systems[0].drawing;
    assert_eq!((of(drawing, Kind::TabLine).len(), of(drawing, Kind::StaffLine).len()), (6, 5));
    assert_eq!(of(drawing, Kind::KeySignature).len(), 1);
    let first = |kind: Kind| bounds(&of(drawing, kind)[0].ink);
    let (figure, head) = (first(Kind::TabFigure), first(Kind::Head));
    let apart = f64::midpoint(figure.left, figure.right) - f64::midpoint(head.left, head.right);
    assert!(apart.abs() < 0.02, "{apart}");
    assert_eq!(all(&score, drawing, 97.2), []);
    // A place for no note is no tablature.
    let none = Fretting::none(PartIndex(0), StringNumber::new(6).unwrap(), score.notes().len());
    let drawing = &engraved(&score, &[none], 97.2).systems[0].drawing;
    assert_eq!((of(drawing, Kind::TabLine).len(), of(drawing, Kind::StaffLine).len()), (0, 10));
}

#[test]
fn there_are_as_many_lines_as_strings() {
    let score = Sketch::new(0, Metre::new(3, 4), &["E4:q. r:8 G3:q"]).score();
    let place = |string: u8, fret: u8| {
        Some(Place { string: StringNumber::new(string).unwrap(), fret: Fret(fret) })
    };
    for strings in 1..=10 {
        let thickest = StringNumber::new(strings).unwrap();
        let mut fretting = Fretting::none(PartIndex(0), thickest, 2);
        fretting.places = vec![place(1, 0), place(strings, 12)];
        let drawing = &engraved(&score, &[fretting], 97.2).systems[0].drawing;
        assert_eq!(of(drawing, Kind::TabLine).len(), usize::from(strings));
        assert_eq!(all(&score, drawing, 97.2), [], "{strings}");
        let low = of(drawing, Kind::TabLine).into_iter().map(|line| bounds(&line.ink).low);
        let low = low.fold(f64::MAX, f64::min);
        assert!(stems(drawing).iter().all(|(from, to)| *from < low && to < from));
    }
}

/// The meter knows what a fault is on these staves, too.
#[test]
fn planted_faults_are_found() {
    let score = Sketch::new(0, Metre::new(2, 4), &["C4:8. D4:16 r:8 E4:8"]).score();
    let drawing = &engraved(&score, &fretted::all(&score), 97.2).systems[0].drawing;
    assert_eq!(all(&score, drawing, 97.2), []);
    let moved = |kind: Kind, x: f64, y: f64| {
        let mut drawing = drawing.clone();
        let stain = drawing.stains.iter_mut().find(|stain| stain.kind == kind).unwrap();
        *stain = Stain::clone(stain).moved(x, y);
        drawing
    };
    let rules = |drawing: &Drawing| -> Vec<&'static str> {
        all(&score, drawing, 97.2).into_iter().map(|fault| fault.rule).collect()
    };
    assert!(rules(&moved(Kind::TabFigure, 0.0, 0.1)).contains(&"figure-off-line"));
    assert!(rules(&moved(Kind::TabFigure, 0.1, 0.0)).contains(&"stem-misses-head"));
    assert!(rules(&moved(Kind::Stem, 0.1, 0.0)).contains(&"stem-misses-head"));
    assert!(rules(&moved(Kind::Stem, 0.0, 6.5)).contains(&"ink-collides"));
    assert!(rules(&moved(Kind::Beam, 0.3, 0.0)).contains(&"beam-misses-stem"));
    assert!(rules(&moved(Kind::Dot, 0.0, 1.5)).contains(&"dot-on-line"));
    let rest = bounds(&of(drawing, Kind::Rest)[0].ink);
    let figure = bounds(&of(drawing, Kind::TabFigure)[0].ink);
    let on_figure = moved(Kind::Rest, figure.left - rest.left, figure.low - rest.low);
    assert!(rules(&on_figure).contains(&"ink-collides"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_score_is_engraved_without_faults(
        score in properties::score(),
        width in 40.0..160.0f64,
    ) {
        let frettings = fretted::all(&score);
        let engraving = engraved(&score, &frettings, width);
        let mut figures = 0;
        for system in &engraving.systems {
            let drawing = &system.drawing;
            let mut found = figures_off_lines(drawing);
            found.extend(heads_apart(drawing, &score));
            // Notation beside it is judged where it is tried.
            if of(drawing, Kind::Head).is_empty() {
                found.extend(faults::hard(drawing, width));
            }
            // An ossia is notation at random over it.
            let plain = score.parts().iter().all(|part| part.ossia.is_none());
            if engraving.findings.is_empty() && plain {
                found.extend(faults::all(drawing, width));
                let arcs = arcs_on_rhythm(drawing);
                prop_assert!(arcs.is_empty(), "{:?}", arcs);
            }
            prop_assert!(found.is_empty(), "{:?}", found);
            // A part of which no place is known keeps its notation.
            for stain in of(drawing, Kind::Head) {
                let Owner::Note(id) = stain.owner else { continue };
                let places = &frettings[score.note(id).part.0 as usize].places;
                prop_assert!(places.iter().all(Option::is_none), "{:?}", stain);
            }
            let texts = of(drawing, Kind::TabFigure).into_iter();
            figures += texts.filter(|stain| matches!(stain.ink, Ink::Text { .. })).count();
        }
        let mut wanted: Vec<_> = score
            .notes()
            .iter()
            .filter_map(|note| {
                let place = frettings[note.part.0 as usize].place_of(note.id)?;
                // Those of a bar that is a sign have none of their own.
                let part = score.part(note.part);
                let again = part.bar_repeats.contains(&note.bar)
                    && score.plays_again(note.part, note.bar);
                (!again).then_some((note.part, note.onset, place))
            })
            .collect();
        wanted.sort();
        // Unisons share a figure.
        wanted.dedup();
        prop_assert_eq!(figures, wanted.len());
    }
}
