//! Tablature that stands alone, with its rhythm: what is on the staff up to where the
//! fingering begins. How the rhythm is shown, and where, is told in `notate`, `strings`.

use apoyando_music::{BarIndex, EventMark, NoteId, Score};

use super::figures::{self, Figure, HEIGHT};
use super::graces::{self, Smalls};
use super::joins::Joins;
use super::{Fretting, lines, sweeps};
use crate::drawing::{Ink, Kind, Owner, Stain};
use crate::font::table;
use crate::geometry::{PlacedHead, PlacedStem, Rect, Stage};
use crate::notate::{self, CENTRE, Chord, Staff, StaffBar, has_stem, strings};
use crate::place::{self, BarFrame, Beam, Bow, Frame, PlacedChord, ink};
use crate::style::Style;

/// Clear space from other ink to marks of articulation. House.
const CLEAR: f64 = 0.35;
/// How far a tie into nothing stands over the middle of its figure, and its height.
const RING_RISE: f64 = 0.2;
const RING_HEIGHT: f64 = 0.36;

/// Everything of one staff in one system, except fingering and what stands outside of it.
pub fn stage(
    score: &Score,
    style: &Style,
    staff: &Staff,
    frame: &Frame,
    fretting: &Fretting,
) -> Stage {
    let mut stage = place::empty(staff, frame);
    let sizes = lines::sizes(fretting.thickest);
    lines::strings(&mut stage, fretting.thickest, frame);
    place::draw_signs(&mut stage, score, staff, frame, sizes);
    let mut chords: Vec<Vec<PlacedChord<'_>>> = Vec::with_capacity(frame.bars.len());
    for bar in &frame.bars {
        let notated = &staff.bars[bar.index];
        let placed = stand(bar, notated, fretting);
        for chord in &placed {
            put_heads(&mut stage, bar, notated, chord, fretting);
        }
        chords.push(placed);
    }
    stage.heads.sort_by_key(|head| head.note);
    let mut figures = figures::of(score, fretting, &stage, true);
    for head in &mut stage.heads {
        if let Some(figure) = figures.iter().find(|figure| figure.note == head.note) {
            head.head = figure.area();
            (head.left, head.right) = (head.head.left, head.head.right);
        }
    }
    let smalls = smalls(score, (staff, frame), fretting, figures::small(style));
    for (group, column, _) in &smalls {
        figures.extend(graces::figures(score, fretting, group, *column));
    }
    figures::put(&mut stage, &figures);
    for (bar, placed) in frame.bars.iter().zip(&chords) {
        let notated = &staff.bars[bar.index];
        put_rhythm(&mut stage, (score, bar, notated), placed, fretting);
        place::put_rests(&mut stage, bar, notated, sizes.0);
        place::put_long_rests(&mut stage, bar, notated, sizes.0);
    }
    place::signs_again(&mut stage, staff, frame, lines::LINE_GAP);
    let places = stage.clone();
    sweeps::draw(&mut stage, score, (staff, frame), fretting, (&places, &figures));
    let joins = Joins { staff, frame, fretting, notation: &places, figures: &figures, all: true };
    joins.draw(&mut stage);
    for (group, _, side) in &smalls {
        graces::slur(&mut stage, &figures, group, *side);
    }
    for (bar, placed) in frame.bars.iter().zip(&chords) {
        let notated = &staff.bars[bar.index];
        for chord in placed {
            ring(&mut stage, chord.chord, &figures);
            articulate(&mut stage, chord, notated.shared);
        }
    }
    place::outer_signs(&mut stage, (score, staff, frame), &chords, sizes.0);
    stage
}

/// The grace notes of a line with their columns and on which side their slurs are: away from
/// the stems.
fn smalls(
    score: &Score,
    (staff, frame): (&Staff, &Frame),
    fretting: &Fretting,
    scale: f64,
) -> Vec<(Smalls, f64, f64)> {
    let mut smalls = Vec::new();
    for bar in &frame.bars {
        let notated = &staff.bars[bar.index];
        for stack in &notated.stacks {
            let column = bar.column(stack.onset);
            let chords = stack.chords.iter().map(|at| &notated.chords[*at]);
            let groups = chords.map(|chord| {
                let side = if chord.up { -1.0 } else { 1.0 };
                (graces::lay(score, fretting, chord, stack.left, None, scale), side)
            });
            smalls.extend(graces::lay_once(groups).map(|(group, side)| (group, column, side)));
        }
    }
    smalls
}

