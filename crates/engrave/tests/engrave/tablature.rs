//! Tablature under the notation.

use apoyando_engrave::font::text_outline;
use apoyando_engrave::geometry::{Rect, bounds, flatten, strips};
use apoyando_engrave::meter::{collisions, ink_off_the_line, listing};
use apoyando_engrave::{
    Drawing, Engraving, Fretting, Ink, Kind, Owner, Sheet, StaffSpaces, Stain, Style, Tablature,
    engrave,
};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Clef, Metre, NoteId, PartIndex, Score};
use proptest::prelude::*;

use super::{faults, fingered, fretted, gallery, properties};
use crate::scores::Sketch;

/// As wide as a line of text, with tablature.
fn style(width: f64) -> Style {
    let tablature = Tablature::Under;
    Style { line_width: StaffSpaces(width), tablature, ..Style::default() }
}

fn engraved(score: &Score, frettings: &[Fretting], width: f64) -> Engraving {
    engrave(&Sheet { frettings, ..Sheet::bare(score) }, &style(width))
}

/// One line of music, every note where it is lowest on the neck.
fn one(metre: Metre, voices: &[&str]) -> (Score, Drawing) {
    let score = Sketch::new(0, metre, voices).score();
    let mut engraving = engraved(&score, &fretted::all(&score), 97.2);
    assert_eq!(engraving.systems.len(), 1);
    (score, engraving.systems.remove(0).drawing)
}

fn place(string: u8, fret: u8) -> Place {
    Place { string: StringNumber::new(string).unwrap(), fret: Fret(fret) }
}

/// A figure as it is read: which line from the top, over all staves, and what
/// it says; where the middle of its ink is, and how far from the line.
#[derive(Clone, PartialEq, Debug)]
struct Read {
    note: NoteId,
    line: usize,
    text: String,
    brackets: usize,
    x: f64,
    off: f64,
    height: f64,
}

fn heights(drawing: &Drawing, kind: Kind) -> Vec<f64> {
    let lines = drawing.stains.iter().filter(|stain| stain.kind == kind);
    lines
        .filter_map(|stain| match stain.ink {
            Ink::Line { from, .. } => Some(from.y.0),
            _ => None,
        })
        .collect()
}

fn read(drawing: &Drawing) -> Vec<Read> {
    let lines = heights(drawing, Kind::TabLine);
    let of = || drawing.stains.iter().filter(|stain| stain.kind == Kind::TabFigure);
    of().filter_map(|stain| {
        let Ink::Text { text, face, size, at, .. } = &stain.ink else { return None };
        let Owner::Note(note) = stain.owner else { return None };
        let ink = flatten(&text_outline(*face, size.0, text));
        let high = ink.iter().map(|point| point.1).fold(f64::MIN, f64::max);
        let low = ink.iter().map(|point| point.1).fold(f64::MAX, f64::min);
        let y = at.y.0 + (low + high) / 2.0;
        let line = (0..lines.len())
            .min_by(|a, b| (lines[*a] - y).abs().total_cmp(&(lines[*b] - y).abs()))?;
        let area = bounds(&stain.ink);
        let brackets = of().filter(|other| {
            let apart = bounds(&other.ink).distance(area);
            matches!(other.ink, Ink::Shape(_)) && other.owner == stain.owner && apart < 0.3
        });
        Some(Read {
            note,
            line,
            text: text.clone(),
            brackets: brackets.count(),
            x: (area.left + area.right) / 2.0,
            off: y - lines[line],
            height: high - low,
        })
    })
    .collect()
}

/// String and figure, in order of onsets.
fn said(drawing: &Drawing) -> Vec<(usize, String)> {
    read(drawing).into_iter().map(|figure| (figure.line % 6 + 1, figure.text)).collect()
}

/// Figures more than .02 off their line.
fn off_line(drawing: &Drawing) -> Vec<String> {
    let off = |figure: &Read| figure.off.abs() > 0.02;
    read(drawing).iter().filter(|f| off(f)).map(|f| format!("off its line: {f:?}")).collect()
}

