//! What stands on the pages: systems unevenly far apart, holes at the foot, headings that
//! are parted from their music.
//!
//! Pure functions over placed boxes, for whoever places them.

use apoyando_fretboard::Millimetres;

/// Least clear distance of the ink of two systems, in staff spaces [house value].
const INK: f64 = 1.5;
/// Systems may stand so much farther apart than the nearest ones of their page [house value].
const STRETCH: f64 = 1.4;
/// Least distance above a heading, in millimetres [house value].
const ABOVE_HEAD: f64 = 9.0;
/// Rounding, in millimetres.
const EXACT: f64 = 0.01;

/// What stands in a box.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Content {
    /// A line of music: the top line of its first staff and the bottom line of its last,
    /// from the top of the type area.
    System {
        /// The top line of its first staff.
        first: Millimetres,
        /// The bottom line of its last staff.
        last: Millimetres,
    },
    /// A heading, which belongs to what comes after it.
    Heading,
    /// Text and pictures.
    Text,
}

/// A box on a page, measured down from the top of the type area.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Placed {
    /// What stands in it.
    pub content: Content,
    /// Upper side of its ink.
    pub top: Millimetres,
    /// Lower side of its ink.
    pub bottom: Millimetres,
}

/// A page: its boxes from top to bottom.
#[derive(Clone, PartialEq, Debug)]
pub struct Page {
    /// Height of the type area.
    pub height: Millimetres,
    /// What stands on it.
    pub boxes: Vec<Placed>,
    /// Whether it is begun because that was asked for, not because the one before is full.
    pub asked_for: bool,
}

/// Something about a page that a reader would dislike.
#[derive(Clone, PartialEq, Debug)]
pub struct PageFault {
    /// The rule, in kebab-case.
    pub rule: &'static str,
    /// Index of the page.
    pub page: usize,
    /// How far below the top of the type area.
    pub at: Millimetres,
    /// What is the matter.
    pub message: String,
}

/// Two systems of a page that follow one another.
struct Gap {
    /// From the last staff line of one to the first of the next.
    staves: f64,
    ink: f64,
    at: f64,
}

fn gaps(page: &Page) -> Vec<Gap> {
    let pairs = page.boxes.windows(2);
    pairs
        .filter_map(|pair| match (pair[0].content, pair[1].content) {
            (Content::System { last, .. }, Content::System { first, .. }) => Some(Gap {
                staves: first.0 - last.0,
                ink: pair[1].top.0 - pair[0].bottom.0,
                at: pair[0].bottom.0,
            }),
            _ => None,
        })
        .collect()
}

/// Systems nearer to one another than 1.5 staff spaces, and systems more than 1.4 times
/// as far apart as the nearest of their page though their ink does not ask for it.
///
/// `space` is a staff space.
#[must_use]
pub fn uneven_systems(pages: &[Page], space: Millimetres) -> Vec<PageFault> {
    let least = INK * space.0;
    let mut faults = Vec::new();
    for (number, page) in pages.iter().enumerate() {
        let gaps = gaps(page);
        let nearest = gaps.iter().map(|gap| gap.staves).fold(f64::MAX, f64::min);
        for Gap { staves, ink, at } in gaps {
            let mut fault = |rule, message| {
                faults.push(PageFault { rule, page: number, at: Millimetres(at), message });
            };
            if ink < least - EXACT {
                fault("systems-tight", format!("systems are only {ink:.1} mm apart"));
            }
            if staves > STRETCH * nearest + EXACT && ink > STRETCH * least + EXACT {
                let message =
                    format!("systems are {staves:.1} mm apart, others of the page {nearest:.1}");
                fault("systems-uneven", message);
            }
        }
    }
    faults
}

