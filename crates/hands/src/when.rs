//! Places in the music as a teacher speaks of them.

use apoyando_fingering::FindingPlace;
use apoyando_music::{Moment, PartIndex, Score};
use num_rational::Ratio;

/// The beat of its bar at which a moment stands, from 1, counted in the lower
/// figure of the metre: `2`, `3½`. A pickup is counted towards its end.
pub(crate) fn beat(score: &Score, moment: Moment) -> String {
    let Some(index) = score.bar_at(moment) else { return "1".to_owned() };
    let bar = score.bar(index);
    let mut since = moment - bar.start;
    if bar.number == 0 && bar.length < bar.metre.bar() {
        since += bar.metre.bar() - bar.length;
    }
    let beats = since.ratio() * Ratio::from_integer(i64::from(bar.metre.unit));
    let whole = beats.floor();
    let part = beats - whole;
    let fraction = match (*part.numer(), *part.denom()) {
        (0, _) => String::new(),
        (1, 2) => "½".to_owned(),
        (1, 4) => "¼".to_owned(),
        (3, 4) => "¾".to_owned(),
        (1, 3) => "⅓".to_owned(),
        (2, 3) => "⅔".to_owned(),
        (numerator, denominator) => format!("+{numerator}/{denominator}"),
    };
    format!("{}{fraction}", whole.to_integer() + 1)
}

/// The printed number of the bar at a moment.
pub(crate) fn bar_number(score: &Score, moment: Moment) -> u32 {
    score.bar_at(moment).map_or(0, |index| score.bar(index).number)
}

/// A moment of a part as the place of a finding; the part is named in scores
/// of several.
pub(crate) fn place(score: &Score, part: PartIndex, moment: Moment) -> FindingPlace {
    let name = || {
        let name = &score.part(part).name;
        if name.is_empty() { format!("part {}", part.0 + 1) } else { name.clone() }
    };
    FindingPlace {
        bar: Some(bar_number(score, moment)),
        beat: Some(beat(score, moment)),
        part: (score.parts().len() > 1).then(name),
        ..FindingPlace::default()
    }
}
