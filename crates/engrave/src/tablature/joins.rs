//! What joins figures: strokes for glissandi, arcs for slurs that the left hand
//! plays.

use apoyando_fretboard::{Place, StringNumber};
use apoyando_music::{Moment, NoteId};

use super::figures::{self, Figure, HEIGHT};
use super::{Fretting, lines};
use crate::drawing::{Ink, Kind, Owner, Stain};
use crate::font::table;
use crate::geometry::{Rect, Stage};
use crate::notate::{Chord, Glide, Slur, Staff};
use crate::place::{Bow, Frame, ink};

/// Thickness of a stroke, the white at its ends, how far it rises and how long it
/// may be (common practice, no source).
const THICKNESS: f64 = 0.16;
const GAP: f64 = 0.22;
const RISE: f64 = 0.8;
const LONGEST: f64 = 3.0;
/// What is shorter is not seen.
const SHORTEST: f64 = 0.4;
/// White from a figure to its arc, and from an arc to other figures.
const ARC_GAP: f64 = 0.2;
const CLEAR: f64 = 0.15;
/// How far the tips of an arc stand in from the middles of its figures, how steep it
/// may be, and how far its top keeps from a line.
const TIP: f64 = 0.12;
const STEEPEST: f64 = 0.3;
const OFF_LINE: f64 = 0.3;
/// How high an arc stands over its tips, at least and at most.
const ARC: (f64, f64) = (0.6, 1.6);
/// In how many steps of a tenth it is raised at most, higher and then away from its figures;
/// and between two voices with stems, outside of which it is clear by so much.
const RAISED: usize = 120;
const RAISED_BETWEEN: usize = 25;
const OUTSIDE: f64 = 0.4;

/// A staff of tablature with everything that its joins are drawn from.
pub struct Joins<'a> {
    pub staff: &'a Staff,
    pub frame: &'a Frame,
    pub fretting: &'a Fretting,
    pub notation: &'a Stage,
    pub figures: &'a [Figure],
    /// Whether no notation shows the slurs of phrases.
    pub all: bool,
}

/// Where a tone stands on the tablature; its figure may be missing, where it is
/// tied to the note.
#[derive(Clone, Copy, Debug)]
struct End {
    note: NoteId,
    place: Place,
    x: f64,
    half: f64,
    y: f64,
}

