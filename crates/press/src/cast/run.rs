//! The music between two page breaks made on purpose.

use super::measured::Measured;
use crate::forme::{Choice, Figure, Forme, Gap, Role};

/// Music with its head and the words above and below it, in points.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    /// Which music, in the order of the book.
    pub music: usize,
    /// Whether it is a piece and no exercise.
    pub piece: bool,
    /// Whether a page of blank staves may stand before it: it is a piece that no
    /// page holds.
    pub notes: bool,
    /// Whether blank staves may fill what is left white before it.
    pub fills: bool,
    /// From the foot of what is before it to its first system, with natural
    /// gaps.
    pub before: f64,
    /// The same, where it opens a page.
    pub top: f64,
    /// How much the gap before it can grow.
    pub stretch: f64,
    /// How much it can shrink.
    pub shrink: f64,
    /// Words below its last system.
    pub after: f64,
    /// The systems it could be set in, the best by themselves first.
    pub choices: Vec<Choice>,
}

impl Part {
    /// Its height in one of its choices, from its first system to the words
    /// below its last.
    pub fn height(&self, choice: &Choice) -> f64 {
        let below: f64 = choice.systems.iter().skip(1).map(|s| s.gap.height + s.height).sum();
        choice.systems.first().map_or(0.0, |first| first.height) + below + self.after
    }

    /// Its least height.
    pub fn least(&self) -> f64 {
        self.choices.iter().map(|choice| self.height(choice)).fold(f64::INFINITY, f64::min)
    }

    /// Whether the author wants a page to begin within it.
    pub fn divided(&self) -> bool {
        let begins = |choice: &Choice| choice.systems.iter().skip(1).any(|s| s.gap.new_page);
        self.choices.iter().any(begins)
    }
}

/// Where music stands among the figures and gaps of a forme.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// The figure that is its first system.
    pub figure: usize,
    /// The first figure that goes to the next page with it.
    pub leader: usize,
    /// The gap before it.
    pub gap: usize,
}

/// Where each music among these figures stands.
pub fn spots(figures: &[Figure], (start, end): (usize, usize)) -> Vec<Spot> {
    let mut spots = Vec::new();
    let mut leader = start;
    for (i, figure) in figures.iter().enumerate().take(end).skip(start) {
        if let Role::System { index, head, .. } = figure.role {
            if index == 0 {
                let gap = head.map_or(figure.first_gap, |head| head.gap);
                spots.push(Spot { figure: i, leader, gap });
            }
            leader = i + 1;
        }
    }
    spots
}

/// The music among these figures, or `None` where the page breaks must stay as
/// they are.
pub fn run(measured: &Measured, forme: &Forme, (start, end): (usize, usize)) -> Option<Vec<Part>> {
    let Forme { gaps, figures, musics, notes, .. } = forme;
    let (top, places) = (measured.area.0, &measured.figures);
    let mut parts: Vec<Part> = Vec::new();
    for i in start..end {
        let figure = &figures[i];
        if i > start && figure.words_before {
            return None;
        }
        let (index, head, music) = match figure.role {
            Role::System { index, head, music, .. } => (index, head, music),
            Role::BeforeMusic => continue,
            Role::Loose => return None,
        };
        if index == 0 {
            let gap = head.map_or(figure.first_gap, |head| head.gap);
            let Gap { height: natural, stretch, shrink, .. } = *gaps.get(gap)?;
            let place = places[i];
            let piece = head.is_some_and(|head| head.piece);
            let mut part = Part {
                music,
                piece,
                notes: piece && *notes && !parts.is_empty(),
                fills: *notes,
                before: natural,
                top: place.y - top,
                stretch,
                shrink,
                after: 0.0,
                choices: musics.get(music)?.clone(),
            };
            if let Some(last) = parts.last_mut() {
                let head = *measured.heads.get(head?.ordinal)?;
                let before = last_system(figures, i)?;
                let (foot, before) = (places[before].y + figures[before].height, places[before]);
                let after = if head.page != place.page {
                    return None;
                } else if head.page == before.page {
                    head.y - natural - foot
                } else if head.page == before.page + 1 && (head.y - top).abs() < 1.0 {
                    measured.lowest.get(before.page)? - foot
                } else {
                    return None;
                };
                last.after = after.max(0.0);
                part.top = place.y - head.y;
                part.before = natural + part.top;
            }
            parts.push(part);
        }
    }
    let height = measured.area.1 - top;
    for part in &mut parts {
        part.notes &= part.top + part.least() > height;
    }
    let last = parts.last_mut()?;
    let system = last_system(figures, end)?;
    let place = places[system];
    last.after = (measured.lowest.get(place.page)? - place.y - figures[system].height).max(0.0);
    Some(parts)
}

/// The last system before a figure.
fn last_system(figures: &[Figure], before: usize) -> Option<usize> {
    figures[..before].iter().rposition(|figure| matches!(figure.role, Role::System { .. }))
}
