//! Dynamics and hairpins of a part, from where they are noted to moments.
//!
//! A part has at most one dynamic at a moment and one hairpin at a time; what a
//! file has besides is left out, with a finding.

use apoyando_fingering::Severity;
use apoyando_music::{DynamicMark, Hairpin, HairpinKind, Moment};

use super::Lane;
use crate::report::Report;
use crate::rough::{Loudness, RoughLoudness};
use crate::time::{Time, common_grain, duration, zero};

/// What becomes of the signs of a part.
pub(super) type Settled = (Vec<DynamicMark>, Vec<Hairpin>);

/// A sign at its moment, counted from the beginning of the piece.
struct Sign {
    moment: Time,
    place: Place,
    loudness: Loudness,
}

/// Where a sign is noted, for the report.
#[derive(Clone, Copy)]
struct Place {
    bar: usize,
    onset: Time,
    line: u32,
}

impl Place {
    fn name(self, report: &mut Report) {
        report.bar = Some(self.bar);
        report.onset = Some(self.onset);
        report.line = Some(self.line);
    }
}

/// Gives a part its dynamics and hairpins. `grain` is what the denominators of
/// all its moments divide.
pub(super) fn settle(
    noted: Vec<RoughLoudness>,
    lanes: &[Lane],
    lengths: &[Time],
    grain: i64,
    report: &mut Report,
) -> Settled {
    let mut signs = timed(noted, lanes, lengths, grain, report);
    // At one moment hairpins end before others begin.
    signs.sort_by_key(|sign| (sign.moment, !matches!(sign.loudness, Loudness::HairpinEnd { .. })));
    let end: Time = lengths.iter().sum();
    let mut settled = Settled::default();
    let mut open: Vec<Open> = Vec::new();
    for sign in signs {
        sign.place.name(report);
        let at = Moment::after_start(duration(sign.moment));
        match sign.loudness {
            Loudness::Dynamic(dynamic) => match settled.0.last() {
                _ if sign.moment >= end => {
                    report.not_read(&format!("dynamic “{dynamic}” at the end of the piece"));
                }
                Some(last) if last.at == at && last.dynamic == dynamic => {}
                Some(last) if last.at == at => {
                    let other = last.dynamic;
                    report.not_read(&format!("dynamic “{dynamic}” beside “{other}”"));
                }
                _ => settled.0.push(DynamicMark { at, dynamic }),
            },
            Loudness::HairpinStart { kind, number } => {
                if let Some(known) = open.iter().position(|open| open.number == number) {
                    let before = open.remove(known);
                    loose(report, before.place, "begins here and the next before its end");
                }
                open.push(Open { from: at, kind, number, place: sign.place });
            }
            Loudness::HairpinEnd { number } => {
                match open.iter().position(|open| open.number == number) {
                    Some(begun) => {
                        let begun = open.remove(begun);
                        let (from, kind) = (begun.from, begun.kind);
                        add(&mut settled.1, Hairpin { from, until: at, kind }, begun.place, report);
                    }
                    None => loose(report, sign.place, "ends here but begins nowhere"),
                }
            }
        }
    }
    for open in open {
        loose(report, open.place, "begins here but ends nowhere");
    }
    report.bar = None;
    report.onset = None;
    report.line = None;
    settled
}

/// A hairpin that has begun.
struct Open {
    from: Moment,
    kind: HairpinKind,
    number: u8,
    place: Place,
}

/// Adds a hairpin that overlaps none. Two voices may show the same one.
fn add(hairpins: &mut Vec<Hairpin>, hairpin: Hairpin, place: Place, report: &mut Report) {
    if hairpin.until <= hairpin.from {
        loose(report, place, "has no length");
    } else if hairpins
        .iter()
        .all(|other| other.until <= hairpin.from || hairpin.until <= other.from)
    {
        hairpins.push(hairpin);
    } else if !hairpins.contains(&hairpin) {
        loose(report, place, "goes with another at the same time");
    }
}

fn loose(report: &mut Report, place: Place, what: &str) {
    place.name(report);
    let message = format!("a hairpin {what}; it is left out");
    report.add(Severity::Warning, "loose-hairpin", message, None);
}

/// The signs at their moments. One behind the end of its bar stands at the end.
fn timed(
    noted: Vec<RoughLoudness>,
    lanes: &[Lane],
    lengths: &[Time],
    grain: i64,
    report: &mut Report,
) -> Vec<Sign> {
    let mut starts: Vec<Time> = Vec::with_capacity(lengths.len());
    let mut start = zero();
    for length in lengths {
        starts.push(start);
        start += length;
    }
    let mut grain = grain;
    let mut signs = Vec::with_capacity(noted.len());
    for RoughLoudness { bar, at, slack, loudness, line } in noted {
        // Behind the last bar line it stands at the end of the last bar.
        let beyond = bar >= lengths.len();
        let bar = bar.min(lengths.len() - 1);
        let at =
            if beyond { lengths[bar] } else { near_onset(at, slack, lanes, bar).min(lengths[bar]) };
        let place = Place { bar, onset: at, line };
        match common_grain(grain, *at.denom()) {
            Some(common) => grain = common,
            None => {
                place.name(report);
                report.not_read("dynamic or hairpin at a moment that cannot be counted");
                continue;
            }
        }
        signs.push(Sign { moment: starts[bar] + at, place, loudness });
    }
    signs
}

/// The onset or end of an event so close to a moment of a bar, or the moment.
fn near_onset(at: Time, slack: Time, lanes: &[Lane], bar: usize) -> Time {
    let events = lanes.iter().filter_map(|lane| lane.get(bar)).flatten();
    let off = |edge: &Time| if *edge > at { *edge - at } else { at - *edge };
    let edges = events.flat_map(|placed| [placed.onset, placed.end()]);
    edges.filter(|edge| off(edge) <= slack).min_by_key(off).unwrap_or(at)
}