impl Joins<'_> {
    /// Draws all joins that touch this line; those over its break in two parts.
    pub fn draw(&self, stage: &mut Stage) {
        for glide in &self.staff.glides {
            self.stroke(stage, glide);
        }
        for slur in self.staff.slurs.iter().filter(|slur| self.all || slur.technical) {
            self.arc(stage, slur);
        }
    }

    fn chord(&self, at: (usize, usize)) -> Option<&Chord> {
        self.staff.bars.get(at.0)?.chords.get(at.1)
    }

    /// A chord's tones with their places, the highest first.
    fn tones(&self, chord: &Chord) -> Vec<Tone> {
        let heads = chord.heads.iter().rev().map(|head| head.note);
        heads.filter_map(|note| Some((note, self.fretting.place_of(note)?))).collect()
    }

    /// Whether an onset stands on this line.
    fn here(&self, onset: Moment) -> bool {
        self.notation.column(onset).is_some()
    }

    fn end(&self, onset: Moment, (note, place): Tone) -> End {
        let (x, y) = (
            figures::centre(self.notation, onset),
            lines::height(self.fretting.thickest, place.string),
        );
        let own = |figure: &&Figure| {
            figure.onset == onset && figure.string == place.string && !figure.is_small()
        };
        let half = self.figures.iter().find(own).map_or(0.0, |figure| figure.area().width() / 2.0);
        End { note, place, x, half, y }
    }

    /// Where the music of the line begins and ends.
    fn edges(&self) -> (f64, f64) {
        let right = self.frame.bars.last().map_or(self.frame.right, |bar| bar.end);
        (self.frame.music - 0.9, right - GAP)
    }

    /// Slanted strokes between the figures of two chords, string by string: up
    /// towards the higher fret.
    fn stroke(&self, stage: &mut Stage, glide: &Glide) {
        let (Some(from), Some(to)) = (self.chord(glide.from), self.chord(glide.to)) else { return };
        let (begins, ends) = (self.here(from.onset), self.here(to.onset));
        if !(begins || ends) {
            return;
        }
        for (one, other) in self.tones(from).into_iter().zip(self.tones(to)) {
            if one.1.string != other.1.string {
                continue;
            }
            let (one, other) = (self.end(from.onset, one), self.end(to.onset, other));
            let edges = self.edges();
            let mut left = if begins { one.x + one.half + GAP } else { edges.0 };
            let mut right = if ends { other.x - other.half - GAP } else { edges.1 };
            // Another voice may have taken the string in between.
            right = self
                .figures
                .iter()
                .filter(|figure| figure.string == one.place.string)
                .map(Figure::area)
                .filter(|area| area.right > left)
                .fold(right, |right, area| right.min(area.left - GAP));
            if right - left < SHORTEST {
                continue;
            }
            let (middle, half) =
                (f64::midpoint(left, right), ((right - left) / 2.0).min(LONGEST / 2.0));
            (left, right) = (middle - half, middle + half);
            let rise = match other.place.fret.cmp(&one.place.fret) {
                std::cmp::Ordering::Greater => RISE / 2.0,
                std::cmp::Ordering::Less => -RISE / 2.0,
                // Nothing slides.
                std::cmp::Ordering::Equal => continue,
            };
            let owner = Owner::Note(if begins { one.note } else { other.note });
            let (from, to) = ((left, one.y - rise), (right, one.y + rise));
            stage.add(ink::line(from, to, THICKNESS, Kind::Glissando, owner));
        }
    }

    /// Whether the top of an arc is told from the lines.
    fn off_lines(&self, bow: &Bow) -> bool {
        let (_, top) = bow.at(0.5);
        let strings = (1..=self.fretting.thickest.get()).filter_map(StringNumber::new);
        let mut lines = strings.map(|string| lines::height(self.fretting.thickest, string));
        lines.all(|line| (line - top).abs() >= OFF_LINE)
    }

    /// Whether the arc of a slur stands below: that of the lower of two voices, or on a staff
    /// with stems, away from them.
    fn below(&self, slur: &Slur) -> bool {
        if self.all {
            self.chord(slur.from).is_some_and(|chord| chord.up)
        } else {
            self.staff.bars[slur.from.0].goes_below(slur.voice)
        }
    }

    /// An arc raised until it is clear of the figures of other strings, and its top not on a
    /// line, at most so many steps; or what it then is.
    fn raised(&self, stage: &Stage, arc: Bow, own: [NoteId; 2], steps: usize) -> Result<Bow, Bow> {
        let mut bow = arc;
        for _ in 0..steps {
            if self.off_lines(&bow) && clear(stage, &bow, own) {
                return Ok(bow);
            }
            if bow.height < ARC.1 {
                bow.height += 0.1;
            } else {
                bow.from.1 += bow.side * 0.1;
                bow.to.1 += bow.side * 0.1;
            }
        }
        Err(bow)
    }

    /// An arc over the figures of a slur, or under them.
    fn arc(&self, stage: &mut Stage, slur: &Slur) {
        let (Some(from), Some(to)) = (self.chord(slur.from), self.chord(slur.to)) else { return };
        let (begins, ends) = (self.here(from.onset), self.here(to.onset));
        let inside = self
            .notation
            .onsets()
            .is_some_and(|(first, last)| from.onset < first && to.onset > last);
        if !(begins || ends || inside) {
            return;
        }
        let below = self.below(slur);
        let tips = outermost(&self.tones(from), &self.tones(to), below);
        let Some((one, other)) = tips else { return };
        let side = if below { -1.0 } else { 1.0 };
        // Arcs that meet at a figure do not touch.
        let tip = |end: End, in_by: f64| (end.x + in_by, end.y + side * (HEIGHT / 2.0 + ARC_GAP));
        let edges = self.edges();
        let (one, other) = (self.end(from.onset, one), self.end(to.onset, other));
        let (mut left, mut right) = (tip(one, TIP), tip(other, -TIP));
        if !begins {
            left = (edges.0, right.1);
        }
        if !ends {
            right = (edges.1, left.1);
        }
        let length = right.0 - left.0;
        if length < SHORTEST {
            return;
        }
        // Between strings far apart it would fall through its own figures.
        let steepest = STEEPEST * length;
        if side * (left.1 - right.1) > steepest {
            right.1 = left.1 - side * steepest;
        } else if side * (right.1 - left.1) > steepest {
            left.1 = right.1 - side * steepest;
        }
        let height = (0.4 + 0.08 * length).clamp(ARC.0, ARC.1);
        let near = Bow { from: left, to: right, height, side };
        // Between the voices of a staff with stems it does not go far from its figures.
        let between = self.all && self.staff.bars[slur.from.0].shared;
        let most = if between { RAISED_BETWEEN } else { RAISED };
        let bow = match self.raised(stage, near, [one.note, other.note], most) {
            Ok(bow) => bow,
            Err(_) if between => outside(stage, near),
            Err(bow) => bow,
        };
        let outline = bow.outline(table::SLUR_ENDPOINT_THICKNESS, table::SLUR_MIDPOINT_THICKNESS);
        let owner = Owner::Note(if begins { one.note } else { other.note });
        stage.add(Stain { ink: Ink::Shape(outline), kind: Kind::Slur, owner });
    }
}