/// Figures whose middle is more than .02 from that of every head of their onset,
/// and onsets whose figures differ by more.
fn off_column(score: &Score, drawing: &Drawing) -> Vec<String> {
    let when = |note: NoteId| (score.note(note).part, score.note(note).onset);
    let heads: Vec<(_, f64)> = drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::Head)
        .filter_map(|stain| {
            let Owner::Note(note) = stain.owner else { return None };
            let area = bounds(&stain.ink);
            Some((when(note), (area.left + area.right) / 2.0))
        })
        .collect();
    let figures = read(drawing);
    let mut found = Vec::new();
    for figure in &figures {
        let here = when(figure.note);
        if !heads.iter().any(|(at, x)| *at == here && (x - figure.x).abs() < 0.02) {
            found.push(format!("under no head: {figure:?}"));
        }
        if figures.iter().any(|f| when(f.note) == here && (f.x - figure.x).abs() > 0.02) {
            found.push(format!("not over one another: {figure:?}"));
        }
    }
    found
}

/// All faults that a crowded score does not excuse.
fn faults_of(score: &Score, drawing: &Drawing) -> Vec<String> {
    let mut found = off_line(drawing);
    found.extend(off_column(score, drawing));
    let touching = collisions(drawing).into_iter().map(|fault| fault.message);
    found.extend(touching.filter(|message| message.contains("Tab")));
    found
}

/// Common practice, no source: the scale every beginner learns first.
#[test]
fn the_scale_of_c_in_open_position() {
    let (_, drawing) =
        one(Metre::COMMON, &["C3:q D3:q E3:q F3:q | G3:q A3:q B3:q C4:q | D4:q E4:q F4:q G4:q"]);
    let wanted = [
        (5, "3"),
        (4, "0"),
        (4, "2"),
        (4, "3"),
        (3, "0"),
        (3, "2"),
        (2, "0"),
        (2, "1"),
        (2, "3"),
        (1, "0"),
        (1, "1"),
        (1, "3"),
    ];
    let wanted: Vec<_> = wanted.map(|(string, fret)| (string, fret.to_owned())).to_vec();
    assert_eq!(said(&drawing), wanted);
}

/// The search plays it on the same strings.
#[test]
fn a_fingering_gives_the_places() {
    let piece = fingered::every_digit();
    let engraving = engraved(&piece.score, &piece.frettings, 97.2);
    let all: Vec<_> = engraving.systems.iter().flat_map(|s| said(&s.drawing)).collect();
    assert_eq!(all.len(), piece.score.notes().len());
    let first: Vec<_> = all[..8].iter().map(|(string, fret)| (*string, fret.as_str())).collect();
    let wanted = [(5, "3"), (4, "0"), (4, "2"), (4, "3"), (3, "0"), (3, "2"), (2, "0"), (2, "1")];
    assert_eq!(first, wanted);
}

/// House values: lines 1.5 apart, figures 1.3 to 1.4 tall, the staff 5 to 6 below
/// the notation.
#[test]
fn lines_figures_and_distance_are_the_house_s() {
    let (_, drawing) = one(Metre::COMMON, &["E4:q G4:q C4:q A3:q"]);
    let (staff, tab) = (heights(&drawing, Kind::StaffLine), heights(&drawing, Kind::TabLine));
    assert_eq!((staff.len(), tab.len()), (5, 6));
    assert!(tab.windows(2).all(|pair| (pair[0] - pair[1] - 1.5).abs() < 1e-9));
    let gap = staff.iter().copied().fold(f64::MAX, f64::min) - tab[0];
    assert!((5.0..=6.0).contains(&gap), "{gap}");
    let figures = read(&drawing);
    assert!(figures.iter().all(|f| (1.3..=1.4).contains(&f.height)), "{figures:?}");
    // Every figure whitens its line by .15 on all sides before it is drawn.
    let at = |kind: Kind| drawing.stains.iter().position(|stain| stain.kind == kind).unwrap();
    assert!(at(Kind::TabLine) < at(Kind::Halo) && at(Kind::Halo) < at(Kind::TabFigure));
    for figure in drawing.stains.iter().filter(|stain| stain.kind == Kind::TabFigure) {
        let halo = drawing.stains.iter().find(|s| s.kind == Kind::Halo && s.owner == figure.owner);
        let (ink, white) = (bounds(&figure.ink), bounds(&halo.unwrap().ink));
        let height = white.height() - figures[0].height;
        for rim in [ink.left - white.left, white.right - ink.right, height / 2.0] {
            assert!((rim - 0.15).abs() < 0.02, "{rim}");
        }
    }
}

