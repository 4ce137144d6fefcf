//! Whatever a fingering says, the checker answers and does not panic.

use apoyando_fingering::{
    Barre, EffortItem, Hinge, HouseStyle, LeftFinger, LetGo, Pin, PinAuthor, PinRule, Placement,
    Position, PositionSpan, Price, RightFinger, RightPattern, RightPlan, Scope, Seam, StringSet,
    Term,
};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Moment, ToneId};
use apoyando_verify::{right_price, verify_right};
use proptest::prelude::*;

use crate::kit::{Case, barre as a_barre, eighths, full_barre, held, score, tune};

/// A repeat with endings, with a slur, a glissando, a trill, a mordent, a grace
/// note, harmonics and a unison, fingered after a fashion.
fn everything() -> Case {
    let music = score(&[
        &[
            "|: (D4/8 C4/8) <C4/8 D4/8> E5/4o F5/4a",
            "|1 C4/4t D4/4m {D4}C4/4! E4+Fb4/4 :|",
            "|2 E4/8 G4/8 C5/8 E4/8 r/2 ||",
        ],
        &["A2/1", "C3/1~", "C3/1"],
    ]);
    let bass = (1, 5, 0, 0);
    let first = [(0, 2, 3, 3), bass];
    let slurred = [bass, (2, 2, 1, 1)];
    let again = [bass, (3, 2, 1, 1)];
    let glide = [bass, (4, 2, 3, 1)];
    let natural = [bass, (5, 1, 12, 1)];
    let artificial = [bass, (6, 1, 1, 1)];
    let trill = [(7, 2, 1, 1), (8, 5, 3, 3)];
    let mordent = [(8, 5, 3, 3), (9, 2, 3, 4)];
    let grace = [(8, 5, 3, 3), (10, 2, 1, 1)];
    let unison = [(11, 1, 0, 0), (12, 2, 5, 4)];
    let figure = [(13, 1, 0, 0), (14, 1, 3, 4), (15, 1, 8, 4), (16, 1, 0, 0)];
    let mut postures = vec![
        held(1, &first).staying(&[(1, 2, 1)]),
        held(1, &slurred),
        held(1, &again).with(a_barre(1, 1, 2)).lifting(Hinge::Thin),
        held(3, &glide),
        held(12, &natural),
        held(1, &artificial),
        held(1, &trill).bound(&[(4, 2, 3)]),
        held(1, &mordent),
        held(1, &grace),
        held(2, &unison),
    ];
    postures.extend(figure.iter().map(|note| held(1, std::slice::from_ref(note)).away(5)));
    let mut case = Case::new(music, &postures, "m-i m a p i m a i m a i m a i m", &[]);
    case.house = HouseStyle {
        third_fret: Some(LeftFinger::Three),
        descending: Some(apoyando_fingering::Descending::Stopped),
        shapes: vec!["x32010".parse().unwrap(), "99999999999999".parse().unwrap()],
    };
    case
}

fn string() -> impl Strategy<Value = StringNumber> {
    (1u8..=10).prop_map(|number| StringNumber::new(number).unwrap())
}

/// Mostly frets that there are.
fn fret() -> impl Strategy<Value = Fret> {
    prop_oneof![4 => 0u8..=12, 1 => any::<u8>()].prop_map(Fret)
}

fn placement() -> impl Strategy<Value = Placement> {
    (string(), fret(), 0u8..=4).prop_map(|(string, fret, finger)| Placement {
        place: Place { string, fret },
        finger: LeftFinger::from_digit(finger),
    })
}

fn barre() -> impl Strategy<Value = Option<Barre>> {
    proptest::option::of((fret(), string(), string()).prop_map(|(fret, thin, thick)| Barre {
        fret,
        thin,
        thick,
    }))
}

fn hinge() -> impl Strategy<Value = Option<Hinge>> {
    prop::sample::select(vec![None, Some(Hinge::Thin), Some(Hinge::Thick)])
}

fn fingertips() -> impl Strategy<Value = Vec<(LeftFinger, Place)>> {
    let tip = (1u8..=4, string(), fret()).prop_map(|(finger, string, fret)| {
        (LeftFinger::from_digit(finger).unwrap(), Place { string, fret })
    });
    prop::collection::vec(tip, 0..5)
}

/// What is done to a case.
#[derive(Clone, Debug)]
enum Damage {
    Sounding(usize, Vec<(u32, Placement)>),
    Hand(usize, u8, bool, Option<Barre>),
    Away(usize, u8, Option<Hinge>),
    Fingers(usize, Vec<(LeftFinger, Place)>, Vec<(LeftFinger, Place)>),
    Tone(usize, Option<Placement>, Option<RightFinger>),
    Joined(usize, bool),
    Price(u32, u64, i64),
    LetGo(u32, i64),
    Seam(i64, i64, u8),
    Pin(u32, StringSet),
}