/// The arc outside of everything on the side of the stems.
fn outside(stage: &Stage, arc: Bow) -> Bow {
    let side = -arc.side;
    let skyline = if side > 0.0 { &stage.above } else { &stage.below };
    let y = side * (skyline.reach(arc.from.0, arc.to.0) + OUTSIDE);
    Bow { from: (arc.from.0, y), to: (arc.to.0, y), side, ..arc }
}

/// A tone with its place.
type Tone = (NoteId, Place);

/// Between which tones of two chords an arc is drawn: on the outermost string that
/// both have, or else between the outermost of each.
fn outermost(from: &[Tone], to: &[Tone], below: bool) -> Option<(Tone, Tone)> {
    let rank = |string: StringNumber| {
        let number = i32::from(string.get());
        if below { -number } else { number }
    };
    let first = |tones: &[Tone]| tones.iter().min_by_key(|tone| rank(tone.1.string)).copied();
    let on = |string: StringNumber| to.iter().find(move |tone| tone.1.string == string);
    let mut shared: Vec<(Tone, Tone)> =
        from.iter().filter_map(|one| Some((*one, *on(one.1.string)?))).collect();
    shared.sort_by_key(|pair| rank(pair.0.1.string));
    shared.first().copied().or_else(|| Some((first(from)?, first(to)?)))
}

/// Whether an arc keeps clear of the rhythm and of all figures; of its own away from its tips.
fn clear(stage: &Stage, bow: &Bow, own: [NoteId; 2]) -> bool {
    let count = ((bow.to.0 - bow.from.0) / 0.3).clamp(12.0, 400.0) as usize;
    let half = table::SLUR_MIDPOINT_THICKNESS / 2.0;
    (0..=count).all(|number| {
        let t = number as f64 / count as f64;
        let (tip, (x, y)) = (!(0.12..=0.88).contains(&t), bow.at(t));
        let mut near = stage.near(Rect::new(x, y, x, y), half + CLEAR);
        !near.any(|obstacle| {
            let mine = own.iter().any(|note| obstacle.owner == Owner::Note(*note));
            match obstacle.kind {
                Kind::TabFigure => !(mine && tip),
                Kind::TabGrace => true,
                Kind::Stem | Kind::Flag | Kind::Beam | Kind::Rest | Kind::Dot => true,
                _ => false,
            }
        })
    })
}
