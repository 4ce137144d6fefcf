//! How the pages are to be set the second time.

use super::SPARE;
use super::measured::{Measured, Place, together};
use crate::forme::{Figure, Gap};

/// A last page is filled where this share of the possible growth is enough.
const LAST_PAGE: f64 = 0.4;

/// What is put in the place of a gap.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Break {
    /// Nothing.
    None,
    /// A new page.
    Page,
    /// A page of blank staves, then a new page.
    Notes,
}

/// How the pages are to be set the second time.
#[derive(Clone, PartialEq, Debug)]
pub struct Plan {
    /// Height of every gap in points.
    pub gaps: Vec<f64>,
    /// What is there instead of the gap.
    pub breaks: Vec<Break>,
    /// Whether every figure is to stand on the page of the one before it.
    pub together: Vec<bool>,
}

impl Plan {
    /// Natural gaps and no breaks: the first setting.
    pub fn natural(gaps: &[Gap]) -> Self {
        Self {
            gaps: gaps.iter().map(|gap| gap.height).collect(),
            breaks: gaps
                .iter()
                .map(|gap| if gap.new_page { Break::Page } else { Break::None })
                .collect(),
            together: Vec::new(),
        }
    }

    /// Whether pages set by this plan came out as planned.
    pub fn kept(&self, figures: &[Place]) -> bool {
        together(figures) == self.together
    }
}

/// How far the gaps of these figures grow where the breaks are left as they
/// are.
pub fn spread(
    measured: &Measured,
    gaps: &[Gap],
    (figures, (start, end)): (&[Figure], (usize, usize)),
) -> Vec<f64> {
    let places = &measured.figures[start..end];
    let base = figures[start].first_gap;
    let mut growths = vec![0.0; figures[end - 1].end_gap - base];
    for on_page in places.chunk_by(|a, b| a.page == b.page) {
        let first = places.partition_point(|place| place.page < on_page[0].page);
        let next = first + on_page.len();
        let mine = figures[start + first].end_gap..figures[start + next - 1].end_gap;
        let room: f64 = gaps[mine.clone()].iter().map(|gap| gap.stretch).sum();
        let Some(low) = measured.lowest.get(on_page[0].page) else { continue };
        let free = measured.area.1 - low - SPARE;
        let share = share(free, room, next < places.len());
        for i in mine {
            growths[i - base] = gaps[i].stretch * share;
        }
    }
    growths
}

/// What is at the foot of a page.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Foot {
    /// Music that goes on on the next page.
    GoesOn,
    /// The end of music that has come from the page before, alone on this one.
    CameOver,
    /// A break before other music.
    Broken,
    /// The end of the run.
    Last,
}

impl Foot {
    /// How far the gaps grow, with so much free and so much room, after a page on which they
    /// grew so far. Music that goes on fills its page, and has no wider gaps on the next one;
    /// nor has the last page of the run.
    pub fn share(self, free: f64, room: f64, before: Option<f64>) -> f64 {
        let full = if room > 0.0 { (free / room).clamp(0.0, 1.0) } else { 0.0 };
        match (self, before) {
            (Self::GoesOn, _) => full,
            (Self::CameOver, Some(before)) => full.min(before.max(0.0)),
            (Self::Last, Some(before)) => share(free, room, true).min(before.max(0.0)),
            (Self::Last, None) => share(free, room, false),
            (Self::Broken | Self::CameOver, _) => share(free, room, true),
        }
    }
}

/// How far gaps with so much room to grow are to grow: 0 not at all, 1 all.
pub fn share(free: f64, room: f64, broken: bool) -> f64 {
    if room <= 0.0 || free <= 0.0 {
        return 0.0;
    }
    let share = free / room;
    if !broken && share > LAST_PAGE {
        0.0
    } else if share <= 1.0 {
        share
    } else {
        // It cannot be filled. The more is missing, the more the page keeps to
        // the natural gaps of its neighbours.
        (1.0 - (share - 1.0) * 0.5).max(0.25)
    }
}

#[cfg(test)]
mod tests {
    use super::Foot;

    #[test]
    fn music_that_goes_on_fills_its_page_and_has_the_same_gaps_on_the_next() {
        assert_eq!(Foot::GoesOn.share(30.0, 60.0, None), 0.5);
        assert_eq!(Foot::GoesOn.share(120.0, 60.0, None), 1.0);
        assert_eq!(Foot::CameOver.share(400.0, 20.0, Some(1.0)), 1.0);
        assert_eq!(Foot::CameOver.share(400.0, 20.0, Some(0.5)), 0.5);
        assert_eq!(Foot::CameOver.share(10.0, 20.0, Some(1.0)), 0.5);
        // Gaps that shrank before do not shrink here; without gaps there is nothing to grow.
        assert_eq!(Foot::CameOver.share(400.0, 20.0, Some(-1.0)), 0.0);
        assert_eq!(Foot::GoesOn.share(120.0, 0.0, None), 0.0);
        // Before other music a page that cannot be filled keeps nearer to the natural gaps.
        assert_eq!(Foot::Broken.share(120.0, 60.0, None), 0.5);
        assert_eq!(Foot::Last.share(120.0, 60.0, None), 0.0);
    }
}