fn damage() -> impl Strategy<Value = Damage> {
    let sounding = prop::collection::vec((0u32..20, placement()), 0..7);
    let layer = || 0usize..15;
    prop_oneof![
        (layer(), sounding).prop_map(|(layer, list)| Damage::Sounding(layer, list)),
        (layer(), any::<u8>(), any::<bool>(), barre())
            .prop_map(|(layer, position, air, barre)| Damage::Hand(layer, position, air, barre)),
        (layer(), 0u8..=25, hinge())
            .prop_map(|(layer, away, hinge)| { Damage::Away(layer, away, hinge) }),
        (layer(), fingertips(), fingertips())
            .prop_map(|(layer, staying, bound)| Damage::Fingers(layer, staying, bound)),
        (0usize..17, proptest::option::of(placement()), 0usize..5).prop_map(
            |(tone, left, right)| Damage::Tone(tone, left, RightFinger::ALL.get(right).copied())
        ),
        (0usize..17, any::<bool>()).prop_map(|(tone, joined)| Damage::Joined(tone, joined)),
        (any::<u32>(), any::<u64>(), any::<i64>())
            .prop_map(|(count, effort, amount)| Damage::Price(count, effort, amount)),
        (0u32..20, -9i64..40).prop_map(|(tone, at)| Damage::LetGo(tone, at)),
        (-9i64..40, -9i64..40, any::<u8>()).prop_map(|(from, to, at)| Damage::Seam(from, to, at)),
        (0u32..20, prop::collection::vec(string(), 0..3))
            .prop_map(|(tone, strings)| Damage::Pin(tone, strings.into_iter().collect())),
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
        Damage::Away(layer, away, hinge) => {
            if let Some(posture) = fingering.postures.get_mut(layer) {
                posture.away = Position::new(away);
                posture.hinge = hinge;
            }
        }
        Damage::Fingers(layer, staying, bound) => {
            if let Some(posture) = fingering.postures.get_mut(layer) {
                posture.staying = staying;
                posture.bound = bound;
            }
        }
        Damage::Tone(tone, left, right) => {
            if let Some(tone) = fingering.tones.get_mut(tone) {
                tone.left = left;
                tone.right = right;
                tone.sounds_until = Moment::START;
            }
        }
        Damage::Joined(tone, joined) => {
            if let Some(tone) = fingering.tones.get_mut(tone) {
                tone.joined = joined;
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
        Damage::Seam(from, to, at) => {
            let position = Position::new(at).unwrap_or(Position::FIRST);
            let (from, to) = (eighths(from), eighths(to));
            let shift = Some((position, Position::FIRST));
            fingering.seams.push(Seam { from, to, shift });
            fingering.hops.push(PositionSpan { position, from, to });
        }
        Damage::Pin(tone, strings) => {
            let (scope, rule) = (Scope::Tone(ToneId(tone)), PinRule::Strings(strings));
            case.pins.0.push(Pin { scope, rule, author: PinAuthor::Author });
        }
    }
}

/// i m over and over, in every bar.
fn pattern() -> RightPlan {
    let fingers = vec![RightFinger::I, RightFinger::M];
    RightPlan { patterns: vec![RightPattern { bars: None, fingers }], ..RightPlan::default() }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn nothing_a_fingering_says_makes_it_panic(
        which in 0usize..3,
        damages in prop::collection::vec(damage(), 1..6),
    ) {
        let mut case = [tune, full_barre, everything][which]();
        let before = case.fingering.clone();
        for damage in damages {
            apply(&mut case, damage);
        }
        let found = case.violations();
        let _ = case.price();
        let _ = verify_right(&case.problem(), &pattern(), &case.fingering);
        let _ = right_price(&case.problem(), &pattern(), &case.fingering);
        let sentences: Vec<String> = found.iter().map(ToString::to_string).collect();
        prop_assert!(sentences.iter().all(|sentence| !sentence.is_empty()));
        // Whatever differs from a clean fingering and is clean too must cost
        // what it says; nothing that changes its price alone is clean.
        if case.fingering.price != before.price && case.fingering.postures == before.postures {
            prop_assert!(!found.is_empty());
        }
    }
}

/// The case above is read to its end: it has fourteen onsets and seventeen tones.
#[test]
fn everything_is_read() {
    use apoyando_verify::Fault;
    let found = everything().violations();
    let unread = |fault: &Fault| {
        matches!(fault, Fault::PostureCount { .. } | Fault::ToneCount { .. } | Fault::Revision)
    };
    assert!(!found.iter().any(|violation| unread(&violation.fault)), "{found:?}");
}