/// Pages that end early: what stands first on the next one would have found room, at the
/// least distance, though no new page was asked for. What begins with a heading is kept
/// whole, so that it needs room for all that stands below it up to the next heading. A
/// hole is no fault where to fill it, and the pages after it, would leave a larger one, nor
/// where it would leave the last system of a piece alone on the next page.
#[must_use]
pub fn holes_at_the_foot(pages: &[Page], space: Millimetres) -> Vec<PageFault> {
    let mut faults = Vec::new();
    for (number, pair) in pages.windows(2).enumerate() {
        let [page, next] = pair else { continue };
        let (Some(last), Some(first)) = (page.boxes.last(), next.boxes.first()) else { continue };
        let together = headed(&next.boxes);
        // Words above what stands first on a page come with it.
        let (top, above) = if together.heads > 0 {
            (first.top.0, ABOVE_HEAD)
        } else {
            (first.top.0.min(0.0), INK * space.0)
        };
        let wanted = together.bottom - top + above;
        let white = page.height.0 - last.bottom.0;
        let spared = systems_at_once(&next.boxes) == 2;
        let has_room = !next.asked_for && !spared && wanted <= white + EXACT;
        if has_room && largest_hole_if_filled(&pages[number..]) <= white + EXACT {
            faults.push(PageFault {
                rule: "page-hole",
                page: number,
                at: last.bottom,
                message: format!(
                    "the {white:.1} mm at the foot have room for the {wanted:.1} mm that come next"
                ),
            });
        }
    }
    faults
}

/// How many systems stand one below the other at the beginning of some boxes.
fn systems_at_once(boxes: &[Placed]) -> usize {
    let is_system = |of: &&Placed| matches!(of.content, Content::System { .. });
    boxes.iter().take_while(is_system).count()
}

/// What is kept together at the beginning of some boxes: headings with all that stands
/// below them up to the next, or one box.
struct Together {
    heads: usize,
    count: usize,
    /// The lower side of its ink.
    bottom: f64,
}

fn headed(boxes: &[Placed]) -> Together {
    let is_heading = |of: &&Placed| of.content == Content::Heading;
    let heads = boxes.iter().take_while(is_heading).count();
    let with =
        if heads > 0 { boxes[heads..].iter().take_while(|of| !is_heading(of)).count() } else { 1 };
    let count = (heads + with).clamp(1, boxes.len().max(1));
    let bottom = boxes.iter().take(count).map(|of| of.bottom.0).fold(0.0, f64::max);
    Together { heads, count, bottom }
}

/// The largest white at the foot of a page but the last, if everything from here to the
/// next page that was asked for came up as far as it could, each heading with all that is
/// below it, as it is printed.
fn largest_hole_if_filled(pages: &[Page]) -> f64 {
    let run = 1 + pages[1..].iter().take_while(|page| !page.asked_for).count();
    let height = pages[0].height.0;
    let mut used = pages[0].boxes.last().map_or(0.0, |last| last.bottom.0);
    let mut largest: f64 = 0.0;
    for page in &pages[1..run] {
        let mut from = 0;
        while from < page.boxes.len() {
            let together = headed(&page.boxes[from..]);
            let tall = together.bottom - page.boxes[from].top.0;
            if used + ABOVE_HEAD + tall <= height + EXACT {
                used += ABOVE_HEAD + tall;
            } else {
                largest = largest.max(height - used);
                used = tall;
            }
            from += together.count;
        }
    }
    largest
}

/// Headings that no music follows on their page.
#[must_use]
pub fn parted_headings(pages: &[Page]) -> Vec<PageFault> {
    let mut faults = Vec::new();
    for (number, page) in pages.iter().enumerate() {
        let goes_on = pages.get(number + 1).is_some_and(|next| !next.boxes.is_empty());
        for (at, of) in page.boxes.iter().enumerate() {
            let after = &page.boxes[at + 1..];
            if of.content == Content::Heading
                && after.iter().all(|b| b.content == Content::Heading)
                && goes_on
            {
                faults.push(PageFault {
                    rule: "heading-parted",
                    page: number,
                    at: of.top,
                    message: "a heading stands at the foot without what it is over".to_owned(),
                });
            }
        }
    }
    faults
}
