//! The right hand by five rules, on an arpeggio study and a scale passage.
//!
//! Dubey, Skarha and Taylor, *Integer Programming for Optimal Right Hand Guitar
//! Fingerings* (2019), give five rules. Their wording was not at hand when this
//! was written and is not recalled with certainty, so nothing here claims to be
//! theirs. The five rules below are common practice, no source; study and
//! passage are inventions of this repository.

use apoyando_fingering::{Level, RightFinger, ToneFingering};
use apoyando_hands::Solution;
use apoyando_music::{Metre, Moment, PartIndex, Score};

use crate::staff::{score, solve};

use RightFinger::{A, M, P};

/// Broken chords over held basses.
fn study() -> Score {
    let upper = "r/8 E3/8 A3/8 C4/8 E4/8 C4/8 A3/8 E3/8 | r/8 A3/8 D4/8 F4/8 D4/8 A3/8 r/4 \
        | r/8 E3/8 G#3/8 B3/8 E4/8 B3/8 G#3/8 E3/8 | r/8 E3/8 A3/8 C4/8 E4/2";
    score(Metre::COMMON, Some(80), &[upper, "A2/1 | D3/2. r/4 | E2/1 | A2/1"])
}

/// Two octaves up and half of it down, in sixteenths.
fn passage() -> Score {
    let up = "C3/16 D3/16 E3/16 F3/16 G3/16 A3/16 B3/16 C4/16 D4/16 E4/16 F4/16 G4/16 A4/16 G4/16 \
        F4/16 E4/16 | D4/16 C4/16 B3/16 A3/16 G3/16 A3/16 B3/16 D4/16 C4/2";
    score(Metre::COMMON, Some(80), &[up])
}

/// A pluck: onset, string, finger.
type Pluck = (Moment, u8, RightFinger);

fn plucks(score: &Score, tones: &[ToneFingering]) -> Vec<Pluck> {
    let mut plucks: Vec<Pluck> = score
        .tones(PartIndex(0))
        .as_slice()
        .iter()
        .map(|tone| {
            let played = &tones[tone.id.0 as usize];
            let string = played.left.expect("a place").place.string.get();
            (tone.onset, string, played.right.expect("a finger"))
        })
        .collect();
    plucks.sort_by_key(|(onset, string, _)| (*onset, std::cmp::Reverse(*string)));
    plucks
}

/// Places at which a rule is broken.
type Check = fn(&[Pluck]) -> usize;

fn running(plucks: &[Pluck]) -> impl Iterator<Item = (Pluck, Pluck)> + '_ {
    plucks.windows(2).filter(|w| w[0].0 < w[1].0).map(|w| (w[0], w[1]))
}

/// Rule 1: No finger but the thumb plays twice running.
fn twice_running(plucks: &[Pluck]) -> usize {
    running(plucks).filter(|(a, b)| a.2 == b.2 && a.2 != P).count()
}

/// Rule 2: The thumb keeps to ⑥ ⑤ ④, and in broken chords alone plays ⑥ ⑤.
fn thumb_out_of_place(plucks: &[Pluck]) -> usize {
    plucks.iter().filter(|p| (p.2 == P && p.1 < 4) || (p.2 != P && p.1 > 4)).count()
}

/// Rule 3: In broken chords the fingers lie in their order over the strings, so that
/// none reaches across another.
fn crossed(plucks: &[Pluck]) -> usize {
    let against = |a: Pluck, b: Pluck| (b.1 < a.1 && b.2 < a.2) || (b.1 > a.1 && b.2 > a.2);
    running(plucks).filter(|(a, b)| against(*a, *b)).count()
}

/// Rule 4: m and a do not take turns: never a m a nor m a m on two strings.
fn weak(plucks: &[Pluck]) -> usize {
    let ring = |f: RightFinger| f == M || f == A;
    plucks
        .windows(4)
        .filter(|w| w.iter().all(|p| ring(p.2)) && w.windows(2).all(|v| v[0].2 != v[1].2))
        .count()
}

/// Rule 5: In a scale i and m take turns from first to last; a is kept for chords.
fn other_than_the_pair(plucks: &[Pluck]) -> usize {
    plucks.iter().filter(|p| p.2 == P || p.2 == A).count()
}

fn played(score: &Score) -> (Vec<Pluck>, Solution) {
    let solution = solve(score, &Level::first(), &[]);
    (plucks(score, &solution.fingering.tones), solution)
}

#[test]
fn the_arpeggio_study_keeps_the_rules() {
    let rules: [(&str, Check); 4] = [
        ("twice running", twice_running),
        ("thumb", thumb_out_of_place),
        ("crossed", crossed),
        ("weak", weak),
    ];
    let (plucks, _) = played(&study());
    for (name, rule) in rules {
        assert_eq!(rule(&plucks), 0, "{name}: {plucks:?}");
    }
    assert_eq!(plucks.len(), 27);
    // Each rule finds a fault planted in the study.
    let all_by = |finger| plucks.iter().map(|p| (p.0, p.1, finger)).collect::<Vec<Pluck>>();
    assert!(twice_running(&all_by(M)) > 0 && thumb_out_of_place(&all_by(P)) > 0);
    let swapped: Vec<Pluck> =
        plucks.iter().map(|p| (p.0, p.1, RightFinger::ALL[3 - p.2 as usize])).collect();
    assert!(crossed(&swapped) > 0);
    let in_turn = |pair: [RightFinger; 2]| -> Vec<Pluck> {
        plucks.iter().enumerate().map(|(n, p)| (p.0, p.1, pair[n % 2])).collect()
    };
    assert!(weak(&in_turn([M, A])) > 0);
}

/// A line crosses strings as its pair falls; it begins so that it does no more
/// often than with the pair turned round, unless that costs the beginning.
#[test]
fn the_scale_passage_keeps_the_rules() {
    let rules: [(&str, Check); 3] = [
        ("twice running", twice_running),
        ("weak", weak),
        ("other than the pair", other_than_the_pair),
    ];
    let score = passage();
    let (plucks, solution) = played(&score);
    for (name, rule) in rules {
        assert_eq!(rule(&plucks), 0, "{name}: {plucks:?}");
    }
    assert_eq!(plucks[0].2, RightFinger::I);
    // What it pays is for crossings alone, and as many as there are.
    let crossings = crossed(&plucks) as i32;
    let value = apoyando_fingering::EffortTable::default().rh_cross;
    assert_eq!(solution.right_effort, (crossings * value) as u64);
    assert!(crossings > 0, "a two-octave scale in strict turn crosses somewhere");
}
