//! Ties and slurs.

use apoyando_music::{EventMark, NoteId, Score, VoiceNumber};

use super::{Frame, PlacedChord, notes};
use crate::drawing::{Ink, Kind, Outline, Owner, Point, Stain};
use crate::font::table;
use crate::geometry::{PlacedHead, Rect, Stage};
use crate::notate::{self, Head, Slur, height};

/// Clear space between a tie's tip and its head.
const TIE_GAP: f64 = 0.2;
/// A tie shorter than this is not seen.
const SHORTEST: f64 = 1.75;
/// Length of a tie into nothing.
pub const RING: f64 = 2.0;
/// How far a tie has risen when it is past the heads of its own chord.
const TIP_RISE: f64 = 0.5;
/// How often a slur is lifted at most: over leaps of three octaves.
const MOST_LIFTS: usize = 100;
/// Least distance of a tie's apex from a staff line.
const OFF_LINE: f64 = 0.2;

/// One bow from tip to tip.
#[derive(Clone, Copy, Debug)]
pub struct Bow {
    pub from: (f64, f64),
    pub to: (f64, f64),
    pub height: f64,
    pub side: f64,
}

impl Bow {
    /// The shape: two cubic curves that meet at the tips.
    pub fn outline(&self, tip: f64, middle: f64) -> Vec<Outline> {
        let run = self.to.0 - self.from.0;
        let inset = self.inset();
        // A cubic curve reaches three quarters of its control points' height.
        let rise = self.height / 0.75;
        let curve = |offset: f64, up: f64| {
            let at = |x: f64, y: f64| Point::new(x, y + self.side * offset);
            let slope = (self.to.1 - self.from.1) / run.max(0.1);
            let one = self.from.1 + slope * inset + self.side * up;
            let two = self.to.1 - slope * inset + self.side * up;
            (
                at(self.from.0, self.from.1),
                at(self.from.0 + inset, one),
                at(self.to.0 - inset, two),
                at(self.to.0, self.to.1),
            )
        };
        let half = tip / 2.0;
        let swell = (middle - tip) / 0.75 / 2.0;
        let outer = curve(half, rise + swell);
        let inner = curve(-half, rise - swell);
        vec![
            Outline::Move(outer.0),
            Outline::Curve(outer.1, outer.2, outer.3),
            Outline::Line(inner.3),
            Outline::Curve(inner.2, inner.1, inner.0),
            Outline::Close,
        ]
    }

    /// A point of the bow's middle line.
    pub fn at(&self, t: f64) -> (f64, f64) {
        let run = self.to.0 - self.from.0;
        let inset = self.inset();
        let slope = (self.to.1 - self.from.1) / run.max(0.1);
        let rise = self.side * self.height / 0.75;
        let corners = [
            self.from,
            (self.from.0 + inset, self.from.1 + slope * inset + rise),
            (self.to.0 - inset, self.to.1 - slope * inset + rise),
            self.to,
        ];
        let u = 1.0 - t;
        let weights = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
        corners.iter().zip(weights).fold((0.0, 0.0), |sum, (corner, weight)| {
            (sum.0 + weight * corner.0, sum.1 + weight * corner.1)
        })
    }

    /// How far the control points stand from the tips.
    fn inset(&self) -> f64 {
        let run = self.to.0 - self.from.0;
        (run * 0.28).min(4.0).max(run * 0.18)
    }
}

/// Ink that slurs keep clear of.
pub(super) fn stops_slurs(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Head
            | Kind::Stem
            | Kind::Beam
            | Kind::Accidental
            | Kind::Dot
            | Kind::Flag
            | Kind::Rest
            | Kind::LedgerLine
            | Kind::Articulation
            | Kind::Arpeggio
            | Kind::GraceHead
            | Kind::GraceAccidental
            | Kind::GraceStem
    )
}

