//! Whatever a writer is told, it writes something playable or says why not.

use apoyando_fingering::{BarreLimit, EffortTable, LeftFinger, Level, Position, Problem};
use apoyando_fretboard::{Fret, Instrument, Tuning};
use apoyando_method::{
    MethodError, Setting, Written, arpeggio, position_scale, progression, scale, triads,
};
use apoyando_music::{Base, Degree, Key, Metre, Mode, NoteValue, PartIndex, ScaleKind};
use proptest::prelude::*;

fn instrument() -> impl Strategy<Value = Instrument> {
    let tunings = [
        "E2 A2 D3 G3 B3 E4",
        "D2 A2 D3 G3 B3 E4",
        "D2 G2 D3 G3 B3 E4",
        "E2 A2 D3 F#3 B3 E4",
        "D3 G3 B3 E4",
        "B1 E2 A2 D3 G3 B3 E4",
    ];
    (prop::sample::select(tunings.to_vec()), 0u8..4, 12u8..20).prop_map(|(tuning, capo, frets)| {
        Instrument {
            tuning: tuning.parse::<Tuning>().unwrap(),
            capo: Fret(capo),
            frets: Fret(frets),
            ..Instrument::guitar()
        }
    })
}

fn level() -> impl Strategy<Value = Level> {
    let barres = [BarreLimit::None, BarreLimit::Small, BarreLimit::Half, BarreLimit::Full];
    (
        prop::sample::select(barres.to_vec()),
        0u8..3,
        prop_oneof![1 => 0u8..4, 4 => 4u8..20],
        any::<bool>(),
    )
        .prop_map(|(barre, extension, highest, four)| {
            let mut level =
                Level { barre, extension, highest_fret: Fret(highest), ..Level::open() };
            if !four {
                level.fingers = level.fingers.without(Some(LeftFinger::Four));
            }
            level
        })
}

/// Mostly what books print, and anything else.
fn value() -> impl Strategy<Value = NoteValue> {
    let usual = prop::sample::select(vec![Base::Half, Base::Quarter, Base::Eighth]);
    prop_oneof![
        3 => usual.prop_map(NoteValue::plain),
        1 => (prop::sample::select(Base::ALL.to_vec()), 0u8..5)
            .prop_map(|(base, dots)| NoteValue { base, dots }),
    ]
}

fn metre() -> impl Strategy<Value = Metre> {
    let units = prop::sample::select(vec![0u8, 1, 2, 4, 8, 16]);
    prop_oneof![
        3 => prop::sample::select(vec![(4, 4), (3, 4), (6, 8), (2, 4)]),
        1 => (0u8..14, units),
    ]
    .prop_map(|(beats, unit)| Metre::new(beats, unit))
}

/// Notes left out or rules broken in the fingering of an exercise.
fn faults(written: &Written, setting: &Setting<'_>) -> (u32, u32) {
    let effort = EffortTable::default();
    let problem = Problem {
        score: &written.score,
        part: PartIndex(0),
        instrument: setting.instrument,
        level: setting.level,
        pins: &written.pins[0],
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let price = apoyando_hands::finger(&problem, &written.right).unwrap().fingering.price;
    (price.escapes, price.broken)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn writers_write_what_can_be_played(
        key in prop::sample::select(Key::all().collect::<Vec<_>>()),
        position in prop_oneof![3 => 1u8..4, 1 => 4u8..14],
        instrument in instrument(),
        level in level(),
        value in value(),
        metre in metre(),
    ) {
        let setting = Setting {
            value,
            metre,
            ..Setting::new(key, Position::new(position).unwrap(), &instrument, &level)
        };
        let (kind, degrees) = match key.mode() {
            Mode::Major => (ScaleKind::Major, ["I", "IV", "V7", "I6"]),
            Mode::Minor => (ScaleKind::MelodicMinor, ["i", "iv", "V7", "i6"]),
        };
        let degrees: Vec<Degree> = degrees.iter().map(|degree| degree.parse().unwrap()).collect();
        for written in [
            scale::write(&setting, kind, None),
            position_scale::write(&setting, kind),
            arpeggio::write(&setting, None),
            triads::write(&setting, degrees[0]),
            progression::write(&setting, &degrees, None),
        ] {
            match written {
                // Very long exercises in very short bars are written, but not fingered here.
                Ok(written) if written.score.notes().len() < 400 => {
                    let title = &written.score.heading().title;
                    prop_assert_eq!(faults(&written, &setting), (0, 0), "{}", title);
                }
                Ok(_) => {}
                Err(MethodError::Score(error)) => prop_assert!(false, "{}", error),
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }
    }
}
