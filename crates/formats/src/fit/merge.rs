//! One grid of bars from what every part says of its own.

use apoyando_fingering::Severity;

use crate::report::Report;
use crate::rough::RoughBar;

/// Joins a part's bars to those of the parts before.
pub(crate) fn bars(all: &mut Vec<RoughBar>, part: Vec<RoughBar>, report: &mut Report) {
    let first = all.is_empty();
    // A difference is named where it begins, not in every bar it lasts.
    let (mut metres, mut signatures, mut longer) = (None, None, false);
    for (index, bar) in part.into_iter().enumerate() {
        let Some(joint) = all.get_mut(index) else {
            if !first && !longer {
                longer = true;
                report.bar = Some(index);
                report.add(
                    Severity::Warning,
                    "parts-differ",
                    "this part has more bars than the ones above it".to_owned(),
                    None,
                );
            }
            all.push(bar);
            continue;
        };
        report.bar = Some(index);
        report.line = Some(bar.line);
        let mut differs = |what: &str| {
            report.add(
                Severity::Warning,
                "parts-differ",
                format!("the {what} is not that of the first part, which holds for all"),
                None,
            );
        };
        let pair = (joint.metre != bar.metre).then_some((joint.metre, bar.metre));
        if pair.is_some() && pair != metres {
            differs("metre");
        }
        metres = pair;
        let pair = (joint.signature != bar.signature).then_some((joint.signature, bar.signature));
        if pair.is_some() && pair != signatures {
            differs("key signature");
        }
        signatures = pair;
        if bar.tempo.is_some() && joint.tempo.is_some() && joint.tempo != bar.tempo {
            differs("tempo");
        }
        if !bar.words.is_empty() && !joint.words.is_empty() && joint.words != bar.words {
            differs(&format!("word “{}”", bar.words));
        }
        joint.irregular |= bar.irregular;
        joint.repeat_start |= bar.repeat_start;
        joint.repeat_end = joint.repeat_end.or(bar.repeat_end);
        joint.tempo = joint.tempo.or(bar.tempo);
        joint.long_rest = joint.long_rest.max(bar.long_rest);
        joint.rest_length = joint.rest_length.max(bar.rest_length);
        if joint.ending.is_none() {
            joint.ending = bar.ending;
        }
        if joint.end == apoyando_music::BarEnd::Plain {
            joint.end = bar.end;
        }
        if joint.words.is_empty() {
            joint.words = bar.words;
        }
        for letter in bar.rehearsals {
            if joint.rehearsals.iter().all(|known| known.text != letter.text) {
                joint.rehearsals.push(letter);
            }
        }
        for sign in bar.signs {
            if joint.signs.iter().all(|known| known.sign != sign.sign) {
                joint.signs.push(sign);
            }
        }
    }
    report.bar = None;
    report.line = None;
}
