//! Chords take one of their usual fingerings.

use apoyando_fingering::Level;
use apoyando_music::Metre;

use crate::staff::{score, shape, shown, solve};

/// Common practice, no source: the open chords with the fingerings that
/// handbooks print, one or several.
#[test]
fn open_chords_take_a_usual_fingering() {
    let chords: [(&str, &str, &[&str]); 17] = [
        ("C", "x32010", &["·32·1·"]),
        ("A", "x02220", &["··123·", "··213·"]),
        ("G", "320003", &["21···3", "32···4"]),
        ("E", "022100", &["·231··"]),
        ("D", "xx0232", &["···132"]),
        ("Am", "x02210", &["··231·"]),
        ("Em", "022000", &["·23···", "·12···"]),
        ("Dm", "xx0231", &["···231", "···241"]),
        ("A7", "x02020", &["··2·3·", "··1·2·"]),
        ("E7", "020100", &["·2·1··"]),
        ("D7", "xx0212", &["···213"]),
        ("B7", "x21202", &["·213·4"]),
        ("G7", "320001", &["32···1"]),
        ("C7", "x32310", &["·3241·"]),
        ("F without barre", "xx321x", &["··321·"]),
        ("B minor without barre", "xx0432", &["···321"]),
        ("F sharp seven without barre", "xx4320", &["··321·"]),
    ];
    for (name, frets, usual) in chords {
        for level in [Level::open(), Level::first()] {
            let (fingers, solution) = shape(frets, &level);
            assert!(usual.contains(&fingers.as_str()), "{name} {frets}: {fingers}");
            assert_eq!(solution.fingering.price.broken, 0, "{name}");
            assert!(solution.fingering.barres.is_empty(), "{name}");
        }
    }
}

/// Common practice, no source: D in broken chords is 0 1 3 2, never 0 2 3 2,
/// and all of it sounds on.
#[test]
fn a_broken_d_chord_is_one_shape() {
    let score = score(Metre::COMMON, None, &["D3/8 A3/8 D4/8 F#4/8 D3/8 A3/8 D4/8 F#4/8"]);
    for level in [Level::open(), Level::first()] {
        let solution = solve(&score, &level, &[]);
        assert_eq!(shown(&solution), "④0 ③2/1 ②3/3 ①2/2 ④0 ③2/1 ②3/3 ①2/2");
        assert!(solution.fingering.let_go.is_empty());
        assert_eq!(solution.fingering.postures[3].sounding.len(), 4);
    }
}

/// Common practice, no source: from B7 to E finger 2 stays on ⑤2.
#[test]
fn b7_to_e_keeps_finger_2() {
    let text = "B2+D#3+A3+B3+F#4/2 E2+B2+E3+G#3+B3+E4/2";
    let solution = solve(&score(Metre::COMMON, None, &[text]), &Level::open(), &[]);
    assert_eq!(shown(&solution), "⑤2/2 ④1/1 ③2/3 ②0 ①2/4 ⑥0 ⑤2/2 ④2/3 ③1/1 ②0 ①0");
}

/// Common practice, no source: from C to Am fingers 1 and 2 stay.
#[test]
fn c_to_a_minor_keeps_1_and_2() {
    let text = "C3+E3+G3+C4+E4/2 A2+E3+A3+C4+E4/2";
    let solution = solve(&score(Metre::COMMON, None, &[text]), &Level::open(), &[]);
    assert_eq!(shown(&solution), "⑤3/3 ④2/2 ③0 ②1/1 ①0 ⑤0 ④2/2 ③2/3 ②1/1 ①0");
}

/// Common practice, no source: E7 is Am moved one string over, with a finger
/// less.
#[test]
fn a_minor_e7_and_back() {
    let text = "A2+E3+A3+C4+E4/2 E2+B2+D3+G#3+B3+E4/2 | A2+E3+A3+C4+E4/1";
    let solution = solve(&score(Metre::COMMON, None, &[text]), &Level::first(), &[]);
    assert_eq!(shown(&solution), "⑤0 ④2/2 ③2/3 ②1/1 ①0 ⑥0 ⑤2/2 ④0 ③1/1 ②0 ①0 ⑤0 ④2/2 ③2/3 ②1/1 ①0");
}

/// Common practice, no source: the tonic triads of D major on three adjacent
/// strings. The first two lie in II with finger 1 to 3, the root position on
/// ⑤ ④ ③ reaches fret 5 with finger 4.
#[test]
fn d_major_triads_lie_in_position_two() {
    use apoyando_fingering::{PinRule, Position};
    let two = PinRule::Positions(Position::new(2).into_iter().collect());
    for (frets, usual) in [("xxx232", "···132"), ("xx423x", "··312·"), ("x542xx", "·431··")]
    {
        let (fingers, solution) = crate::staff::shape_with(frets, &Level::first(), &[two]);
        assert_eq!((fingers.as_str(), solution.fingering.price.broken), (usual, 0), "{frets}");
    }
}
