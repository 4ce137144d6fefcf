//! Facts of the trade that the search must find by itself.

mod staff;

use apoyando_fingering::Level;
use apoyando_music::Metre;
use staff::{score, shown, solve};

/// Fingers one voice in 4/4 at a level and shows every tone.
fn line(level: &Level, text: &str) -> String {
    shown(&solve(&score(Metre::COMMON, None, &[text]), level, &[]))
}

/// Common practice, no source: the scale of C major in open position.
#[test]
fn c_major_lies_in_open_position() {
    let text = "C3/8 D3/8 E3/8 F3/8 G3/8 A3/8 B3/8 C4/8";
    let textbook = "⑤3/3 ④0 ④2/2 ④3/3 ③0 ③2/2 ②0 ②1/1";
    assert_eq!(line(&Level::open(), text), textbook);
    assert_eq!(line(&Level::first(), text), textbook);
}
