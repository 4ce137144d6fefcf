//! Shifts from layer to layer and over seams.

use apoyando_fingering::{Fingering, Seam, Shift};

use super::spotted;
use crate::hand::Hand;
use crate::layers::Layers;
use crate::pricing::{Shifting, seam_shift, shifting};
use crate::violation::{Fault, Violation};

pub(super) fn check(
    all: &Layers<'_>,
    hands: &[Hand],
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) {
    shifts(all, hands, &fingering.shifts, found);
    seams(all, hands, &fingering.seams, found);
}

fn shifts(all: &Layers<'_>, hands: &[Hand], said: &[Shift], found: &mut Vec<Violation>) {
    let mut wanted = Vec::new();
    for (layer, pair) in all.layers.iter().skip(1).zip(hands.windows(2)) {
        if let Some(shift) = shifting(&pair[0], &pair[1]).filter(|_| layer.reached) {
            wanted.push((layer.at, shift));
        }
    }
    for index in 0..said.len().max(wanted.len()) {
        let (found_here, wanted) = (said.get(index), wanted.get(index));
        let agree = match (found_here, wanted) {
            (Some(found), Some((at, wanted))) => found.at == *at && agrees(found, wanted),
            _ => false,
        };
        if !agree {
            let at = wanted.map(|(at, _)| *at).or(found_here.map(|shift| shift.at));
            found.push(spotted(all, at, Fault::Shift { found: found_here.copied() }));
            return;
        }
    }
}

fn agrees(said: &Shift, wanted: &Shifting) -> bool {
    let names = |said: Option<_>, wanted: &[_]| {
        said.map_or(wanted.is_empty(), |finger| wanted.contains(&finger))
    };
    said.from == wanted.from
        && said.to == wanted.to
        && said.over_open == wanted.over_open
        && names(said.guide, &wanted.guides)
        && names(said.pivot, &wanted.pivots)
}

/// Seams, in any order.
fn seams(all: &Layers<'_>, hands: &[Hand], said: &[Seam], found: &mut Vec<Violation>) {
    let wanted = all.seams.iter().map(|seam| Seam {
        from: all.layers[seam.from].at,
        to: all.layers[seam.to].at,
        shift: seam_shift(hands, seam).map(|shift| (shift.from, shift.to)),
    });
    let mut missing: Vec<Seam> = wanted.collect();
    for seam in said {
        match missing.iter().position(|wanted| wanted == seam) {
            Some(index) => drop(missing.remove(index)),
            None => found.push(spotted(all, Some(seam.to), Fault::SeamInvented(*seam))),
        }
    }
    for seam in missing {
        found.push(spotted(all, Some(seam.to), Fault::SeamUnsaid(seam)));
    }
}
