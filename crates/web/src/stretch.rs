//! Over which bars the hand would stay in a position that is taken for a note.

use apoyando_fingering::{Fingering, Position};
use apoyando_music::{Moment, Score};

/// First and last bar, as printed, that a position taken at a moment would hold in all the
/// same: the bar of the moment, and those around it in which the hand is nowhere else.
pub fn stretch(score: &Score, fingering: &Fingering, position: Position, at: Moment) -> (u32, u32) {
    let own = score.bar_at(at).map_or(0, |bar| bar.0 as usize);
    let bars = score.bars();
    let kept = |index: usize| {
        let Some(bar) = bars.get(index) else { return false };
        let end = bars.get(index + 1).map(|next| next.start);
        let mut within = fingering
            .postures
            .iter()
            .filter(|posture| posture.at >= bar.start && end.is_none_or(|end| posture.at < end))
            .filter(|posture| !posture.idle)
            .peekable();
        within.peek().is_some()
            && within.all(|posture| posture.away.or(posture.position) == Some(position))
    };
    let first = (0..own).rev().take_while(|index| kept(*index)).last().unwrap_or(own);
    let last = (own + 1..bars.len()).take_while(|index| kept(*index)).last().unwrap_or(own);
    let number = |index: usize| bars.get(index).map_or(0, |bar| bar.number);
    if kept(own) { (number(first), number(last)) } else { (number(own), number(own)) }
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::{EffortTable, Level, NO_HOUSE, Pins, Problem};
    use apoyando_fretboard::Instrument;
    use apoyando_hands::{RightPlan, finger};
    use apoyando_music::PartIndex;

    use super::*;

    /// Low notes, then two bars that only a hand high up the neck can play, then low ones.
    #[test]
    fn a_stretch_ends_where_the_hand_is_elsewhere() {
        let text = "X:1\nT:T\nM:4/4\nL:1/4\nK:C clef=treble-8\nF G A c|d' c' d' e'|e' d' c' d'|F G A c|]\n";
        let reading = apoyando_formats::read("t.abc", text.as_bytes()).unwrap();
        let score = reading.pieces.into_iter().next().unwrap().score;
        let problem = Problem {
            score: &score,
            part: PartIndex(0),
            instrument: &Instrument::guitar(),
            level: &Level::open(),
            pins: &Pins::default(),
            effort: &EffortTable::default(),
            house: &NO_HOUSE,
        };
        let fingering = finger(&problem, &RightPlan::default()).unwrap().fingering;
        let at = score.bars()[1].start;
        let high = fingering.postures.iter().find(|it| it.at == at).unwrap().position.unwrap();
        let alone: Vec<bool> = (1..=2)
            .map(|bar| {
                let (start, end) = (score.bars()[bar].start, score.bars()[bar + 1].start);
                let within = fingering.postures.iter().filter(|it| it.at >= start && it.at < end);
                within.clone().all(|it| it.away.or(it.position) == Some(high))
            })
            .collect();
        assert_eq!(alone, [true, true]);
        assert_eq!(stretch(&score, &fingering, high, at), (2, 3));
        // Another position would hold in its own bar only.
        let other = Position::new(12).unwrap();
        assert_eq!(stretch(&score, &fingering, other, at), (2, 2));
    }
}
