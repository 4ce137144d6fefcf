//! Final places of everything on the staves of one system, up to where the
//! fingering begins.

mod again;
mod articulations;
mod beams;
mod beside;
mod breaths;
mod cues;
mod curves;
mod frame;
mod glissandi;
mod grace_slurs;
mod graces;
pub mod ink;
mod long_rests;
mod notes;
mod ornaments;
mod rests;
mod staff;
mod tuplets;
mod wavy;

use apoyando_music::Score;

pub use again::draw as signs_again;
pub use articulations::{glyph_of as articulation, of as articulations};
pub use beams::{Beam, PITCH as BEAM_PITCH, draw as put_beams};
pub use beside::{owner as sign_owner, put as put_sign};
pub use curves::{Bow, RING};
pub use frame::{BarFrame, Frame, Named, frame};
pub use long_rests::draw as put_long_rests;
pub use notes::{speaker, stem as put_stem};
pub use rests::draw as put_rests;
pub use staff::{barline, draw_signs, signs_and_barlines};

use crate::geometry::Stage;
use crate::notate::{Chord, Staff};

/// From the middle of five lines to the outer ones.
const HALF: f64 = 2.0;

/// A chord on the page.
#[derive(Clone, Debug)]
pub struct PlacedChord<'a> {
    pub chord: &'a Chord,
    /// Left edge of its normal heads.
    pub x: f64,
    /// Middle of its stem.
    pub stem_x: f64,
    /// Where its stem begins.
    pub start: f64,
    /// Where its stem ends.
    pub tip: f64,
    /// Whether several voices are printed in its bar.
    pub shared: bool,
}

/// Everything of one staff in one system, except fingering and what stands
/// outside of it.
pub fn stage(score: &Score, staff: &Staff, frame: &Frame) -> Stage {
    let mut stage = empty(staff, frame);
    staff::draw(&mut stage, score, staff, frame);
    let mut chords: Vec<Vec<PlacedChord<'_>>> = Vec::with_capacity(frame.bars.len());
    let mut bows = Vec::new();
    for bar in &frame.bars {
        let notated = &staff.bars[bar.index];
        let mut placed: Vec<PlacedChord<'_>> = notated
            .chords
            .iter()
            .map(|chord| notes::stand(chord, bar.column(chord.onset), notated.shared))
            .collect();
        let plans = beams::plan_all(&mut placed, &notated.beams);
        notes::draw(&mut stage, bar, notated, &placed);
        for (group, plan) in notated.beams.iter().zip(&plans) {
            beams::draw(&mut stage, bar, &placed, group, plan);
        }
        rests::draw(&mut stage, bar, notated, HALF);
        long_rests::draw(&mut stage, bar, notated, HALF);
        cues::draw(&mut stage, bar, notated);
        bows.extend(graces::draw(&mut stage, bar, notated, &placed));
        chords.push(placed);
    }
    again::draw(&mut stage, staff, frame, 1.0);
    stage.heads.sort_by_key(|head| head.note);
    for (bar, placed) in frame.bars.iter().zip(&chords) {
        articulations::draw(&mut stage, bar, placed, &staff.bars[bar.index]);
    }
    glissandi::draw(&mut stage, frame, &staff.glides, &staff.bars, &chords);
    curves::draw_ties(&mut stage, score, frame, &chords);
    grace_slurs::draw(&mut stage, bows);
    curves::draw_slurs(&mut stage, frame, &staff.slurs, &chords);
    outer_signs(&mut stage, (score, staff, frame), &chords, HALF);
    stage
}

/// A staff with nothing on it yet.
pub fn empty(staff: &Staff, frame: &Frame) -> Stage {
    let bars = frame.bars.first().map_or(0, |b| b.index) as u32
        ..frame.bars.last().map_or(0, |b| b.index + 1) as u32;
    let mut stage = Stage::new(staff.part, bars, frame.first, frame.right);
    stage.left = frame.left;
    stage.music = frame.music;
    stage.columns = frame.bars.iter().flat_map(|bar| bar.columns.iter().copied()).collect();
    stage.bar_extents = frame.bars.iter().map(|bar| (bar.start, bar.end)).collect();
    stage
}

/// Draws what stands outside of notes and slurs, whose place is where there is room: breaths,
/// ornaments, wavy lines, tuplets, fermatas. The outer lines are `half` from the middle.
pub fn outer_signs(
    stage: &mut Stage,
    (score, staff, frame): (&Score, &Staff, &Frame),
    chords: &[Vec<PlacedChord<'_>>],
    half: f64,
) {
    let lines = wavy::on_line(score, staff, frame, chords);
    for (bar, placed) in frame.bars.iter().zip(chords) {
        let notated = &staff.bars[bar.index];
        breaths::draw(stage, bar, notated, half);
        ornaments::draw(stage, placed, (bar.index, notated), &lines);
        tuplets::draw(stage, bar, notated, placed);
        articulations::draw_fermatas(stage, bar, placed, notated);
    }
}
