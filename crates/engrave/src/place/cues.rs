//! The small notes of a cue, and the name of their part above them.
//!
//! Stems and beams are planned in full size and drawn smaller: towards the head nearest to
//! the beam, so that no stem gets too short, and with their stems as they move to the small
//! heads.

use apoyando_music::BarIndex;

use super::curves::Bow;
use super::{BarFrame, PlacedChord, beams, ink, notes, tuplets};
use crate::drawing::{Face, Ink, Kind, Owner, Point, StaffSpaces, Stain};
use crate::font::{self, table};
use crate::geometry::Stage;
use crate::notate::cues::{Notated, SCALE};
use crate::notate::{self, StaffBar, height};

/// Clear space below the name, and its lowest place above the middle line. House.
const CLEAR: f64 = 0.4;
const NEAREST: f64 = 2.7;
/// Tips and height of a small tie: its apex lies on no line.
const TIP: f64 = 0.25;
const RISE: f64 = 0.5;
/// What its tips keep clear of the heads.
const GAP: f64 = 0.15;

/// Draws the cue of a bar, if it has one.
pub fn draw(stage: &mut Stage, bar: &BarFrame, notated: &StaffBar) {
    let Some(Notated { name, size, bar: cue }) = &notated.cue else { return };
    let owner = Owner::Bar(BarIndex(bar.index as u32));
    let mut placed: Vec<PlacedChord<'_>> =
        cue.chords.iter().map(|chord| notes::stand(chord, bar.column(chord.onset), true)).collect();
    let plans = beams::plan_all(&mut placed, &cue.beams);
    for (group, plan) in cue.beams.iter().zip(&plans) {
        let mut full = Stage::new(stage.part, stage.bars.clone(), false, stage.right);
        beams::draw(&mut full, bar, &placed, group, plan);
        let about = about(&placed, group);
        let by = group.first().map_or(0.0, |at| towards(bar, &placed[*at]));
        for stain in full.stains {
            stage.add(Stain { ink: flattened(stain.ink, by, about), kind: Kind::GraceStem, owner });
        }
        for at in group {
            placed[*at].tip = about + SCALE * (placed[*at].tip - about);
        }
    }
    for chord in &mut placed {
        if chord.chord.beam.is_none() {
            let head = chord.chord.heads.last().map_or(0.0, |head| height(head.step));
            chord.tip = head + SCALE * (chord.tip - head);
        }
        chord.stem_x -= towards(bar, chord);
        chord.x = bar.column(chord.chord.onset) + SCALE * chord.chord.shift;
    }
    for chord in &placed {
        small_chord(stage, bar, chord, owner);
    }
    ties(stage, &placed, owner);
    for rest in cue.rests.iter().filter(|rest| rest.drawn) {
        let x = bar.column(rest.onset);
        stage.add(ink::glyph(rest.glyph, SCALE, x, rest.y, Kind::Rest, owner));
        for dot in 0..rest.value.dots {
            let at = x + SCALE * (rest.dots_x + notate::dot_offset(dot));
            let y = rest.dots_y;
            stage.add(ink::glyph(&table::AUGMENTATION_DOT, SCALE, at, y, Kind::Dot, owner));
        }
    }
    tuplets::draw(stage, bar, cue, &placed);
    let first = cue.stacks.first().map_or(bar.start, |stack| bar.column(stack.onset));
    if !name.is_empty() {
        let width = font::text_width(Face::Regular, *size, name);
        let left = first.min(stage.right - width).max(stage.left);
        let (_, fall) = font::text_ascent(Face::Regular, *size);
        let y = (stage.above.reach(left - CLEAR, left + width + CLEAR) + CLEAR).max(NEAREST) + fall;
        stage.add(ink::text(name, Face::Regular, *size, (left, y), Kind::CueName, owner));
    }
}

/// How far left the stem of a chord moves when its heads get small.
fn towards(bar: &BarFrame, chord: &PlacedChord<'_>) -> f64 {
    (1.0 - SCALE) * (chord.stem_x - bar.column(chord.chord.onset))
}

