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
pub use beside::{owner as sign_owner, put as put_sign};
pub use curves::{Bow, RING};
pub use frame::{BarFrame, Frame, frame};
pub use staff::{barline, signs_and_barlines};

use crate::geometry::Stage;
use crate::notate::{Chord, Staff};

/// A chord on the page.
#[derive(Clone, Debug)]
pub struct PlacedChord<'a> {
    pub chord: &'a Chord,
    /// Left edge of its normal heads.
    pub x: f64,
    /// Middle of its stem.
    pub stem_x: f64,
    /// Where its stem ends.
    pub tip: f64,
    /// Whether several voices are printed in its bar.
    pub shared: bool,
}

/// Everything of one staff in one system, except fingering and what stands
/// outside of it.
pub fn stage(score: &Score, staff: &Staff, frame: &Frame) -> Stage {
    let bars = frame.bars.first().map_or(0, |b| b.index) as u32
        ..frame.bars.last().map_or(0, |b| b.index + 1) as u32;
    let mut stage = Stage::new(staff.part, bars, frame.first, frame.right);
    stage.left = frame.left;
    stage.music = frame.music;
    stage.columns = frame.bars.iter().flat_map(|bar| bar.columns.iter().copied()).collect();
    stage.bar_extents = frame.bars.iter().map(|bar| (bar.start, bar.end)).collect();
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
        rests::draw(&mut stage, bar, notated);
        long_rests::draw(&mut stage, bar, notated);
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
    let lines = wavy::on_line(score, staff, frame, &chords);
    for (bar, placed) in frame.bars.iter().zip(&chords) {
        breaths::draw(&mut stage, bar, &staff.bars[bar.index]);
        ornaments::draw(&mut stage, placed, (bar.index, &staff.bars[bar.index]), &lines);
        tuplets::draw(&mut stage, bar, &staff.bars[bar.index], placed);
        articulations::draw_fermatas(&mut stage, bar, placed, &staff.bars[bar.index]);
    }
    stage
}
