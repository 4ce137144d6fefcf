//! A system of music in the page, and over it its notes, which can be pointed at and walked
//! through with the keys.

use std::collections::BTreeMap;
use std::fmt::Write;

use apoyando_engrave::{Drawing, Inline, Kind, short, targets, view_box};
use apoyando_music::{Moment, NoteId};
use apoyando_workshop::BuiltItem;

use crate::escaped::escaped;
use crate::spoken::spoken;

/// A head is pointed at within so many staff spaces around it, so that neighbours of a chord
/// stay apart; beside a note the page takes the nearest.
const AROUND: f64 = 0.4;
/// Around a digit, a letter or a figure.
const CLOSE: f64 = 0.1;

/// The moments at which notes of an item begin, in order.
pub fn moments(item: &BuiltItem) -> Vec<Moment> {
    let mut moments: Vec<Moment> = item.score.notes().iter().map(|note| note.onset).collect();
    moments.sort_unstable();
    moments.dedup();
    moments
}

/// One system. `number` is that of the item on the page.
pub fn system(
    inline: &mut Inline,
    drawing: &Drawing,
    item: &BuiltItem,
    number: usize,
    moments: &[Moment],
) -> String {
    // Writing to a string cannot fail.
    let mut svg = String::new();
    let _ = write!(
        svg,
        "<svg class=\"system\" viewBox=\"{}\" role=\"group\" aria-label=\"{}\">\
         <g class=\"ink\" fill=\"currentColor\" aria-hidden=\"true\">{}</g>",
        view_box(drawing),
        escaped(&drawing.description),
        inline.ink(drawing)
    );
    let mut boxes: BTreeMap<NoteId, String> = BTreeMap::new();
    for target in targets(drawing) {
        let grown = if target.kind == Kind::Head { AROUND } else { CLOSE };
        let (width, height) = (target.high.x.0 - target.low.x.0, target.high.y.0 - target.low.y.0);
        let _ = write!(
            boxes.entry(target.note).or_default(),
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\".3\"/>",
            short(target.low.x.0 - grown),
            short(-target.high.y.0 - grown),
            short(width + 2.0 * grown),
            short(height + 2.0 * grown)
        );
    }
    // Of each part in the order in which they are struck, the lowest first.
    let mut notes: Vec<_> = boxes
        .iter()
        .filter_map(|(id, boxes)| Some((item.score.notes().get(id.0 as usize)?, boxes)))
        .collect();
    notes.sort_by_key(|(note, _)| (note.part, note.onset, note.pitch.key_number(), note.id));
    for (note, boxes) in notes {
        let at = moments.partition_point(|moment| *moment < note.onset);
        let _ = write!(
            svg,
            "<g class=\"note\" data-item=\"{number}\" data-note=\"{}\" data-part=\"{}\" data-at=\"{at}\" \
             tabindex=\"-1\" role=\"button\" aria-label=\"{}\">{boxes}</g>",
            note.id.0,
            note.part.0,
            escaped(&spoken(item, note.id))
        );
    }
    svg.push_str("</svg>");
    svg
}