/// Low notes push the tablature away.
#[test]
fn ink_below_the_notation_stays_clear() {
    let (_, drawing) = one(Metre::COMMON, &["C4:q A3:q C4:q A3:q", "C2:h D2:h"]);
    let top = heights(&drawing, Kind::TabLine)[0];
    let kinds = [Kind::Head, Kind::Stem, Kind::LedgerLine];
    let low = drawing
        .stains
        .iter()
        .filter(|stain| kinds.contains(&stain.kind))
        .flat_map(|stain| strips(&stain.ink))
        .map(|area| area.low)
        .fold(f64::MAX, f64::min);
    let line = 0.13 / 2.0;
    assert!((low - top - line - 1.5).abs() < 0.02, "{low} {top}");
    assert!(top < -2.0 - 6.0);
}

#[test]
fn a_tie_is_figured_once_and_again_where_a_line_begins() {
    let score = Sketch::new(0, Metre::new(2, 4), &["C4:q E4:q~ | E4:q~ E4:q"]).score();
    let frettings = fretted::all(&score);
    let wide = engraved(&score, &frettings, 97.2);
    assert_eq!(said(&wide.systems[0].drawing), [(2, "1".to_owned()), (1, "0".to_owned())]);
    // A wide staff with as much white that each bar has its own line.
    let narrow = Style { density: 4.0, ..style(30.0) };
    let sheet = Sheet { frettings: &frettings, ..Sheet::bare(&score) };
    let narrow = engrave(&sheet, &narrow);
    assert_eq!(narrow.systems.len(), 2);
    let again = read(&narrow.systems[1].drawing);
    assert_eq!((again.len(), again[0].text.as_str(), again[0].brackets), (1, "0", 2));
    assert!(read(&narrow.systems[0].drawing).iter().all(|figure| figure.brackets == 0));
    assert_eq!(faults_of(&score, &narrow.systems[1].drawing), Vec::<String>::new());
}

#[test]
fn a_unison_on_one_string_is_one_figure_and_rests_leave_none() {
    let (score, drawing) = one(Metre::new(2, 4), &["E4:q r:q", "E4:q C3:q"]);
    assert_eq!(score.notes().len(), 3);
    assert_eq!(said(&drawing), [(1, "0".to_owned()), (5, "3".to_owned())]);
}

/// Common practice, no source: ⟨12⟩ for the octave touched at the twelfth fret.
#[test]
fn harmonics_stand_in_angle_brackets() {
    let score = Sketch::new(0, Metre::new(2, 4), &["E5:q* A4:q"]).score();
    let mut fretting = Fretting::none(PartIndex(0), StringNumber::new(6).unwrap(), 2);
    fretting.places = vec![Some(place(1, 12)), Some(place(1, 5))];
    let engraving = engraved(&score, &[fretting], 97.2);
    let figures = read(&engraving.systems[0].drawing);
    let seen: Vec<_> = figures.iter().map(|f| (f.text.as_str(), f.brackets)).collect();
    assert_eq!(seen, [("12", 2), ("5", 0)]);
}

#[test]
fn notes_without_a_place_leave_no_figure() {
    let score = Sketch::new(0, Metre::new(3, 4), &["E4:q C4:q G3:q"]).score();
    let mut fretting = Fretting::none(PartIndex(0), StringNumber::new(6).unwrap(), 0);
    assert_eq!(said(&engraved(&score, &[fretting.clone()], 97.2).systems[0].drawing), []);
    // An unknown string, and a fret no guitar has.
    fretting.places = vec![Some(place(7, 0)), Some(place(2, 255))];
    let drawing = &engraved(&score, &[fretting], 97.2).systems[0].drawing;
    assert_eq!(said(drawing), [(2, "255".to_owned())]);
    // Of a part nothing is known of there is no staff.
    let nothing = engraved(&score, &[], 97.2);
    assert!(heights(&nothing.systems[0].drawing, Kind::TabLine).is_empty());
}

