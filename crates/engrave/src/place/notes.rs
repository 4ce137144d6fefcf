//! Heads, ledger lines, accidentals, dots, stems and flags.

use apoyando_music::{BarIndex, NoteId};

use super::{BarFrame, PlacedChord, beside, ink};
use crate::drawing::{Kind, Owner};
use crate::font::table;
use crate::geometry::{PlacedHead, PlacedStem, Rect, Stage};
use crate::notate::{self, Chord, Stack, StaffBar, height};

/// A chord at its onset, its stem as long as without a beam.
pub fn stand(chord: &Chord, column: f64, shared: bool) -> PlacedChord<'_> {
    let x = column + chord.shift;
    PlacedChord {
        chord,
        x,
        stem_x: x + notate::stem_x(chord),
        start: notate::stem_start(chord),
        tip: notate::free_tip(chord, shared),
        shared,
    }
}

/// The note that speaks for a chord: the one its stem begins at.
pub fn speaker(chord: &Chord) -> NoteId {
    let head = if chord.up { chord.heads.first() } else { chord.heads.last() };
    head.map_or(NoteId(0), |head| head.note)
}

/// Draws the notes of a bar; stems end where `placed` says.
pub fn draw(stage: &mut Stage, bar: &BarFrame, notated: &StaffBar, placed: &[PlacedChord<'_>]) {
    for stack in &notated.stacks {
        let chords: Vec<&PlacedChord<'_>> = stack.chords.iter().map(|i| &placed[*i]).collect();
        ledger_lines(stage, &chords);
        for chord in &chords {
            stem(stage, chord);
        }
        let column = bar.column(stack.onset);
        if let Some(sign) = stack.beside {
            beside::draw(stage, column, sign, &chords);
        }
        for chord in chords {
            heads(stage, bar, notated, chord, column, stack);
        }
    }
}

fn heads(
    stage: &mut Stage,
    bar: &BarFrame,
    notated: &StaffBar,
    placed: &PlacedChord<'_>,
    column: f64,
    stack: &Stack,
) {
    let chord = placed.chord;
    let stem = notate::has_stem(chord).then_some(PlacedStem {
        up: chord.up,
        x: placed.stem_x,
        tip: placed.tip,
        beamed: chord.beam.is_some(),
    });
    for (order, head) in chord.heads.iter().enumerate() {
        let owner = Owner::Note(head.note);
        let (x, y) = (placed.x + head.x, height(head.step));
        let mut left = x;
        if let Some(accidental) = head.accidental {
            left = column + accidental.x;
            stage.add(ink::glyph(accidental.glyph, 1.0, left, y, Kind::Accidental, owner));
        }
        // A digit stands to the left of the sign.
        if let Some(sign) = stack.beside {
            left = column + sign.x;
        }
        if head.drawn {
            stage.add(ink::glyph(head.glyph, 1.0, x, y, Kind::Head, owner));
        }
        let mut right = x + head.glyph.width();
        if let Some(step) = head.dot_step {
            for dot in 0..chord.value.dots {
                let at = column + chord.dots_x + notate::dot_offset(dot);
                let glyph = &table::AUGMENTATION_DOT;
                stage.add(ink::glyph(glyph, 1.0, at, height(step), Kind::Dot, owner));
                right = at + glyph.width();
            }
        }
        stage.heads.push(PlacedHead {
            note: head.note,
            voice: chord.voice,
            bar: BarIndex(bar.index as u32),
            onset: chord.onset,
            head: Rect::new(
                x + head.glyph.left,
                y + head.glyph.low,
                x + head.glyph.right,
                y + head.glyph.high,
            ),
            step: head.step,
            stem,
            order: order.min(255) as u8,
            of: chord.heads.len().min(255) as u8,
            left,
            left_of_all: column + stack.left,
            side: notated.sides.of(chord.voice),
            right,
            tied_from: head.tied_from.is_some(),
            tied_to: head.tied_to.is_some(),
        });
    }
}

/// Draws the stem of a chord with its flag.
pub fn stem(stage: &mut Stage, placed: &PlacedChord<'_>) {
    let chord = placed.chord;
    if !notate::has_stem(chord) {
        return;
    }
    let owner = Owner::Note(speaker(chord));
    let mut tip = placed.tip;
    if let Some(flag) = notate::flag(chord) {
        let x = placed.stem_x - table::STEM_THICKNESS / 2.0;
        stage.add(ink::glyph(flag, 1.0, x, placed.tip, Kind::Flag, owner));
        let anchor = if chord.up { flag.stem_up } else { flag.stem_down };
        tip += anchor.map_or(0.0, |at| at.1);
    }
    let (from, to) = ((placed.stem_x, placed.start), (placed.stem_x, tip));
    stage.add(ink::line(from, to, table::STEM_THICKNESS, Kind::Stem, owner));
}

/// One ledger line for all heads at its height, as wide as they are.
fn ledger_lines(stage: &mut Stage, chords: &[&PlacedChord<'_>]) {
    let mut lines: Vec<(f64, f64, f64, NoteId)> = Vec::new();
    for placed in chords {
        for head in &placed.chord.heads {
            let (left, right) = (placed.x + head.x, placed.x + head.x + head.glyph.width());
            for y in notate::ledgers(head.step) {
                match lines.iter_mut().find(|line| line.0 == y) {
                    Some(line) => (line.1, line.2) = (line.1.min(left), line.2.max(right)),
                    None => lines.push((y, left, right, head.note)),
                }
            }
        }
    }
    let reach = table::LEGER_LINE_EXTENSION;
    for (y, left, right, note) in lines {
        let (from, to) = ((left - reach, y), (right + reach, y));
        let thickness = table::LEGER_LINE_THICKNESS;
        stage.add(ink::line(from, to, thickness, Kind::LedgerLine, Owner::Note(note)));
    }
}
