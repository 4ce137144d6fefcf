//! The bars of the puzzles: signatures, tempi, repeats and endings.

use apoyando_music::{
    BarEnd, Base, DraftBar, Duration, Ending, KeySignature, Metre, NoteValue, Tempo,
};

use crate::dice::Dice;

/// Bars with repeats and endings now and then: `|:` and `:|` on either side of
/// the passes of an ending.
pub fn grid(dice: &mut Dice, metre: Metre, bars: usize) -> Vec<DraftBar> {
    let signs: &[&str] = match bars {
        1 => &["|: :|", ":|"],
        2 => &[": :|", "|: :| _", "_ |:_:|", "1:| 2", ":| :|"],
        3 => &["_ 1:| 2", "|:_ 1:| _", "_ |:_ :|", "_ 12:| 3", ":| _ :|", "|: _ _"],
        _ => &["_ 1:| 2 _", "|:_ :| _ :|", "_ |:_ 1:| 2", "_ _ 1:| 2", "1:| 2:| 3 _", "_ 1 2 _"],
    };
    let words: Vec<&str> = if dice.one_in(2) {
        signs[dice.below(signs.len() as u64) as usize].split(' ').collect()
    } else {
        Vec::new()
    };
    let mut signature = KeySignature::new(dice.below(7) as i32 - 3).unwrap();
    let mut grid = Vec::new();
    for number in 0..bars {
        if number > 0 && dice.one_in(6) {
            signature = KeySignature::new(dice.below(7) as i32 - 3).unwrap();
        }
        let mut bar = DraftBar::new(number as u32 + 1, metre, signature);
        let word = words.get(number).copied().unwrap_or("");
        bar.repeat_start = word.starts_with("|:");
        bar.repeat_end = word.ends_with(":|").then(|| 2 + u8::from(dice.one_in(6)));
        let passes: Vec<u8> = word.bytes().filter(u8::is_ascii_digit).map(|b| b - b'0').collect();
        if !passes.is_empty() {
            bar.ending = Some(Ending { passes, first: true, last: true });
        }
        if dice.one_in(6) {
            bar.end = if dice.one_in(2) { BarEnd::Double } else { BarEnd::Final };
        }
        if dice.one_in(if number == 0 { 2 } else { 8 }) {
            bar.tempo = Some(tempo(dice));
        }
        if number == 0 && dice.one_in(12) {
            (bar.number, bar.length) = (0, Some(Duration::new(1, 8)));
        }
        grid.push(bar);
    }
    grid
}

fn tempo(dice: &mut Dice) -> Tempo {
    let value = match dice.below(6) {
        0 => NoteValue::dotted(Base::Quarter),
        1 => NoteValue::plain(Base::Half),
        _ => NoteValue::plain(Base::Quarter),
    };
    let per_minute = if dice.one_in(40) { 0 } else { 30 + dice.below(150) as u16 };
    Tempo { value, per_minute }
}