#[test]
fn there_are_as_many_lines_as_strings() {
    let score = Sketch::new(0, Metre::new(3, 4), &["E4:q C4:q G3:q"]).score();
    for strings in 2..=10 {
        let thickest = StringNumber::new(strings).unwrap();
        let mut fretting = Fretting::none(PartIndex(0), thickest, 3);
        fretting.places = vec![Some(place(1, 0)), Some(place(strings, 3)), Some(place(2, 12))];
        let lone = Fretting { thickest: StringNumber::FIRST, ..fretting.clone() };
        let lone = &engraved(&score, &[lone], 97.2).systems[0].drawing;
        assert_eq!(heights(lone, Kind::TabLine).len(), 1);
        let drawing = &engraved(&score, &[fretting], 97.2).systems[0].drawing;
        assert_eq!(heights(drawing, Kind::TabLine).len(), usize::from(strings));
        let lines: Vec<usize> = read(drawing).iter().map(|figure| figure.line).collect();
        assert_eq!(lines, [0, usize::from(strings) - 1, 1]);
        assert_eq!(faults_of(&score, drawing), Vec::<String>::new());
    }
}

/// Every barline goes from the top of the notation to the bottom of the
/// tablature without a gap, and repeat dots stand in spaces of both.
#[test]
fn barlines_are_shared() {
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["C4:h | D4:h | E4:h"]);
    sketch.bars(|bars| {
        bars[1].repeat_start = true;
        bars[1].repeat_end = Some(2);
        bars[2].end = apoyando_music::BarEnd::Final;
    });
    let score = sketch.score();
    let drawing = &engraved(&score, &fretted::all(&score), 97.2).systems[0].drawing;
    let lines = || drawing.stains.iter().filter(|stain| stain.kind == Kind::BarLine);
    let mut strokes: Vec<_> = lines().map(|stain| bounds(&stain.ink)).collect();
    strokes.sort_by(|a, b| a.left.total_cmp(&b.left).then(b.high.total_cmp(&a.high)));
    let bottom = heights(drawing, Kind::TabLine)[5];
    let columns: Vec<_> = strokes.chunk_by(|a, b| (a.left - b.left).abs() < 1e-9).collect();
    // The line at the left, two strokes each of two repeats and of the end.
    assert_eq!(columns.len(), 7);
    for column in columns {
        assert!((column[0].high - 2.065).abs() < 1e-9);
        assert!((column[column.len() - 1].low - bottom + 0.065).abs() < 1e-9);
        assert!(column.windows(2).all(|pair| (pair[0].low - pair[1].high).abs() < 1e-9));
        assert!(column.windows(2).all(|pair| (pair[0].width() - pair[1].width()).abs() < 1e-9));
    }
    let tab = heights(drawing, Kind::TabLine);
    let dots: Vec<f64> = drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::RepeatDots)
        .map(|stain| bounds(&stain.ink))
        .map(|area| (area.low + area.high) / 2.0)
        .filter(|y| *y < -3.0)
        .collect();
    assert_eq!(dots.len(), 4);
    for y in dots {
        assert!(tab.iter().all(|line| (line - y).abs() > 0.74), "{y}");
    }
}

/// Each guitar has its tablature under its own staff.
#[test]
fn a_duet_has_two() {
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["E4:q C4:q"]);
    sketch.named("First").part("Second", Clef::Guitar, &["C3:8 G3:8 E3:8 G3:8"]);
    let score = sketch.score();
    let drawing = &engraved(&score, &fretted::all(&score), 97.2).systems[0].drawing;
    let (staff, tab) = (heights(drawing, Kind::StaffLine), heights(drawing, Kind::TabLine));
    assert_eq!((staff.len(), tab.len()), (10, 12));
    let low = |lines: &[f64]| lines.iter().copied().fold(f64::MAX, f64::min);
    let high = |lines: &[f64]| lines.iter().copied().fold(f64::MIN, f64::max);
    assert!(low(&staff[..5]) > high(&tab[..6]) && low(&tab[..6]) > high(&staff[5..]));
    assert!(low(&staff[5..]) > high(&tab[6..]));
    let lines: Vec<usize> = read(drawing).iter().map(|figure| figure.line).collect();
    assert_eq!(lines, [0, 1, 10, 8, 9, 8]);
}

