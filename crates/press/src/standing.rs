//! Where systems of music stand on the pages, for those who lay something over them.

use crate::cast::Place;
use crate::document::Document;
use crate::forme::{Forme, POINTS, Role};
use crate::paper::Millimetres;

/// A system of music on a page.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Standing {
    /// The page, from 1.
    pub page: usize,
    /// Which music it is of: from 0, in reading order, music without systems left out.
    pub music: usize,
    /// Which of its castings is printed.
    pub casting: usize,
    /// Which system of that.
    pub system: usize,
    /// The left edge of its drawing, from that of the page.
    pub left: Millimetres,
    /// The upper edge of its drawing, from that of the page.
    pub top: Millimetres,
    /// The height of its drawing as printed; a staff space is this by what the drawing
    /// has of them.
    pub height: Millimetres,
}

/// The systems of a forme, where they came to stand. So many pages of `padding` come before
/// its own, of which the first has the number `first`.
pub fn standing(
    document: &Document,
    forme: &Forme,
    places: &[Place],
    padding: usize,
    first: usize,
) -> Vec<Standing> {
    let paper = &document.paper;
    let system = |(figure, place): (&crate::forme::Figure, &Place)| {
        let Role::System { index, music, .. } = figure.role else { return None };
        let page = place.page.checked_sub(padding)? + first;
        let right_hand = !page.is_multiple_of(2);
        Some(Standing {
            page,
            music,
            casting: forme.musics.get(music)?.first()?.casting,
            system: index,
            left: if right_hand { paper.inner } else { paper.outer },
            top: Millimetres(place.y / POINTS),
            height: Millimetres(figure.height / POINTS),
        })
    };
    forme.figures.iter().zip(places).filter_map(system).collect()
}
