//! Rehearsal letters, from where they are noted to the bars they begin.

use apoyando_fingering::Severity;

use crate::report::Report;
use crate::rough::RoughBar;
use crate::time::{Time, zero};

/// Gives every bar its letter, or an empty text.
pub(super) fn settle(bars: &[RoughBar], lengths: &[Time], report: &mut Report) -> Vec<String> {
    let mut settled = vec![String::new(); bars.len()];
    for (index, bar) in bars.iter().enumerate() {
        for noted in &bar.rehearsals {
            report.bar = Some(index);
            report.line = Some(noted.line);
            report.onset = Some(noted.at);
            let text = &noted.text;
            // Behind everything in its bar it belongs to the next.
            let behind = noted.at >= lengths[index] && noted.at > zero();
            if noted.at > zero() && !behind {
                report.add(
                    Severity::Advice,
                    "sign-in-bar",
                    format!(
                        "rehearsal letter {text} stands within the bar; it is read at its beginning"
                    ),
                    None,
                );
            }
            match settled.get_mut(index + usize::from(behind)) {
                None => {
                    report.not_read(&format!("rehearsal letter {text} at the end of the piece"))
                }
                Some(place) if place.is_empty() => place.clone_from(text),
                Some(place) if place == text => {}
                Some(_) => report.not_read(&format!("rehearsal letter {text} beside another")),
            }
        }
    }
    report.bar = None;
    report.line = None;
    report.onset = None;
    settled
}