/// Each player's notation and tablature are joined by a bracket and by barlines; from player
/// to player only the line at the left goes on. Without tablature one bracket joins all.
#[test]
fn the_players_of_a_duet_are_told_apart() {
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["E4:q C4:q | E4:h"]);
    sketch.named("First").part("Second", Clef::Guitar, &["C3:8 G3:8 E3:8 G3:8 | C3:h"]);
    let score = sketch.score();
    let drawing = engraved(&score, &fretted::all(&score), 97.2).systems.remove(0).drawing;
    let areas = |drawing: &Drawing, kind: Kind| -> Vec<Rect> {
        let all = drawing.stains.iter().filter(|stain| stain.kind == kind);
        let mut all: Vec<_> = all.map(|stain| bounds(&stain.ink)).collect();
        all.sort_by(|a, b| b.high.total_cmp(&a.high));
        all
    };
    let brackets = |drawing: &Drawing| -> Vec<(f64, f64)> {
        let strokes = areas(drawing, Kind::Bracket).into_iter();
        strokes.filter(|it| it.height() > 3.0).map(|it| (it.high, it.low)).collect()
    };
    // From the top down.
    let lines = |drawing: &Drawing, kind: Kind| {
        let mut lines = heights(drawing, kind);
        lines.sort_by(|a, b| b.total_cmp(a));
        lines
    };
    let (staff, tab) = (lines(&drawing, Kind::StaffLine), lines(&drawing, Kind::TabLine));
    let both = brackets(&drawing);
    assert_eq!(both.len(), 2);
    for (player, (high, low)) in both.iter().enumerate() {
        let (top, bottom) = (staff[5 * player], tab[6 * player + 5]);
        assert!((0.0..1.0).contains(&(high - top)) && (0.0..1.0).contains(&(bottom - low)));
    }
    // Between the last line of the first player and the first of the second.
    let between = (tab[5] + staff[5]) / 2.0;
    let across = |drawing: &Drawing, y: f64| {
        areas(drawing, Kind::BarLine).iter().filter(|it| it.low < y && y < it.high).count()
    };
    assert_eq!(across(&drawing, between), 1, "the line at the left");
    let inside = across(&drawing, (staff[4] + tab[0]) / 2.0);
    assert!(inside >= 3, "{inside}");
    assert_eq!(across(&drawing, (staff[9] + tab[6]) / 2.0), inside);
    let plain = engrave(&Sheet::bare(&score), &Style::default()).systems.remove(0).drawing;
    let staff = lines(&plain, Kind::StaffLine);
    assert_eq!(brackets(&plain).len(), 1);
    assert_eq!(across(&plain, (staff[4] + staff[5]) / 2.0), inside);
}

/// Strokes of glissandi and arcs, as far as they stand under the notation.
fn joins(drawing: &Drawing, kind: Kind) -> Vec<Stain> {
    let top = heights(drawing, Kind::TabLine)[0] + 2.5;
    let of = drawing.stains.iter().filter(|stain| stain.kind == kind);
    of.filter(|stain| bounds(&stain.ink).low < top).cloned().collect()
}

/// A stroke rises to the higher fret and stands on the line of its string.
#[test]
fn glissandi_are_strokes_between_figures() {
    let (score, drawing) = one(Metre::new(3, 4), &["F4:q/ A4:q\\ E4:q | A4:q/ F4:q\\ E4:q"]);
    assert_eq!(said(&drawing).iter().map(|figure| figure.0).max(), Some(1));
    let (figures, line) = (read(&drawing), heights(&drawing, Kind::TabLine)[0]);
    let strokes = joins(&drawing, Kind::Glissando);
    assert_eq!(strokes.len(), 2);
    for (stroke, (first, up)) in strokes.iter().zip([(0, true), (3, false)]) {
        let Ink::Line { from, to, .. } = stroke.ink else { panic!("{stroke:?}") };
        assert!(figures[first].x < from.x.0 && from.x < to.x && to.x.0 < figures[first + 1].x);
        assert!((f64::midpoint(from.y.0, to.y.0) - line).abs() < 1e-9);
        assert_eq!(from.y < to.y, up);
    }
    assert_eq!(faults_of(&score, &drawing), Vec::<String>::new());
}

