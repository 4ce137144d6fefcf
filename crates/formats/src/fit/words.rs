//! Words of expression and tone of a part, from where they are noted to moments.

use apoyando_music::{Expression, Moment};

use super::moments::{Moments, Noted};
use crate::report::Report;
use crate::rough::RoughWords;
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
    for RoughWords { bar, at, slack, side, text, line } in noted {
        let (place, moment) = moments.find(Noted { bar, at, slack, line });
        match moment {
            Some(moment) if moment < end => {
                let at = Moment::after_start(duration(moment));
                let words = Expression { at, side, text };
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
