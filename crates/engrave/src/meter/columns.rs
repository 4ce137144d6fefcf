//! Notes struck together that do not stand together, and distances that do not follow the
//! time.

use std::collections::BTreeMap;

use apoyando_music::{Duration, Moment, Note, Score};

use super::{Fault, figures};
use crate::drawing::{Drawing, Kind, Owner};
use crate::geometry::{Rect, bounds};

/// Heads of one onset are no farther apart [house value].
const TOGETHER: f64 = 0.02;
/// Equal times in a bar may differ by so much of their mean: displaced heads, dots and
/// flags need their room.
const UNEVEN: f64 = 0.4;

/// Left edges of the heads of each onset that stand in their usual place: those of notes
/// that are alone on their staff.
fn plain_heads(drawing: &Drawing, score: &Score) -> BTreeMap<Moment, Vec<Rect>> {
    let mut struck: BTreeMap<(u16, Moment), usize> = BTreeMap::new();
    for note in score.notes() {
        *struck.entry((note.part.0, note.onset)).or_default() += 1;
    }
    let mut columns: BTreeMap<Moment, Vec<Rect>> = BTreeMap::new();
    for (note, area) in heads(drawing, score) {
        if struck.get(&(note.part.0, note.onset)) == Some(&1) {
            columns.entry(note.onset).or_default().push(area);
        }
    }
    columns
}

/// The heads of notes, and where they would be of those that have a figure alone.
pub(super) fn heads<'a>(
    drawing: &'a Drawing,
    score: &'a Score,
) -> impl Iterator<Item = (&'a Note, Rect)> + 'a {
    let heads = drawing.stains.iter().filter(|stain| stain.kind == Kind::Head);
    let heads = heads.filter_map(|stain| match stain.owner {
        Owner::Note(id) => Some((id, bounds(&stain.ink))),
        _ => None,
    });
    let figures = figures::alone(drawing).into_iter().map(|figure| (figure.note, figure.head()));
    heads.chain(figures).filter_map(|(id, area)| Some((score.notes().get(id.0 as usize)?, area)))
}

/// Heads of one onset that do not stand over one another.
#[must_use]
pub fn heads_apart(drawing: &Drawing, score: &Score) -> Vec<Fault> {
    let columns = plain_heads(drawing, score);
    let apart = columns.values().flat_map(|column| {
        let first = column.first().copied();
        column.iter().filter(move |head| {
            first.is_some_and(|first| (first.left - head.left).abs() > TOGETHER)
        })
    });
    apart
        .map(|head| Fault {
            rule: "heads-apart",
            place: *head,
            message: "notes struck together do not stand together".to_owned(),
        })
        .collect()
}

/// Distances of neighbouring onsets of a bar by the time between them.
fn distances(drawing: &Drawing, score: &Score) -> BTreeMap<(u32, Duration), Vec<(f64, Rect)>> {
    let mut columns: BTreeMap<(u32, Moment), Rect> = BTreeMap::new();
    for (note, area) in heads(drawing, score) {
        let column = columns.entry((note.bar.0, note.onset)).or_insert(area);
        if area.left < column.left {
            *column = area;
        }
    }
    let mut all: BTreeMap<(u32, Duration), Vec<(f64, Rect)>> = BTreeMap::new();
    let columns: Vec<_> = columns.into_iter().collect();
    let needs_room = |kind: Kind| {
        matches!(
            kind,
            Kind::GraceHead | Kind::TabGrace | Kind::Accidental | Kind::Tie | Kind::Lyric
        )
    };
    let roomy = drawing.stains.iter().filter(|stain| needs_room(stain.kind));
    let roomy: Vec<Rect> = roomy.map(|stain| bounds(&stain.ink)).collect();
    for pair in columns.windows(2) {
        let [((bar, onset), from), ((next, until), to)] = pair else { continue };
        // Grace notes, accidentals, ties and syllables need their own room.
        let crowded = roomy.iter().any(|ink| (from.left..to.left).contains(&ink.left));
        if bar == next && !crowded {
            let place = from.join(*to);
            all.entry((*bar, *until - *onset)).or_default().push((to.left - from.left, place));
        }
    }
    all
}

/// Equal times in a bar whose distances differ by more than signs can ask for.
#[must_use]
pub fn jumpy_spacing(drawing: &Drawing, score: &Score) -> Vec<Fault> {
    let mut faults = Vec::new();
    for equal in distances(drawing, score).values() {
        let mean = equal.iter().map(|(width, _)| width).sum::<f64>() / equal.len() as f64;
        for (width, place) in equal {
            let off = (width - mean).abs() / mean;
            if off > UNEVEN {
                let message = format!("a distance of {width:.2} among equal ones of {mean:.2}");
                faults.push(Fault { rule: "spacing-jumpy", place: *place, message });
            }
        }
    }
    faults
}
