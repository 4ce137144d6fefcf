//! Staves of several sizes: each is measured in its own staff spaces.

use crate::drawing::{Drawing, Kind, Stain};
use crate::geometry::{bounds, scaled};

/// Lines of a staff of notation.
const LINES: usize = 5;
/// Lines nearer than this are those of a smaller staff: its spaces are shares of one.
const SMALLER: f64 = 0.99;

/// What stands on staves of the usual size, then each smaller staff by itself, made as
/// large as others are. A staff is painted from its lines on until the lines of the next.
pub fn by_size(drawing: &Drawing) -> Vec<Drawing> {
    let mut staves: Vec<Vec<Stain>> = vec![Vec::new()];
    let mut in_lines = false;
    for stain in &drawing.stains {
        let line = stain.kind == Kind::StaffLine;
        if line && !in_lines {
            staves.push(Vec::new());
        }
        in_lines = line;
        if let Some(staff) = staves.last_mut() {
            staff.push(stain.clone());
        }
    }
    let mut usual = Drawing { stains: Vec::new(), ..drawing.clone() };
    let mut small = Vec::new();
    for stains in staves {
        match size_of(&stains) {
            Some((size, middle)) if size < SMALLER => {
                let large = stains.into_iter().map(|stain| enlarged(stain, size, middle));
                small.push(Drawing { stains: large.collect(), ..drawing.clone() });
            }
            _ => usual.stains.extend(stains),
        }
    }
    let mut all = vec![usual];
    all.append(&mut small);
    all
}

/// How large the spaces of a staff are, and where its middle line lies; `None` for what is
/// no staff of notation.
fn size_of(stains: &[Stain]) -> Option<(f64, f64)> {
    let lines = stains.iter().take_while(|stain| stain.kind == Kind::StaffLine);
    let mut heights: Vec<f64> = lines
        .map(|stain| {
            let area = bounds(&stain.ink);
            f64::midpoint(area.low, area.high)
        })
        .collect();
    heights.sort_by(f64::total_cmp);
    (heights.len() == LINES).then(|| {
        let (low, high) = (heights[0], heights[LINES - 1]);
        ((high - low) / (LINES - 1) as f64, f64::midpoint(low, high))
    })
}

fn enlarged(stain: Stain, size: f64, middle: f64) -> Stain {
    Stain { ink: scaled(stain.ink, 1.0 / size, -middle / size), ..stain }
}
