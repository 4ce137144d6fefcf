//! Numerals of players whose staves are read together.

use apoyando_fingering::Position;
use apoyando_music::{Moment, PartIndex};

use crate::marks::{Marks, PositionMark};

/// Gives a numeral to each player who never leaves I, if another begins with one above I:
/// what stands over one staff is else taken for both. `begins` is the onset of a part's
/// first note. Common practice, no source.
pub fn numerals_together(marks: &mut [Marks], begins: impl Fn(PartIndex) -> Option<Moment>) {
    let begins_above = |marks: &Marks| {
        let first = marks.positions.first();
        first.is_some_and(|it| it.position > Position::FIRST && Some(it.from) == begins(marks.part))
    };
    if !marks.iter().any(begins_above) {
        return;
    }
    for marks in marks {
        let played = marks.left.iter().any(Option::is_some);
        if let Some(from) = begins(marks.part).filter(|_| played && marks.positions.is_empty()) {
            let position = Position::FIRST;
            marks.positions.push(PositionMark { position, from, to: from, line: false });
        }
    }
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::LeftFinger;

    use super::*;
    use crate::marks::LeftMark;

    fn player(part: u16, positions: &[u8]) -> Marks {
        let mut marks = Marks::none(PartIndex(part), 1);
        marks.left[0] = Some(LeftMark::plain(Some(LeftFinger::One)));
        marks.positions = positions
            .iter()
            .map(|fret| PositionMark {
                position: Position::new(*fret).unwrap(),
                from: Moment::START,
                to: Moment::START,
                line: false,
            })
            .collect();
        marks
    }

    fn numerals(players: &mut [Marks], begin: Option<Moment>) -> Vec<Vec<u8>> {
        numerals_together(players, |_| begin);
        let own = |marks: &Marks| marks.positions.iter().map(|it| it.position.get()).collect();
        players.iter().map(own).collect()
    }

    #[test]
    fn who_plays_in_i_beside_another_in_ii_is_told() {
        let begin = Some(Moment::START);
        let told = |first: &[u8]| numerals(&mut [player(0, first), player(1, &[])], begin);
        assert_eq!(told(&[2]), [vec![2], vec![1]]);
        assert!(told(&[]).iter().all(Vec::is_empty));
        assert_eq!(told(&[1]), [vec![1], vec![]]);
    }

    #[test]
    fn who_has_nothing_to_finger_needs_no_numeral() {
        let mut silent = Marks::none(PartIndex(1), 1);
        silent.left[0] = None;
        let told = numerals(&mut [player(0, &[2]), silent], Some(Moment::START));
        assert_eq!(told, [vec![2], vec![]]);
    }
}
