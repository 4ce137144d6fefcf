//! Where systems, heads and other things stand on the pages, for those who
//! want to judge them.

use apoyando_engrave::meter::pages::{Content, Page, Placed};
use apoyando_fretboard as fretboard;
use typst_layout::PagedDocument;

use crate::cast::{Measured, Place};
use crate::forme::{Begin, Figure, Forme, POINTS, Role};
use crate::typesetter::measure;

/// A head is at least so high, in points.
const HEAD: f64 = 12.0;

/// What stands on the pages, in millimetres from the top of the type area.
pub fn placed(set: &PagedDocument, forme: &Forme, area: (f64, f64)) -> Vec<Page> {
    let Measured { figures, heads, lowest, .. } = measure(set, area);
    let (top, bottom) = area;
    let down = |y: f64| fretboard::Millimetres((y - top) / POINTS);
    let mut pages: Vec<Page> = lowest
        .iter()
        .map(|_| Page { height: down(bottom), boxes: Vec::new(), asked_for: false })
        .collect();
    let mut put = |Place { page, y }: Place, height: f64, content: Content| {
        if let Some(page) = pages.get_mut(page) {
            page.boxes.push(Placed { content, top: down(y), bottom: down(y + height) });
        }
    };
    for head in &heads {
        put(*head, HEAD, Content::Heading);
    }
    for (place, figure) in figures.iter().zip(&forme.figures) {
        let content = match figure.staves {
            Some((first, last)) => {
                Content::System { first: down(place.y + first), last: down(place.y + last) }
            }
            None => Content::Text,
        };
        put(*place, figure.height, content);
    }
    for (number, page) in pages.iter_mut().enumerate() {
        page.boxes.sort_by(|a, b| a.top.0.total_cmp(&b.top.0));
        // Words below the last figure.
        let low = down(lowest[number]);
        if page.boxes.last().is_some_and(|last| last.bottom.0 + 0.5 < low.0) {
            page.boxes.push(Placed { content: Content::Text, top: low, bottom: low });
        }
        let first = figures.iter().position(|place| place.page == number);
        page.asked_for = first.is_some_and(|first| begins(forme, &forme.figures[first]));
    }
    pages
}

/// Whether a new page was asked for before a figure. A piece may have a page of its own.
fn begins(forme: &Forme, figure: &Figure) -> bool {
    let head = match figure.role {
        Role::System { head, .. } => head,
        _ => None,
    };
    let gaps = figure.first_gap..figure.end_gap.max(head.map_or(0, |head| head.gap + 1));
    let piece = head.is_some_and(|head| head.piece);
    piece || figure.begin != Begin::Below || forme.gaps[gaps].iter().any(|gap| gap.new_page)
}
