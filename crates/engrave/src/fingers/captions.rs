//! Captions: chord diagrams and names above everything else, degrees and words
//! below. Each kind has one level over a line of music; but a name that would hang far over its
//! notes for the sake of another is lower.

use apoyando_marks::{Caption, CaptionText};
use apoyando_music::{Moment, NoteId, Score};

use super::clear;
use super::figured::Figured;
use super::levels::{Wanting, shared};
use super::sign::{Sizes, Text};
use crate::diagram::{DiagramStyle, chord_name, diagram, middle, name_width};
use crate::drawing::{Drawing, Face, Kind, Owner};
use crate::geometry::Stage;
use crate::notate::Wishes;
use crate::space::Apart;
use crate::style::Style;

/// A caption of this line of music, measured.
struct Placed<T> {
    left: f64,
    right: f64,
    /// How far it reaches above and below its origin.
    above: f64,
    below: f64,
    what: T,
}

/// Puts the captions of a staff on it.
pub fn place(captions: &[Caption], style: &Style, sizes: &Sizes, stage: &mut Stage) {
    let here: Vec<(f64, &Caption)> = captions
        .iter()
        .filter(|caption| caption.part == stage.part)
        .filter_map(|caption| Some((stage.column(caption.at)?, caption)))
        .collect();
    let named = |at: Moment| {
        here.iter().any(|(_, caption)| {
            caption.at == at && matches!(caption.text, CaptionText::ChordName(_))
        })
    };
    let shapes = captions.iter().filter_map(|caption| match &caption.text {
        CaptionText::Diagram(shape) if caption.part == stage.part => Some(shape),
        _ => None,
    });
    let alike = DiagramStyle::over_a_staff(style).for_all(shapes);
    let mut diagrams: Vec<Placed<Drawing>> = Vec::new();
    let mut names: Vec<Placed<&str>> = Vec::new();
    let mut degrees: Vec<Placed<Figured>> = Vec::new();
    let mut words: Vec<Placed<Text>> = Vec::new();
    for (x, caption) in &here {
        let centre = centre(stage, caption.at, *x);
        match &caption.text {
            CaptionText::Diagram(shape) => {
                let style = DiagramStyle { named: !named(caption.at), ..alike };
                let drawing = diagram(shape, &style);
                let left = centre - middle(shape, &style).0;
                diagrams.push(Placed {
                    left,
                    right: left + drawing.width.0,
                    above: drawing.above.0,
                    below: drawing.below.0 + clear::UNDER_DIAGRAM,
                    what: drawing,
                });
            }
            CaptionText::ChordName(name) => {
                let width = name_width(sizes.name, name);
                let left = centre - width / 2.0;
                names.push(Placed {
                    left,
                    right: left + width,
                    above: sizes.name,
                    below: 0.0,
                    what: name,
                });
            }
            CaptionText::Degree(degree) => {
                let figured = Figured::new(degree, sizes.words);
                // The numeral is centred; its figures hang over to the right.
                let left = centre - figured.numeral.width / 2.0;
                degrees.push(Placed {
                    left,
                    right: left + figured.width(),
                    above: figured.rise(),
                    below: figured.fall(),
                    what: figured,
                });
            }
            CaptionText::Words(said) => {
                let text = Text::new(said, Face::Italic, sizes.words);
                let rise = text.rise();
                words.push(Placed {
                    left: *x,
                    right: x + text.width,
                    above: rise,
                    below: 0.3 * rise,
                    what: text,
                });
            }
        }
    }
    put_above(diagrams, f64::MAX, stage, |drawing, at, stage| {
        for stain in drawing.stains {
            stage.add(stain.moved(at.0, at.1));
        }
    });
    put_above(names, clear::LEVELLED_SIGNS, stage, |name, at, stage| {
        for stain in chord_name(name, sizes.name, Owner::System, at) {
            stage.add(stain);
        }
    });
    put_below(degrees, stage, |figured, at, stage| figured.put(stage, at));
    put_below(words, stage, |text, at, stage| text.put(stage, Kind::Words, Owner::System, at));
}

/// What lies between two onsets besides a note's wish: the head before it and
/// the white that spacing keeps.
const BESIDE_WISH: f64 = 1.4;

/// The middle of the heads of an onset that stand in its column, or of where one would.
fn centre(stage: &Stage, at: Moment, column: f64) -> f64 {
    let here = stage.heads.iter().filter(|head| head.onset == at).map(|head| head.head);
    let first = here.min_by(|a, b| a.left.total_cmp(&b.left));
    first.map_or(column + HALF_HEAD, |head| f64::midpoint(head.left, head.right))
}