/// What the left hand slurs has an arc over its figures; what is only phrased has
/// none. Over a line break it has two halves.
#[test]
fn slurs_of_the_left_hand_are_arcs() {
    let (score, drawing) = one(Metre::new(2, 4), &["E4:8< F4:8) G4:8( F4:8)"]);
    let arcs = joins(&drawing, Kind::Slur);
    assert_eq!(arcs.len(), 1);
    let (area, figures) = (bounds(&arcs[0].ink), read(&drawing));
    assert!((area.left - figures[0].x).abs() < 0.3 && (area.right - figures[1].x).abs() < 0.3);
    assert!(area.low > heights(&drawing, Kind::TabLine)[0] + figures[0].height / 2.0);
    assert_eq!(faults_of(&score, &drawing), Vec::<String>::new());
    // On an inner string its top keeps off the line above.
    let (_, drawing) = one(Metre::new(2, 4), &["C4:8< D4:8) C4:q"]);
    let (lines, arc) = (heights(&drawing, Kind::TabLine), &joins(&drawing, Kind::Slur)[0]);
    let high = bounds(&arc.ink).high;
    assert!(lines.iter().all(|line| (line - high).abs() > 0.2), "{high} {lines:?}");
    let score = Sketch::new(0, Metre::new(2, 4), &["E4:h< | F4:h)"]).score();
    let frettings = fretted::all(&score);
    let sheet = Sheet { frettings: &frettings, ..Sheet::bare(&score) };
    let narrow = engrave(&sheet, &Style { density: 4.0, ..style(30.0) });
    assert_eq!(narrow.systems.len(), 2);
    for system in &narrow.systems {
        assert_eq!(joins(&system.drawing, Kind::Slur).len(), 1);
    }
}

#[test]
fn listed() {
    let (_, drawing) = one(Metre::new(2, 4), &["E4:q B3+D4:q | r:q C4:q", "C3:h | E2:h"]);
    let text = listing(&drawing);
    let told = text.lines().filter(|line| !line.starts_with("StaffLine"));
    insta::assert_snapshot!(told.collect::<Vec<_>>().join("\n"));
}

#[test]
fn the_gallery_is_free_of_faults() {
    for (name, score) in gallery::all() {
        for width in [45.0, 97.2, 140.0] {
            for system in engraved(&score, &fretted::all(&score), width).systems {
                let (drawing, bars) = (&system.drawing, &system.bars);
                assert_eq!(faults::all(drawing, width), [], "{name} {width} {bars:?}");
                let found = faults_of(&score, drawing);
                assert_eq!(found, Vec::<String>::new(), "{name} {width} {bars:?}");
            }
        }
    }
}

/// Fingering marks stay on the notation, and all of both is clear of one another.
#[test]
fn fingered_pieces_are_free_of_faults() {
    for piece in fingered::all() {
        let fingered::Fingered { score, marks, captions, frettings, .. } = &piece;
        for width in [97.2, 62.0] {
            let sheet = Sheet { score, marks, captions, frettings };
            for system in engrave(&sheet, &style(width)).systems {
                let drawing = &system.drawing;
                let found = faults_of(score, drawing);
                assert_eq!(found, Vec::<String>::new(), "{} {width}", piece.name);
                let faults = apoyando_engrave::meter::fingering_faults(drawing, score);
                assert_eq!(faults, [], "{} {width}", piece.name);
            }
        }
    }
}

fn moved(drawing: &Drawing, kind: Kind, x: f64, y: f64) -> Drawing {
    let mut drawing = drawing.clone();
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == kind).unwrap();
    *stain = Stain::clone(stain).moved(x, y);
    drawing
}

