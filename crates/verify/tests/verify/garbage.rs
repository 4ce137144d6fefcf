//! Whatever a fingering says, the checker answers and does not panic.

use apoyando_fingering::{
    Barre, EffortItem, LeftFinger, LetGo, Placement, Position, Price, RightFinger, Term,
};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Moment, ToneId};
use proptest::prelude::*;

use crate::kit::{Case, eighths, full_barre, tune};

fn string() -> impl Strategy<Value = StringNumber> {
    (1u8..=10).prop_map(|number| StringNumber::new(number).unwrap())
}

fn placement() -> impl Strategy<Value = Placement> {
    (string(), any::<u8>(), 0u8..=4).prop_map(|(string, fret, finger)| Placement {
        place: Place { string, fret: Fret(fret) },
        finger: LeftFinger::from_digit(finger),
    })
}

fn barre() -> impl Strategy<Value = Option<Barre>> {
    proptest::option::of((any::<u8>(), string(), string()).prop_map(|(fret, thin, thick)| Barre {
        fret: Fret(fret),
        thin,
        thick,
    }))
}

/// What is done to a case.
#[derive(Clone, Debug)]
enum Damage {
    Sounding(usize, Vec<(u32, Placement)>),
    Hand(usize, u8, bool, Option<Barre>),
    Tone(usize, Option<Placement>, Option<RightFinger>),
    Price(u32, u64, i64),
    LetGo(u32, i64),
}

fn damage() -> impl Strategy<Value = Damage> {
    let sounding = prop::collection::vec((0u32..15, placement()), 0..7);
    prop_oneof![
        (0usize..8, sounding).prop_map(|(layer, list)| Damage::Sounding(layer, list)),
        (0usize..8, any::<u8>(), any::<bool>(), barre())
            .prop_map(|(layer, position, air, barre)| Damage::Hand(layer, position, air, barre)),
        (0usize..11, proptest::option::of(placement()), 0usize..5).prop_map(
            |(tone, left, right)| Damage::Tone(tone, left, RightFinger::ALL.get(right).copied())
        ),
        (any::<u32>(), any::<u64>(), any::<i64>())
            .prop_map(|(count, effort, amount)| Damage::Price(count, effort, amount)),
        (0u32..15, -9i64..40).prop_map(|(tone, at)| Damage::LetGo(tone, at)),
    ]
}

fn apply(case: &mut Case, damage: Damage) {
    let fingering = &mut case.fingering;
    match damage {
        Damage::Sounding(layer, list) => {
            if let Some(posture) = fingering.postures.get_mut(layer) {
                posture.sounding = list.into_iter().map(|(t, p)| (ToneId(t), p)).collect();
            }
        }
        Damage::Hand(layer, position, air, barre) => {
            if let Some(posture) = fingering.postures.get_mut(layer) {
                posture.position = Position::new(position);
                posture.idle = air;
                posture.barre = barre;
            }
        }
        Damage::Tone(tone, left, right) => {
            if let Some(tone) = fingering.tones.get_mut(tone) {
                tone.left = left;
                tone.right = right;
                tone.sounds_until = Moment::START;
            }
        }
        Damage::Price(count, effort, amount) => {
            fingering.price = Price { escapes: count, broken: count, effort };
            fingering.items.push(EffortItem { term: Term::Ease, at: Moment::START, amount });
            fingering.items.push(EffortItem { term: Term::Ease, at: Moment::START, amount });
        }
        Damage::LetGo(tone, at) => {
            fingering.let_go.push(LetGo { tone: ToneId(tone), at: eighths(at), written: true });
        }
    }
}

proptest! {
    #[test]
    fn nothing_a_fingering_says_makes_it_panic(
        big in any::<bool>(),
        damages in prop::collection::vec(damage(), 1..6),
    ) {
        let mut case = if big { full_barre() } else { tune() };
        let before = case.fingering.clone();
        for damage in damages {
            apply(&mut case, damage);
        }
        let found = case.violations();
        let _ = case.price();
        let sentences: Vec<String> = found.iter().map(ToString::to_string).collect();
        prop_assert!(sentences.iter().all(|sentence| !sentence.is_empty()));
        // Whatever differs from a clean fingering and is clean too must cost
        // what it says; nothing that changes its price alone is clean.
        if case.fingering.price != before.price && case.fingering.postures == before.postures {
            prop_assert!(!found.is_empty());
        }
    }
}