/// Half the width of a black head: captions are centred on their heads.
const HALF_HEAD: f64 = 0.59;

fn put_above<T>(
    placed: Vec<Placed<T>>,
    apart: f64,
    stage: &mut Stage,
    put: impl Fn(T, (f64, f64), &mut Stage),
) {
    let shelved = shelved(placed);
    let signs: Vec<Wanting> = shelved
        .iter()
        .map(|(p, _)| {
            let level = stage.above.reach(p.left, p.right) + clear::CAPTION + p.below;
            Wanting { left: p.left, right: p.right, level }
        })
        .collect();
    let levels = shared(&signs, clear::CAPTION_SIDE, apart);
    for ((item, shelf), level) in shelved.into_iter().zip(levels) {
        let step = item.above + item.below + clear::CAPTION_SIDE;
        put(item.what, (item.left, level + shelf as f64 * step), stage);
    }
}

fn put_below<T>(
    placed: Vec<Placed<T>>,
    stage: &mut Stage,
    put: impl Fn(T, (f64, f64), &mut Stage),
) {
    let level = placed
        .iter()
        .map(|p| stage.below.reach(p.left, p.right) + clear::CAPTION + p.above)
        .max_by(f64::total_cmp);
    let Some(level) = level else { return };
    for (item, shelf) in shelved(placed) {
        let step = item.above + item.below + clear::CAPTION_SIDE;
        put(item.what, (item.left, -level - shelf as f64 * step), stage);
    }
}

/// Each item with its shelf, from left to right: one that would run into another of its shelf
/// goes on the next.
fn shelved<T>(mut placed: Vec<Placed<T>>) -> Vec<(Placed<T>, usize)> {
    placed.sort_by(|a, b| a.left.total_cmp(&b.left));
    let mut shelves: Vec<f64> = Vec::new();
    placed
        .into_iter()
        .map(|item| {
            let shelf = shelves
                .iter()
                .position(|right| right + clear::CAPTION_SIDE / 2.0 <= item.left)
                .unwrap_or(shelves.len());
            if shelf == shelves.len() {
                shelves.push(item.right);
            }
            shelves[shelf] = item.right;
            (item, shelf)
        })
        .collect()
}

/// Width that notes would like so that captions side by side have room: what is
/// missing is shared out over the onsets from one caption to the next.
pub fn request(
    score: &Score,
    captions: &[Caption],
    style: &Style,
    sizes: &Sizes,
    wishes: &mut Wishes,
) {
    for part in score.part_indices() {
        let mut wide: Vec<(Moment, f64)> = captions
            .iter()
            .filter(|caption| caption.part == part)
            .map(|caption| {
                let width = match &caption.text {
                    CaptionText::Diagram(shape) => {
                        diagram(shape, &DiagramStyle::over_a_staff(style)).width.0
                    }
                    CaptionText::ChordName(name) => name_width(sizes.name, name),
                    CaptionText::Degree(degree) => Figured::new(degree, sizes.words).width(),
                    CaptionText::Words(_) => 0.0,
                };
                (caption.at, width)
            })
            .collect();
        wide.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
        wide.dedup_by_key(|(at, _)| *at);
        for pair in wide.windows(2) {
            let ((from, first), (to, second)) = (pair[0], pair[1]);
            let onsets: Vec<(Moment, NoteId)> = score
                .notes()
                .iter()
                .filter(|note| note.part == part && note.onset > from && note.onset <= to)
                .map(|note| (note.onset, note.id))
                .collect();
            let mut moments: Vec<Moment> = onsets.iter().map(|(at, _)| *at).collect();
            moments.sort_unstable();
            moments.dedup();
            let count = moments.len().max(1) as f64;
            let distance = (first + second) / 2.0 + clear::CAPTION_SIDE;
            let needed = distance / count;
            let wish = if score.bar_at(from) == score.bar_at(to) {
                needed - BESIDE_WISH
            } else {
                wishes.want_apart(Apart { from, to, distance });
                // Over a barline the spacing itself gives much of it: 3.5 for a
                // quarter, a third more or less for each doubling.
                let length = (to - from).whole_notes() / count;
                needed - 3.5 * (4.0 * length).max(0.05).powf(0.45)
            };
            for (_, note) in onsets {
                wishes.want_beside(note, wish);
            }
        }
    }
}
