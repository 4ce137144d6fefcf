//! Wavy lines: from a head, or from the sign of its trill, to the end of the last note under
//! them; over a line break without a sign to its end and on from the beginning of the next.

use apoyando_music::{Moment, Score, VoiceNumber, WavyKind};

use super::{Frame, PlacedChord, ink, notes};
use crate::drawing::{Kind, Owner};
use crate::font::{Glyph, table};
use crate::geometry::Stage;
use crate::notate::Staff;

/// What its end keeps clear of the next head, and of a barline. House.
const BEFORE_HEAD: f64 = 0.6;
const BEFORE_BARLINE: f64 = 0.3;
/// How much of a wave may stand past its end.
const PAST: f64 = 0.2;
/// White between the sign of a trill and its line.
pub const AFTER_TRILL: f64 = 0.25;

/// A wavy line on a line of music.
#[derive(Clone, Copy, Debug)]
pub struct Wavy {
    pub kind: WavyKind,
    pub voice: VoiceNumber,
    /// The onset it begins at; `None` if it goes on from the line before.
    pub begins: Option<Moment>,
    /// Index of the bar it begins in here.
    pub bar: usize,
    from: f64,
    to: f64,
    owner: Owner,
}

impl Wavy {
    const fn glyph(&self) -> &'static Glyph {
        match self.kind {
            WavyKind::Vibrato => &table::WIGGLE_VIBRATO,
            WavyKind::Trill => &table::WIGGLE_TRILL,
        }
    }

    /// Where its ink ends: after at least two waves.
    pub fn right(&self, from: f64) -> f64 {
        self.to.max(from + 2.0 * self.glyph().advance)
    }

    /// How far above and below its baseline it reaches.
    pub const fn rise(&self) -> f64 {
        self.glyph().high
    }

    pub const fn fall(&self) -> f64 {
        self.glyph().low
    }

    /// Where it begins without a sign.
    pub const fn left(&self) -> f64 {
        self.from
    }

    /// Draws it from a place on a baseline.
    pub fn put(&self, stage: &mut Stage, from: f64, baseline: f64) {
        let glyph = self.glyph();
        let ends = glyph.width() - glyph.advance;
        // Whole waves, a little past the end at most.
        let count = ((self.right(from) - from - ends) / glyph.advance + PAST).floor();
        let count = count.clamp(2.0, 1e3);
        for number in 0..count as u32 {
            let x = from - glyph.left + f64::from(number) * glyph.advance;
            stage.add(ink::glyph(glyph, 1.0, x, baseline, Kind::WavyLine, self.owner));
        }
    }
}

/// The wavy lines of a staff on a line of music, in the order of time.
pub fn on_line(
    score: &Score,
    staff: &Staff,
    frame: &Frame,
    chords: &[Vec<PlacedChord<'_>>],
) -> Vec<Wavy> {
    let bars = score.bars();
    let (Some(first), Some(last)) = (frame.bars.first(), frame.bars.last()) else {
        return Vec::new();
    };
    let (start, end) = (bars[first.index].start, bars[last.index].end_moment());
    let all = || staff.bars.iter().flat_map(|bar| &bar.chords);
    let mut lines = Vec::new();
    for (voice, line) in &staff.wavy_lines {
        let under = |onset: Moment| all().find(|c| c.voice == *voice && c.onset == onset);
        let Some(until) = under(line.to).map(|chord| chord.onset + chord.duration) else {
            continue;
        };
        if line.from >= end || until <= start {
            continue;
        }
        let begins = (line.from >= start).then_some(line.from);
        let placed = begins.and_then(|onset| {
            let here = chords.iter().zip(&frame.bars);
            let mut here = here.flat_map(|(of, bar)| of.iter().map(move |chord| (chord, bar)));
            here.find(|(placed, _)| placed.chord.voice == *voice && placed.chord.onset == onset)
        });
        let (from, owner, bar) = match (begins, placed) {
            (Some(_), Some((placed, bar))) => {
                (placed.x, Owner::Note(notes::speaker(placed.chord)), bar.index)
            }
            (Some(_), None) => continue,
            (None, _) => {
                let x = first.columns.first().map_or(first.start, |column| column.1);
                (x, Owner::Bar(apoyando_music::BarIndex(first.index as u32)), first.index)
            }
        };
        let to = frame.bars.iter().find_map(|bar| {
            // In its bar up to the next onset, or else to the barline.
            let next = bar.columns.iter().find(|column| column.0 >= until);
            let ends = bars[bar.index].end_moment() == until;
            match next {
                Some((_, x)) => Some(x - BEFORE_HEAD),
                None => ends.then_some(bar.end - BEFORE_BARLINE),
            }
        });
        let to = to.filter(|_| until <= end).unwrap_or(last.end - BEFORE_BARLINE);
        let (kind, voice) = (line.kind, *voice);
        lines.push(Wavy { kind, voice, begins, bar, from, to, owner });
    }
    lines.sort_by(|a, b| a.from.total_cmp(&b.from));
    lines
}
