//! Practice pairs, and what another finger would cost.

use apoyando_fingering::{Level, RightFinger};
use apoyando_hands::right::{choices, practice};
use apoyando_hands::{PRACTICE, RightPlan, finger};
use apoyando_music::Metre;

use crate::staff::{asked, score};

/// Common practice, no source: scales alternate i m, m i, i a, a i, m a, a m,
/// a m i.
#[test]
fn a_scale_is_written_out_with_every_pair() {
    let scale = score(Metre::COMMON, None, &["C3/8 D3/8 E3/8 F3/8 G3/8 A3/8 B3/8 C4/8"]);
    let plan = RightPlan::default();
    let variants = asked(&scale, &Level::first(), &[], |problem| {
        let left = finger(problem, &plan).expect("a fingering").fingering;
        let variants = practice(problem, &plan, &left).expect("variants");
        for variant in &variants {
            let mut fingering = left.clone();
            variant.hand.write_into(&mut fingering);
            assert_eq!(apoyando_verify::verify(problem, &fingering), []);
        }
        variants
    });
    let found: Vec<String> = variants
        .iter()
        .map(|v| v.hand.tones.iter().map(|t| t.map_or('—', |(f, _)| f.letter())).collect())
        .collect();
    assert_eq!(
        found,
        ["imimimim", "mimimimi", "iaiaiaia", "aiaiaiai", "mamamama", "amamamam", "amiamiam"]
    );
    assert_eq!(variants.iter().map(|v| v.fingers).collect::<Vec<_>>(), PRACTICE);
    // The scale lies ⑤ ④④④ ③③ ②②: it goes up a string after its first,
    // fourth and sixth note. i m does so with i m, m i, m i; m i the other way
    // round; a m i with a m, a m and i a.
    let crossings: Vec<usize> = variants.iter().map(|v| v.crossings).collect();
    assert_eq!(crossings, [2, 1, 2, 1, 2, 1, 2]);
}

/// The third note of p i m a at home: m is free, its neighbours are not.
#[test]
fn every_finger_has_its_price() {
    let upper = "r/8 G3/8 C4/8 E4/8 C4/8 G3/8 r/4";
    let arpeggio = score(Metre::COMMON, None, &[upper, "C3/2. r/4"]);
    let plan = RightPlan::default();
    let (best, found) = asked(&arpeggio, &Level::first(), &[], |problem| {
        let solution = finger(problem, &plan).expect("a fingering");
        (solution.right_effort, choices(problem, &plan, &solution.fingering).expect("choices"))
    });
    assert_eq!(found.len(), 6);
    let third = &found[2];
    assert_eq!(third.of(RightFinger::M), Some(best));
    for other in [RightFinger::P, RightFinger::I, RightFinger::A] {
        assert!(third.of(other) > Some(best), "{other}: {:?}", third.of(other));
    }
    assert_eq!(third.fingers(), apoyando_fingering::RightFingerSet::ALL);
}

/// A chord of six leaves its thickest string to p alone, so nothing else is
/// offered there.
#[test]
fn what_the_order_excludes_is_not_offered() {
    let chord = score(Metre::COMMON, None, &["E2+B2+E3+G#3+B3+E4/1"]);
    let plan = RightPlan::default();
    let found = asked(&chord, &Level::first(), &[], |problem| {
        let left = finger(problem, &plan).expect("a fingering").fingering;
        choices(problem, &plan, &left).expect("choices")
    });
    let offered = |sound: usize| -> String {
        let fingers = found[sound].fingers();
        RightFinger::ALL.iter().filter(|f| fingers.contains(**f)).map(|f| f.letter()).collect()
    };
    assert_eq!((offered(0), offered(3), offered(5)), ("p".into(), "pi".into(), "pima".into()));
}