/// Whether a slur comes closer than .3 to notes other than its first and last,
/// or strikes these away from its tips.
fn strikes(stage: &Stage, bow: &Bow, own: &[NoteId]) -> bool {
    // A steep bow passes by what is beside it from nearer.
    let length = (bow.to.0 - bow.from.0) + 4.0 * (bow.to.1 - bow.from.1).abs();
    let count = (length / 0.4).clamp(16.0, 400.0) as usize;
    (1..count).any(|number| {
        let t = number as f64 / count as f64;
        let (x, y) = bow.at(t);
        let tip = !(0.15..=0.85).contains(&t);
        let half = table::SLUR_MIDPOINT_THICKNESS / 2.0;
        stage.near(Rect::new(x, y, x, y), 0.3 + half).any(|obstacle| {
            let in_the_way = stops_slurs(obstacle.kind);
            let mine = matches!(obstacle.owner, Owner::Note(note) if own.contains(&note))
                || obstacle.kind == Kind::Beam;
            // Its own notes it may come near at the tips, but not strike.
            let struck = matches!(obstacle.kind, Kind::Head | Kind::GraceHead)
                && obstacle.area.distance(Rect::new(x, y, x, y)) < half + 0.2;
            in_the_way && (struck || !(mine && tip))
        })
    })
}

/// A head with where it stands.
struct Place<'a> {
    placed: &'a PlacedChord<'a>,
    head: &'a Head,
    order: usize,
    right: f64,
    /// Heads of other chords of its onset.
    others: Vec<Rect>,
}

impl Place<'_> {
    /// Heads of other chords of its onset that a tie with tips at a height would meet.
    fn meeting(&self, y: f64, side: f64) -> impl Iterator<Item = &Rect> {
        let end = y + side * TIP_RISE;
        let (low, high) = (y.min(end) - 0.1, y.max(end) + 0.1);
        self.others.iter().filter(move |head| head.low < high && low < head.high)
    }
}

