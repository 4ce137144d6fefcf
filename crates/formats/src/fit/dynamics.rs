//! Dynamics and hairpins of a part, from where they are noted to moments.
//!
//! A part has at most one dynamic at a moment and one hairpin at a time; what a
//! file has besides is left out, with a finding.

use apoyando_fingering::Severity;
use apoyando_music::{DynamicMark, Hairpin, HairpinKind, Moment};

use super::moments::{Moments, Noted, Place};
use crate::report::Report;
use crate::rough::{Loudness, RoughLoudness};
use crate::time::{Time, duration};

/// What becomes of the signs of a part.
pub(super) type Settled = (Vec<DynamicMark>, Vec<Hairpin>);

/// A sign at its moment, counted from the beginning of the piece.
struct Sign {
    moment: Time,
    place: Place,
    loudness: Loudness,
}

/// Gives a part its dynamics and hairpins.
pub(super) fn settle(
    noted: Vec<RoughLoudness>,
    moments: &mut Moments<'_>,
    report: &mut Report,
) -> Settled {
    let mut signs = timed(noted, moments, report);
    // At one moment hairpins end before others begin.
    signs.sort_by_key(|sign| (sign.moment, !matches!(sign.loudness, Loudness::HairpinEnd { .. })));
    let end = moments.end();
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

/// The signs at their moments.
fn timed(noted: Vec<RoughLoudness>, moments: &mut Moments<'_>, report: &mut Report) -> Vec<Sign> {
    let mut signs = Vec::with_capacity(noted.len());
    for RoughLoudness { bar, at, slack, loudness, line } in noted {
        let (place, moment) = moments.find(Noted { bar, at, slack, line });
        match moment {
            Some(moment) => signs.push(Sign { moment, place, loudness }),
            None => {
                place.name(report);
                report.not_read("dynamic or hairpin at a moment that cannot be counted");
            }
        }
    }
    signs
}
