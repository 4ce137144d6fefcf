//! Fingers that stay in words.

use super::super::common::CommonFingers;
use super::super::moves::{Move, ShiftAdvice};
use super::super::staying::{Purpose, Staying};
use super::super::{Preparation, Spot};
use crate::words::both;

/// Chords that keep the same fingers are told together.
pub(super) fn common(all: &[CommonFingers]) -> Vec<String> {
    let mut told: Vec<(&CommonFingers, Vec<&Spot>)> = Vec::new();
    for one in all {
        match told.iter_mut().find(|(first, _)| first.kept == one.kept) {
            Some((_, spots)) => spots.push(&one.spot),
            None => told.push((one, vec![&one.spot])),
        }
    }
    told.into_iter()
        .map(|(one, spots)| {
            let fingers: Vec<String> =
                one.kept.iter().map(|kept| format!("{} on {}", kept.finger, kept.place)).collect();
            let (noun, verb) =
                if one.kept.len() == 1 { ("Finger", "stays") } else { ("Fingers", "stay") };
            let places: Vec<String> =
                spots.iter().map(|spot| format!("bar {}, beat {}", spot.bar, spot.beat)).collect();
            format!("{noun} {} {verb} down into the chord of {}.", both(&fingers), both(&places))
        })
        .collect()
}

/// What a group of stays has in common, to be told once.
#[derive(PartialEq, Eq)]
enum Why {
    Again,
    Guide(String),
    Prepared,
}

impl Preparation {
    /// Fingers that stay for the same are told together; what a shift or a chord
    /// tells already is not told again.
    pub(super) fn staying_in_words(&self) -> Vec<String> {
        let mut told: Vec<(&Staying, Why, Vec<&Spot>)> = Vec::new();
        for one in self.staying.iter().filter(|one| !self.is_told(one)) {
            let why = match &one.purpose {
                Purpose::Again(_) => Why::Again,
                Purpose::Guide { to, .. } => Why::Guide(to.to_string()),
                Purpose::Prepared(_) => Why::Prepared,
                Purpose::Rest => continue,
            };
            let same = |(first, reason, _): &&mut (&Staying, Why, Vec<&Spot>)| {
                (first.finger, first.place, first.was_down) == (one.finger, one.place, one.was_down)
                    && *reason == why
            };
            match told.iter_mut().find(same) {
                Some((.., spots)) => spots.push(&one.spot),
                None => told.push((one, why, vec![&one.spot])),
            }
        }
        told.into_iter()
            .map(|(one, why, spots)| {
                let places: Vec<String> = spots
                    .iter()
                    .map(|spot| format!("bar {}, beat {}", spot.bar, spot.beat))
                    .collect();
                let verb = if one.was_down { "Leave" } else { "Put down" };
                let why = match why {
                    Why::Again => "the same note comes again".to_owned(),
                    Why::Guide(to) => format!("it guides to {to}, light but not lifted"),
                    Why::Prepared => "a slur leads down to it".to_owned(),
                };
                format!(
                    "{verb} finger {} on {} in {}: {why}.",
                    one.finger,
                    one.place,
                    both(&places)
                )
            })
            .collect()
    }

    fn is_told(&self, one: &Staying) -> bool {
        match &one.purpose {
            Purpose::Guide { spot, .. } => self.shifts().any(|shift| {
                shift.spot == *spot && shift.guide == Some((one.finger, one.place.string))
            }),
            Purpose::Again(spot) => {
                self.shifts().any(|shift| {
                    shift.spot == *spot && shift.pivot == Some((one.finger, one.place.string))
                }) || self.common.iter().any(|common| {
                    common.spot == *spot
                        && common
                            .kept
                            .iter()
                            .any(|k| (k.finger, k.place) == (one.finger, one.place))
                })
            }
            Purpose::Prepared(_) | Purpose::Rest => false,
        }
    }

    /// Every shift, those of hops too.
    fn shifts(&self) -> impl Iterator<Item = &ShiftAdvice> {
        self.moves.iter().flat_map(|one| match one {
            Move::Shift(shift) => vec![shift],
            Move::Hop(hop) => vec![&hop.there, &hop.back],
            Move::Reach(_) => Vec::new(),
        })
    }
}