fn find<'a>(chords: &'a [Vec<PlacedChord<'a>>], stage: &Stage, note: NoteId) -> Option<Place<'a>> {
    let PlacedHead { right, onset, .. } = *stage.head(note)?;
    chords.iter().flatten().find_map(|placed| {
        let heads = &placed.chord.heads;
        let order = heads.iter().position(|head| head.note == note)?;
        let other = |other: &&PlacedHead| {
            other.onset == onset && !heads.iter().any(|head| head.note == other.note)
        };
        let others = stage.heads.iter().filter(other).map(|other| other.head).collect();
        Some(Place { placed, head: &heads[order], order, right, others })
    })
}

/// Whether the tie at a head bows upwards: away from the stem, in chords away
/// from the middle, in two voices to the voice's side.
fn bows_up(place: &Place<'_>) -> bool {
    let chord = place.placed.chord;
    let count = chord.heads.len();
    // Where voices share a bar, stems are on their sides.
    let voice_up = chord.up;
    if count > 1 {
        // Neighbours a second apart bow away from one another.
        let near = |other: Option<&Head>| {
            other.is_some_and(|other| (other.step - place.head.step).abs() <= 1)
        };
        let above = near(chord.heads.get(place.order + 1));
        let below = near(place.order.checked_sub(1).and_then(|at| chord.heads.get(at)));
        if above != below {
            return below;
        }
        let split = if place.placed.shared && voice_up { count / 2 } else { count.div_ceil(2) };
        return if count == 2 { place.order == 1 } else { place.order >= split };
    }
    if place.placed.shared { voice_up } else { !chord.up }
}

/// Draws all ties of a staff, those over a line break in two halves, and the
/// short ones into nothing of notes that ring on.
pub fn draw_ties(stage: &mut Stage, score: &Score, frame: &Frame, chords: &[Vec<PlacedChord<'_>>]) {
    let mut bows: Vec<(Bow, NoteId)> = Vec::new();
    for placed in chords.iter().flatten() {
        for head in &placed.chord.heads {
            if let Some(to) = head.tied_to {
                let Some(from) = find(chords, stage, head.note) else { continue };
                let up = bows_up(&from);
                match find(chords, stage, to) {
                    Some(end) => {
                        let bow = |up| tie(&from, Some(&end), up, frame.right);
                        let bow = clear_of_heads(stage, bow(up), || bow(!up));
                        bows.push((bow, head.note));
                    }
                    None if score.note(to).onset > placed.chord.onset => {
                        let edge = frame.bars.last().map_or(frame.right, |bar| bar.end);
                        let bow = |up| tie(&from, None, up, edge - 0.1);
                        let bow = clear_of_heads(stage, bow(up), || bow(!up));
                        bows.push((bow, head.note));
                    }
                    None => {}
                }
            }
            if let Some(before) = head.tied_from
                && stage.head(before).is_none()
                && let Some(end) = find(chords, stage, head.note)
            {
                let up = bows_up(&end);
                let y = tip_height(end.head, up);
                let own = end.placed.x + end.head.x;
                let heads = end.meeting(y, if up { 1.0 } else { -1.0 });
                let x = heads.map(|head| head.left).fold(own, f64::min) - TIE_GAP;
                // Beside a repeat sign there is less white.
                let white = if frame.repeat.is_some() { 0.9 } else { 1.2 };
                let left = (x - 2.2).max(frame.music - white);
                bows.push((bow((left, y), (x, y), up), head.note));
            }
            if head.tied_to.is_none()
                && placed.chord.marks.contains(&EventMark::LetRing)
                && let Some(from) = find(chords, stage, head.note)
            {
                bows.push((ring(&from, bows_up(&from)), head.note));
            }
        }
    }
    for (bow, note) in bows {
        let outline = bow.outline(table::TIE_ENDPOINT_THICKNESS, table::TIE_MIDPOINT_THICKNESS);
        stage.add(Stain { ink: Ink::Shape(outline), kind: Kind::Tie, owner: Owner::Note(note) });
    }
}

/// The first of two bows, unless it alone runs through a head of another voice.
fn clear_of_heads(stage: &Stage, one: Bow, other: impl Fn() -> Bow) -> Bow {
    let half = table::TIE_MIDPOINT_THICKNESS / 2.0;
    let strikes = |bow: &Bow| {
        (0..=40).any(|part| {
            let (x, y) = bow.at(f64::from(part) / 40.0);
            let mut near = stage.near(Rect::new(x, y, x, y), half + 0.05);
            near.any(|ink| ink.kind == Kind::Head)
        })
    };
    if !strikes(&one) {
        return one;
    }
    let other = other();
    if strikes(&other) { one } else { other }
}

/// Height of the tips beside a head: clear of the staff lines.
fn tip_height(head: &Head, up: bool) -> f64 {
    let side = if up { 1.0 } else { -1.0 };
    height(head.step) + side * if head.step.rem_euclid(2) == 0 { 0.3 } else { 0.25 }
}

fn tie(from: &Place<'_>, to: Option<&Place<'_>>, up: bool, edge: f64) -> Bow {
    let side = if up { 1.0 } else { -1.0 };
    let y = tip_height(from.head, up);
    let left_head = from.placed.x + from.head.x;
    let width = from.head.glyph.width();
    // Dots stand in the way of a tie beside the head at their own height.
    let dotted = from.head.dot_step.is_some_and(|step| (height(step) - y).abs() < 0.45);
    let mut left = if dotted { from.right } else { left_head + width } + TIE_GAP;
    if from.placed.chord.up && up && notate::has_stem(from.placed.chord) && from.order > 0 {
        left = left.max(from.placed.stem_x + 0.06 + TIE_GAP);
    }
    // A tip stays clear of what the bow would meet in its first half space.
    let rising = y + side * TIP_RISE / 2.0;
    let beside = |placed: &PlacedChord<'_>, head: &Head| {
        placed.chord.heads.len() == 1
            || (height(head.step) - y).abs() < 0.75
            || (height(head.step) - rising).abs() < 0.5 + TIP_RISE / 2.0
    };
    // Heads on the other side of the stem stand in the way, too.
    for head in from.placed.chord.heads.iter().filter(|head| beside(from.placed, head)) {
        left = left.max(from.placed.x + head.x + head.glyph.width() + TIE_GAP);
    }
    // So do those of other voices that have stepped aside.
    let tip = left;
    for head in from.meeting(y, side).filter(|head| head.right > tip) {
        left = left.max(head.right + TIE_GAP);
    }
    let mut right = edge;
    if let Some(to) = to {
        right = to.placed.x + to.head.x - TIE_GAP;
        for head in to.placed.chord.heads.iter().filter(|head| beside(to.placed, head)) {
            right = right.min(to.placed.x + head.x - TIE_GAP);
        }
        right = to.meeting(y, side).map(|head| head.left - TIE_GAP).fold(right, f64::min);
    }
    let mut tip = y;
    // Over a head there is room only at the outside of a chord without seconds.
    let free = |place: &Place<'_>| {
        let heads = &place.placed.chord.heads;
        let outermost = if up { place.order + 1 == heads.len() } else { place.order == 0 };
        outermost && heads.iter().all(|head| head.x == 0.0)
    };
    if right - left < SHORTEST && free(from) && to.is_none_or(free) {
        // Too close: the tips move over the heads.
        let middle = left_head + width / 2.0;
        left = middle + 0.1;
        if let Some(to) = to {
            right = to.placed.x + to.head.x + to.head.glyph.width() / 2.0 - 0.1;
        }
        tip = height(from.head.step) + side * 0.7;
        // A stem that points to the side of the bow is not crossed.
        let crossed =
            |place: &Place<'_>| place.placed.chord.up == up && notate::has_stem(place.placed.chord);
        let clear = table::STEM_THICKNESS / 2.0 + 0.1;
        if up && crossed(from) {
            left = left.max(from.placed.stem_x + clear);
        }
        if let Some(to) = to.filter(|to| !up && crossed(to)) {
            right = right.min(to.placed.stem_x - clear);
        }
    }
    right = right.max(left + 0.8);
    bow((left, tip), (right, tip), up)
}

