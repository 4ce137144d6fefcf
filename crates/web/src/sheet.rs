//! A page for the browser: its picture, and over it what can be pointed at.

use std::collections::BTreeMap;
use std::fmt::Write;

use apoyando_engrave::{Kind, targets};
use apoyando_handout::{escaped, spoken};
use apoyando_music::NoteId;

use crate::bench::Bench;
use crate::remarks::at_notes;

/// A box around the ink of a note, in points from the upper left of the page.
#[derive(Clone, Copy)]
struct Around {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

/// Points of a millimetre.
const POINTS: f64 = 72.0 / 25.4;
/// A head is pointed at within so many staff spaces around it.
const AROUND: f64 = 0.35;

/// The layer of a page that can be pointed at: an SVG as large as the page with a box for
/// each note.
pub fn targets_of(bench: &Bench, page: usize) -> String {
    let paper = bench.paper();
    let (width, height) = (paper.width.0 * POINTS, paper.height.0 * POINTS);
    // Writing to a string cannot fail.
    let mut svg = String::new();
    let _ = write!(
        svg,
        "<svg class=\"targets\" viewBox=\"0 0 {width:.2} {height:.2}\" role=\"group\" aria-label=\"The notes of page {page}\">"
    );
    for system in bench.systems(page) {
        let drawing = &system.line.drawing;
        let space = system.standing.height.0 * POINTS / drawing.height().0.max(f64::EPSILON);
        let (left, top) = (system.standing.left.0 * POINTS, system.standing.top.0 * POINTS);
        let mut notes: BTreeMap<NoteId, Vec<(Kind, Around)>> = BTreeMap::new();
        for target in targets(drawing) {
            let grown = if target.kind == Kind::Head { AROUND } else { 0.1 };
            let around = Around {
                left: left + (target.low.x.0 - grown) * space,
                right: left + (target.high.x.0 + grown) * space,
                top: top + (drawing.above.0 - target.high.y.0 - grown) * space,
                bottom: top + (drawing.above.0 - target.low.y.0 + grown) * space,
            };
            notes.entry(target.note).or_default().push((target.kind, around));
        }
        let item = system.item;
        let remarks = bench.item(item).map(|built| at_notes(built)).unwrap_or_default();
        for (note, boxes) in notes {
            let built = bench.item(item);
            let said = built.map(|built| spoken(built, note)).unwrap_or_default();
            let own = built
                .and_then(|built| built.score.notes().get(note.0 as usize).map(|it| (built, it)));
            let (bar, part) = own
                .map_or((0, 0), |(built, own)| (built.score.bar_and_beat(own.onset).0, own.part.0));
            let _ = write!(
                svg,
                "<g class=\"note{}\" data-item=\"{item}\" data-note=\"{}\" data-bar=\"{bar}\" data-part=\"{part}\" tabindex=\"-1\" role=\"button\" aria-label=\"{}\">",
                if remarks.contains_key(&note) { " remarked" } else { "" },
                note.0,
                escaped(&said)
            );
            if let Some(remark) = remarks.get(&note) {
                let _ = write!(svg, "<title>{}</title>", escaped(remark));
            }
            for (_, Around { left, top, right, bottom }) in boxes {
                let (width, height) = (right - left, bottom - top);
                let _ = write!(
                    svg,
                    "<rect x=\"{left:.2}\" y=\"{top:.2}\" width=\"{width:.2}\" height=\"{height:.2}\" rx=\"1.5\"/>"
                );
            }
            svg.push_str("</g>");
        }
    }
    svg.push_str("</svg>");
    svg
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    /// Each head is drawn once, and so is what can be pointed at.
    #[test]
    fn every_note_of_the_demo_can_be_pointed_at() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let bench = Bench::open(&demo).unwrap();
        let pages = 1..=bench.proofs().count();
        let layers: Vec<String> = pages.map(|page| targets_of(&bench, page)).collect();
        let shown: usize =
            layers.iter().map(|layer| layer.matches("<g class=\"note").count()).sum();
        let notes = (0..).map_while(|item| bench.item(item)).map(|item| item.score.notes().len());
        assert_eq!(shown, notes.sum::<usize>());
        let bell = layers.iter().find(|layer| layer.contains("A3, bar 1, beat 1: open ⑤, p"));
        assert!(bell.is_some(), "Evening Bell begins on its open A");
    }
}
