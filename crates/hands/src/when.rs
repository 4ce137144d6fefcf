//! Places in the music as a teacher speaks of them.

use apoyando_fingering::FindingPlace;
use apoyando_music::{Moment, PartIndex, Score};

/// The felt beat of its bar at which a moment stands, as [`Bar::beat_text`]
/// has it.
///
/// [`Bar::beat_text`]: apoyando_music::Bar::beat_text
pub(crate) fn beat(score: &Score, moment: Moment) -> String {
    score.bar_at(moment).map_or_else(|| "1".to_owned(), |index| score.bar(index).beat_text(moment))
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
