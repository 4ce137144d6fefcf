//! Words of expression and tone of a part, from where they are noted to moments.

use apoyando_fingering::Severity;
use apoyando_music::{Expression, Moment};

use super::moments::{Moments, Noted};
use crate::report::Report;
use crate::rough::{RoughMoment, RoughWords};
use crate::time::duration;

/// Gives a part its words. The same words at one moment, as of two voices, are
/// one.
pub(super) fn settle(
    noted: Vec<RoughWords>,
    moments: &mut Moments<'_>,
    report: &mut Report,
) -> Vec<Expression> {
    let end = moments.end();
    let mut settled: Vec<Expression> = Vec::with_capacity(noted.len());
    for RoughWords { bar, at, slack, side, text, until, line } in noted {
        let (place, moment) = moments.find(Noted { bar, at, slack, line });
        match moment {
            Some(moment) if moment < end => {
                let at = Moment::after_start(duration(moment));
                let until = until.map(|RoughMoment { bar, at, slack }| {
                    let (_, end) = moments.find(Noted { bar, at, slack, line });
                    end.map(|end| Moment::after_start(duration(end)))
                });
                // Dashes without length, or to a moment that cannot be counted.
                if until.is_some_and(|until| until.is_none_or(|until| until <= at)) {
                    place.name(report);
                    let message = format!("the dashes after “{text}” have no length");
                    report.add(Severity::Warning, "loose-dashes", message, None);
                }
                let until = until.flatten().filter(|until| *until > at);
                let words = Expression { at, side, text, until };
                if !settled.contains(&words) {
                    settled.push(words);
                }
            }
            at => {
                place.name(report);
                let fault = match at {
                    Some(_) => "at the end of the piece",
                    None => "at a moment that cannot be counted",
                };
                report.not_read(&format!("word “{text}” {fault}"));
            }
        }
    }
    report.bar = None;
    report.onset = None;
    report.line = None;
    settled
}