/// A tie out of a head into nothing.
fn ring(from: &Place<'_>, up: bool) -> Bow {
    // Far enough away for its tip to stay beside the head.
    let start = tie(from, None, up, f64::MAX).from;
    bow(start, (start.0 + RING, start.1), up)
}

/// A tie from tip to tip, its apex clear of the staff lines.
fn bow(from: (f64, f64), to: (f64, f64), up: bool) -> Bow {
    let side = if up { 1.0 } else { -1.0 };
    let length = to.0 - from.0;
    let wanted = (0.45 + 0.06 * length).clamp(0.5, 1.3);
    let clear = |rise: f64| {
        let apex = from.1 + side * rise;
        apex.abs() > 2.0 + OFF_LINE + 0.11 || {
            let part = apex.rem_euclid(1.0);
            (OFF_LINE..=1.0 - OFF_LINE).contains(&part)
        }
    };
    let height = (0..16)
        .flat_map(|n| {
            let by = 0.05 * f64::from(n);
            [wanted + by, wanted - by]
        })
        .find(|rise| (0.45..=1.3).contains(rise) && clear(*rise))
        .unwrap_or(wanted);
    Bow { from, to, height, side }
}

/// Draws all slurs that touch this line.
pub fn draw_slurs(
    stage: &mut Stage,
    frame: &Frame,
    slurs: &[Slur],
    chords: &[Vec<PlacedChord<'_>>],
) {
    let Some(first) = frame.bars.first().map(|bar| bar.index) else { return };
    let end = first + frame.bars.len();
    for Slur { voice, from, to, .. } in slurs {
        if from.0 >= end || to.0 < first {
            continue;
        }
        let find = |(bar, chord): (usize, usize)| chords.get(bar.checked_sub(first)?)?.get(chord);
        slur(stage, frame, chords, *voice, find(*from), find(*to));
    }
}

fn slur(
    stage: &mut Stage,
    frame: &Frame,
    chords: &[Vec<PlacedChord<'_>>],
    voice: VoiceNumber,
    from: Option<&PlacedChord<'_>>,
    to: Option<&PlacedChord<'_>>,
) {
    let start = from.map(|c| c.chord.onset);
    let end = to.map(|c| c.chord.onset);
    let inside: Vec<&PlacedChord<'_>> = chords
        .iter()
        .flatten()
        .filter(|c| {
            c.chord.voice == voice
                && start.is_none_or(|s| c.chord.onset >= s)
                && end.is_none_or(|e| c.chord.onset <= e)
        })
        .collect();
    let Some(first) = inside.first() else { return };
    // Opposite to the stems where all agree, otherwise above.
    let up = if first.shared {
        first.chord.up
    } else {
        !inside.iter().all(|c| c.chord.up && notate::has_stem(c.chord))
    };
    let side = if up { 1.0 } else { -1.0 };
    let tip = |placed: &PlacedChord<'_>, ends: bool| {
        let heads = &placed.chord.heads;
        let head = if up { heads.last() } else { heads.first() };
        let middle = placed.x + head.map_or(0.59, |h| h.x + h.glyph.width() / 2.0);
        let near = head.map_or(0.0, |h| height(h.step));
        let stem_side = notate::has_stem(placed.chord) && placed.chord.up == up;
        let y = if stem_side { placed.tip + side * 0.4 } else { near + side * 0.9 };
        let x = if stem_side { placed.stem_x + if ends { -0.2 } else { 0.2 } } else { middle };
        (x, y)
    };
    let a = from.map(|c| tip(c, false));
    let b = to.map(|c| tip(c, true));
    let edge = frame.bars.last().map_or(frame.right, |bar| bar.end) - 0.1;
    let (a, b) = match (a, b) {
        (Some(a), Some(b)) => (a, b),
        // Halves of a slur over a line break rise towards the break, beyond
        // the note next to it.
        (Some(a), None) => {
            let last = inside.last().map_or(a.1, |c| tip(c, true).1);
            (a, (edge, side * (side * a.1 + 0.8).max(side * last)))
        }
        (None, Some(b)) => {
            let beside = tip(first, false).1;
            ((frame.music - 0.9, side * (side * b.1 + 0.8).max(side * beside)), b)
        }
        (None, None) => {
            let highest =
                inside.iter().map(|c| side * tip(c, false).1).fold(f64::MIN, f64::max) + 0.4;
            ((frame.music - 0.9, side * highest), (edge, side * highest))
        }
    };
    if b.0 - a.0 < 0.5 {
        return;
    }
    let length = b.0 - a.0;
    let mut bow = Bow { from: a, to: b, height: (0.6 + 0.09 * length).clamp(0.9, 3.2), side };
    let own: Vec<NoteId> = [from, to]
        .into_iter()
        .flatten()
        .flat_map(|c| c.chord.heads.iter().map(|head| head.note))
        .collect();
    // Raised until it clears what is beneath by .3; when it is as high as a
    // bow may be, its tips move away, too.
    for _ in 0..MOST_LIFTS {
        if !strikes(stage, &bow, &own) {
            break;
        }
        bow.height += 0.2;
        if bow.height > 3.2 {
            bow.from.1 += side * 0.25;
            bow.to.1 += side * 0.25;
            bow.height -= 0.2;
        }
    }
    let note = notes::speaker(from.or(to).unwrap_or(first).chord);
    let outline = bow.outline(table::SLUR_ENDPOINT_THICKNESS, table::SLUR_MIDPOINT_THICKNESS);
    stage.add(Stain { ink: Ink::Shape(outline), kind: Kind::Slur, owner: Owner::Note(note) });
}