/// The chords of a bar at their onsets.
fn stand<'a>(bar: &BarFrame, notated: &'a StaffBar, fretting: &Fretting) -> Vec<PlacedChord<'a>> {
    let spans = strings::spans(notated, fretting.thickest);
    let stand = |(chord, span): (&'a Chord, strings::Span)| {
        let x = bar.column(chord.onset);
        let (stem_x, shared) = (x + CENTRE, notated.shared);
        PlacedChord { chord, x, stem_x, start: span.from, tip: span.tip, shared }
    };
    notated.chords.iter().zip(spans).map(stand).collect()
}

/// Tells where the notes of a chord stand; those without a place are in the middle.
fn put_heads(
    stage: &mut Stage,
    bar: &BarFrame,
    notated: &StaffBar,
    placed: &PlacedChord<'_>,
    fretting: &Fretting,
) {
    let chord = placed.chord;
    let stem = has_stem(chord).then_some(PlacedStem {
        up: chord.up,
        x: placed.stem_x,
        tip: placed.tip,
        beamed: chord.beam.is_some(),
    });
    for (order, head) in chord.heads.iter().enumerate() {
        let place = fretting.place_of(head.note);
        let y = place.map_or(0.0, |place| lines::height(fretting.thickest, place.string));
        let up = HEIGHT / 2.0;
        let (left, right) = (placed.x, placed.x + 2.0 * CENTRE);
        stage.heads.push(PlacedHead {
            note: head.note,
            voice: chord.voice,
            bar: BarIndex(bar.index as u32),
            onset: chord.onset,
            head: Rect::new(left, y - up, right, y + up),
            step: head.step,
            stem,
            order: order.min(255) as u8,
            of: chord.heads.len().min(255) as u8,
            left,
            left_of_all: left,
            side: notated.sides.of(chord.voice),
            right,
            tied_from: head.tied_from.is_some(),
            tied_to: false,
        });
    }
}

/// Draws stems, flags, beams and dots.
fn put_rhythm(
    stage: &mut Stage,
    (score, bar, notated): (&Score, &BarFrame, &StaffBar),
    placed: &[PlacedChord<'_>],
    fretting: &Fretting,
) {
    let spans = strings::spans(notated, fretting.thickest);
    for (chord, span) in placed.iter().zip(spans) {
        place::put_stem(stage, chord);
        let owner = Owner::Note(place::speaker(chord.chord));
        for y in strings::dot_heights(score, fretting, chord.chord, span) {
            for dot in 0..chord.chord.value.dots {
                let x = chord.x + chord.chord.dots_x + notate::dot_offset(dot);
                stage.add(ink::glyph(&table::AUGMENTATION_DOT, 1.0, x, y, Kind::Dot, owner));
            }
        }
    }
    for group in &notated.beams {
        let Some(first) = group.first().map(|at| &placed[*at]) else { continue };
        let beam = Beam::level(first.tip, first.chord.up);
        place::put_beams(stage, bar, placed, group, &beam);
    }
}

/// Draws the ties into nothing after the figures of a chord that rings on.
fn ring(stage: &mut Stage, chord: &Chord, figures: &[Figure]) {
    if !chord.marks.contains(&EventMark::LetRing) {
        return;
    }
    // Beside all figures that are struck with it.
    let struck = figures.iter().filter(|figure| figure.onset == chord.onset);
    let right = struck.map(|figure| figure.area().right).fold(f64::MIN, f64::max);
    let own = |note: NoteId| figures.iter().find(move |figure| figure.note == note);
    for figure in chord.heads.iter().filter_map(|head| own(head.note)) {
        let (x, y) = (right + strings::RING_GAP, figure.centre.1);
        let side = if y < 0.0 { -1.0 } else { 1.0 };
        let from = (x, y + side * RING_RISE);
        let bow = Bow { from, to: (x + place::RING, from.1), height: RING_HEIGHT, side };
        let outline = bow.outline(table::TIE_ENDPOINT_THICKNESS, table::TIE_MIDPOINT_THICKNESS);
        let owner = Owner::Note(figure.note);
        stage.add(Stain { ink: Ink::Shape(outline), kind: Kind::Tie, owner });
    }
}

/// Draws dots, tenuto lines and accents outside of the lines: those of one of two voices on
/// the side of its stems, or else above.
fn articulate(stage: &mut Stage, placed: &PlacedChord<'_>, shared: bool) {
    let above = !shared || placed.chord.up;
    let owner = Owner::Note(place::speaker(placed.chord));
    for mark in place::articulations(placed.chord) {
        let glyph = place::articulation(mark, above);
        let half = glyph.width() / 2.0;
        let skyline = if above { &stage.above } else { &stage.below };
        let near = skyline.reach(placed.stem_x - half, placed.stem_x + half) + CLEAR;
        let y = if above { near - glyph.low } else { -near - glyph.high };
        let x = placed.stem_x - half - glyph.left;
        stage.add(ink::glyph(glyph, 1.0, x, y, Kind::Articulation, owner));
    }
}