/// The height that beams are drawn nearer to: that of the highest head under them.
fn about(placed: &[PlacedChord<'_>], group: &[usize]) -> f64 {
    let heads = group.iter().filter_map(|at| placed[*at].chord.heads.last());
    heads.map(|head| height(head.step)).fold(f64::MIN, f64::max)
}

/// The shape of a beam moved to the left and flattened.
fn flattened(shape: Ink, by: f64, about: f64) -> Ink {
    use crate::drawing::Outline::{Close, Curve, Line, Move};
    let point = |at: Point| Point {
        x: StaffSpaces(at.x.0 - by),
        y: StaffSpaces(about + SCALE * (at.y.0 - about)),
    };
    match shape {
        Ink::Shape(outline) => Ink::Shape(
            outline
                .into_iter()
                .map(|step| match step {
                    Move(to) => Move(point(to)),
                    Line(to) => Line(point(to)),
                    Curve(one, two, to) => Curve(point(one), point(two), point(to)),
                    Close => Close,
                })
                .collect(),
        ),
        other => other,
    }
}

fn small_chord(stage: &mut Stage, bar: &BarFrame, placed: &PlacedChord<'_>, owner: Owner) {
    let (chord, column) = (placed.chord, bar.column(placed.chord.onset));
    let reach = SCALE * table::LEGER_LINE_EXTENSION;
    let mut ledgers: Vec<f64> = Vec::new();
    for head in &chord.heads {
        let (x, y) = (placed.x + SCALE * head.x, height(head.step));
        for line in
            notate::ledgers(head.step).filter(|line| !ledgers.contains(line)).collect::<Vec<_>>()
        {
            ledgers.push(line);
            let (from, to) = ((x - reach, line), (x + SCALE * head.glyph.width() + reach, line));
            let thickness = SCALE * table::LEGER_LINE_THICKNESS;
            stage.add(ink::line(from, to, thickness, Kind::GraceLedgerLine, owner));
        }
        if let Some(sign) = head.accidental {
            let x = column + SCALE * sign.x;
            stage.add(ink::glyph(sign.glyph, SCALE, x, y, Kind::GraceAccidental, owner));
        }
        if head.drawn {
            stage.add(ink::glyph(head.glyph, SCALE, x, y, Kind::GraceHead, owner));
        }
        for dot in 0..head.dot_step.map_or(0, |_| chord.value.dots) {
            let x = column + SCALE * (chord.dots_x + notate::dot_offset(dot));
            let y = height(head.dot_step.unwrap_or(head.step));
            stage.add(ink::glyph(&table::AUGMENTATION_DOT, SCALE, x, y, Kind::Dot, owner));
        }
    }
    let (true, Some(lowest)) = (notate::has_stem(chord), chord.heads.first()) else { return };
    let thickness = SCALE * table::STEM_THICKNESS;
    let x = placed.stem_x + (table::STEM_THICKNESS - thickness) / 2.0;
    let mut tip = placed.tip;
    if let Some(flag) = notate::flag(chord) {
        stage.add(ink::glyph(flag, SCALE, x - thickness / 2.0, tip, Kind::GraceStem, owner));
        tip += SCALE * flag.stem_up.map_or(0.0, |at| at.1);
    }
    let start = height(lowest.step) + SCALE * lowest.glyph.stem_up.map_or(0.0, |at| at.1);
    stage.add(ink::line((x, start), (x, tip), thickness, Kind::GraceStem, owner));
}

/// Ties between the notes of the cue.
fn ties(stage: &mut Stage, placed: &[PlacedChord<'_>], owner: Owner) {
    for pair in placed.windows(2) {
        let tied = |note| pair[1].chord.heads.iter().find(|head| Some(head.note) == note);
        let heads = &pair[0].chord.heads;
        for (at, head) in heads.iter().enumerate() {
            let Some(to) = head.tied_to.and_then(|note| tied(Some(note))) else { continue };
            // The lower notes of a chord have theirs below.
            let side = if 2 * at + 1 < heads.len() { -1.0 } else { 1.0 };
            let y = height(head.step) + side * TIP;
            let left = pair[0].x + SCALE * (head.x + head.glyph.width()) + GAP;
            let right = pair[1].x + SCALE * to.x - GAP;
            let bow = Bow { from: (left, y), to: (right, y), height: RISE, side };
            let outline = bow.outline(
                SCALE * table::TIE_ENDPOINT_THICKNESS,
                SCALE * table::TIE_MIDPOINT_THICKNESS,
            );
            stage.add(Stain { ink: Ink::Shape(outline), kind: Kind::Tie, owner });
        }
    }
}