#[test]
fn planted_faults_are_found() {
    let (score, drawing) = one(Metre::new(2, 4), &["C4+E4:q C4:q | E4:h"]);
    assert_eq!(faults_of(&score, &drawing), Vec::<String>::new());
    let figures = read(&drawing);
    let figure = |x: f64, y: f64| moved(&drawing, Kind::TabFigure, x, y);
    assert!(!off_line(&figure(0.0, 0.05)).is_empty());
    assert!(!off_column(&score, &figure(0.05, 0.0)).is_empty());
    let (lone, one_note) = one(Metre::new(2, 4), &["C4:h"]);
    assert!(!off_column(&lone, &moved(&one_note, Kind::Head, 0.05, 0.0)).is_empty());
    let touching = |drawing: &Drawing| !collisions(drawing).is_empty();
    // On the neighbouring string, on the next onset, on the barline, on TAB.
    assert!(touching(&figure(0.0, -0.3)));
    assert!(touching(&figure(figures[2].x - figures[0].x, -1.5)));
    let line = drawing.stains.iter().rfind(|stain| stain.kind == Kind::BarLine).unwrap();
    assert!(touching(&figure(bounds(&line.ink).left - figures[0].x, 0.0)));
    let clef = drawing.stains.iter().find(|stain| stain.kind == Kind::TabClef).unwrap();
    let letters = bounds(&clef.ink);
    assert!(touching(&figure(letters.left + 0.8 - figures[0].x, -1.5)));
    assert!(touching(&moved(&drawing, Kind::TabClef, -letters.left - 0.5, 0.0)));
    // What joins figures, on one of them.
    let (_, drawing) = one(Metre::new(2, 4), &["E4:q/< F4:q\\)"]);
    assert!(!touching(&drawing));
    let half = (read(&drawing)[1].x - read(&drawing)[0].x) / 2.0;
    for (kind, x, y) in [(Kind::Slur, 0.0, -0.8), (Kind::Glissando, half, 0.0)] {
        let mut planted = drawing.clone();
        let stain = planted.stains.iter_mut().rfind(|stain| stain.kind == kind).unwrap();
        *stain = Stain::clone(stain).moved(x, y);
        assert!(touching(&planted), "{kind:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_struck_tone_has_one_figure(score in properties::score(), width in 40.0..160.0f64) {
        let frettings = fretted::all(&score);
        let engraving = engraved(&score, &frettings, width);
        let mut plain = Vec::new();
        for system in &engraving.systems {
            let drawing = &system.drawing;
            prop_assert_eq!(off_line(drawing), Vec::<String>::new());
            prop_assert_eq!(off_column(&score, drawing), Vec::<String>::new());
            prop_assert_eq!(ink_off_the_line(drawing, StaffSpaces(width)), []);
            if engraving.findings.is_empty() {
                prop_assert_eq!(faults_of(&score, drawing), Vec::<String>::new());
            }
            for figure in read(drawing) {
                let note = score.note(figure.note);
                let place = frettings[note.part.0 as usize].place_of(note.id).unwrap();
                let line = 6 * note.part.0 as usize + place.string.index();
                prop_assert_eq!(figure.line, line);
                prop_assert_eq!(&figure.text, &place.fret.to_string());
                if note.tied_from.is_none() {
                    plain.push((note.part, note.onset, place));
                } else {
                    prop_assert_eq!(figure.brackets, 2);
                }
            }
        }
        let struck = score.notes().iter().filter(|note| note.tied_from.is_none());
        let mut wanted: Vec<_> = struck
            .filter_map(|note| {
                let place = frettings[note.part.0 as usize].place_of(note.id)?;
                Some((note.part, note.onset, place))
            })
            .collect();
        wanted.sort();
        // Unisons share a figure.
        wanted.dedup();
        plain.sort();
        prop_assert_eq!(plain, wanted);
    }

    #[test]
    fn nothing_changes_where_none_is_asked_for(
        score in properties::score(),
        width in 40.0..160.0f64,
    ) {
        let bare = Style { line_width: StaffSpaces(width), ..Style::default() };
        let frettings = fretted::all(&score);
        let without = engrave(&Sheet::bare(&score), &bare);
        let unasked = engrave(&Sheet { frettings: &frettings, ..Sheet::bare(&score) }, &bare);
        // Where the hand is free is known only with places; the ink is the same.
        prop_assert_eq!(without.systems.len(), unasked.systems.len());
        for (without, unasked) in without.systems.iter().zip(&unasked.systems) {
            prop_assert_eq!(&without.drawing, &unasked.drawing);
        }
        prop_assert_eq!(&without, &engraved(&score, &[], width));
    }
}
