//! Barres where the level has them, findings where it has not.

use apoyando_fingering::{BarreLimit, Level, Severity};

use apoyando_fretboard::Fret;
use apoyando_music::Metre;

use crate::staff::{score, shape, shown, solve};

/// Common practice, no source: the fingerings of the barre chords.
#[test]
fn barre_chords_take_their_usual_fingering() {
    for (name, frets, usual) in [
        ("F", "133211", "134211"),
        ("F on four strings", "xx3211", "··3211"),
        ("B minor", "x24432", "·13421"),
        ("G minor", "355333", "134111"),
        ("F7", "131211", "131211"),
    ] {
        let (fingers, solution) = shape(frets, &Level::open());
        assert_eq!(fingers, usual, "{name}");
        assert_eq!(solution.fingering.price.broken, 0, "{name}");
        assert_eq!(solution.fingering.barres.len(), 1, "{name}");
        assert!(solution.findings.is_empty(), "{name}: {:?}", solution.findings);
    }
}

/// Common practice, no source: B♭ and F broken are held as chords, the barre laid
/// from the first note of finger 1 on and not lifted while the chord sounds.
#[test]
fn broken_chords_are_held_under_a_barre() {
    let b_flat = "Bb2/8 Bb3/8 D4/8 F4/8 Bb2/8 Bb3/8 D4/8 F4/8";
    let f = "F3/8 A3/8 C4/8 F4/8 F3/8 A3/8 C4/8 F4/8";
    for (bar, usual, width, first) in [
        (b_flat, "⑤1/1 ③3/3 ②3/4 ①1/1 ⑤1/1 ③3/3 ②3/4 ①1/1", 5, "1"),
        (f, "④3/3 ③2/2 ②1/1 ①1/1 ④3/3 ③2/2 ②1/1 ①1/1", 2, "2"),
    ] {
        let given = score(Metre::COMMON, None, &[bar]);
        let level = Level { highest_fret: Fret(4), ..Level::open() };
        let solution = solve(&given, &level, &[]);
        assert_eq!(shown(&solution), usual);
        let [span] = &solution.fingering.barres[..] else { panic!("{bar}") };
        let beat = |at| given.bar_and_beat(at).1;
        assert_eq!(span.barre.width(), width);
        assert_eq!((beat(span.from), beat(span.to)), (first.to_owned(), "4½".to_owned()));
    }
}

#[test]
fn a_barre_the_level_does_not_allow_is_one_broken_rule_and_a_finding() {
    for (limit, said) in [
        (BarreLimit::None, "no barre"),
        (BarreLimit::Small, "two strings"),
        (BarreLimit::Half, "four strings"),
    ] {
        let level = Level { barre: limit, ..Level::open() };
        let (fingers, solution) = shape("133211", &level);
        assert_eq!(fingers, "134211");
        assert_eq!(solution.fingering.price.broken, 1);
        let [finding] = &solution.findings[..] else { panic!("{:?}", solution.findings) };
        assert_eq!((finding.rule, finding.severity), ("barre-not-allowed", Severity::Error));
        assert_eq!((finding.place.bar, finding.place.beat.as_deref()), (Some(1), Some("1")));
        assert!(finding.message.contains("6 strings at fret 1"), "{}", finding.message);
        assert!(finding.message.contains(said), "{}", finding.message);
    }
}

/// A small barre is enough for F on four strings.
#[test]
fn the_barre_is_no_wider_than_its_notes() {
    let (_, solution) = shape("xx3211", &Level { barre: BarreLimit::Small, ..Level::open() });
    let barre = solution.fingering.barres[0].barre;
    assert_eq!((barre.width(), barre.fret.0), (2, 1));
    assert_eq!(solution.fingering.price.broken, 0);
}

/// Common practice, no source: E♭ between B♭ and F7 is xx1343 and F♯7 after B minor is
/// xx4320, on the tip of finger 1 and not under the barre of its neighbours.
#[test]
fn a_chord_that_needs_no_barre_has_none() {
    for (chords, usual) in [
        (
            "Bb2+F3+Bb3+D4+F4/1 | Eb3+Bb3+Eb4+G4/1 | F2+C3+Eb3+A3+C4+F4/1",
            ["④1/1", "③3/2", "②4/4", "①3/3"],
        ),
        ("B2+F#3+B3+D4+F#4/1 | F#3+A#3+C#4+E4/1", ["④4/3", "③3/2", "②2/1", "①0/0"]),
    ] {
        let level = Level { highest_fret: Fret(4), ..Level::open() };
        let given = score(Metre::COMMON, None, &[chords]);
        let solution = solve(&given, &level, &[]);
        assert!(
            shown(&solution).contains(&usual.join(" ").replace("0/0", "0")),
            "{}",
            shown(&solution)
        );
        assert!(solution.fingering.postures[1].barre.is_none(), "{chords}");
        assert!(solution.fingering.postures[0].barre.is_some(), "{chords}");
    }
}
