//! Whatever is played: every shift is told once, and the loop has the notes and
//! the fingering of its bar.

use std::collections::BTreeMap;

use apoyando_fingering::{EffortTable, Fingering, Level, Pin, Problem};
use apoyando_fretboard::Instrument;
use apoyando_method::preparation::{Loop, Move};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Duration, KeySignature, Metre, Moment,
    NoteValue, PartIndex, Pitch, Score, Step,
};
use proptest::prelude::*;

use crate::kit::{Prepared, prepared};

/// A note of C major or a rest, its value in eighths, and whether a triad
/// stands on it.
type Drawn = (Option<u8>, u8, bool);

fn pitch(step: u8) -> Pitch {
    const STEPS: [Step; 7] = [Step::C, Step::D, Step::E, Step::F, Step::G, Step::A, Step::B];
    Pitch::of(STEPS[usize::from(step % 7)], 0, 2 + (step / 7) as i8)
}

/// Cuts notes into bars of 3/4, with ties over the bar lines.
fn voice(drawn: &[Drawn], low: u8, bars: usize) -> Vec<Vec<DraftEvent>> {
    let mut voice = vec![Vec::new(); bars];
    let mut at = 0;
    let mut rest: Vec<Drawn> = drawn.iter().rev().copied().collect();
    while at < bars * 6 {
        let (note, eighths, chord) = rest.pop().unwrap_or((None, 1, false));
        let room = (6 - at % 6) as u8;
        let here = [4, 3, 2, 1].into_iter().find(|l| *l <= eighths.min(room)).unwrap_or(1);
        let value = match here {
            4 => NoteValue::plain(Base::Half),
            3 => NoteValue::dotted(Base::Quarter),
            2 => NoteValue::plain(Base::Quarter),
            _ => NoteValue::plain(Base::Eighth),
        };
        let goes_on = eighths > here && at + usize::from(here) < bars * 6;
        let mut event = DraftEvent::rest(value);
        if let Some(step) = note {
            let steps: &[u8] = if chord { &[0, 2, 4] } else { &[0] };
            event.notes.extend(
                steps.iter().map(|up| DraftNote {
                    tied: goes_on,
                    ..DraftNote::new(pitch(low + step + up))
                }),
            );
        }
        voice[at / 6].push(event);
        at += usize::from(here);
        if goes_on {
            rest.push((note, eighths - here, chord));
        }
    }
    voice
}

fn drawn() -> impl Strategy<Value = Vec<Drawn>> {
    let one = (prop::option::weighted(0.9, 0u8..14), 1u8..7, prop::bool::weighted(0.2));
    prop::collection::vec(one, 4..20)
}

fn piece() -> impl Strategy<Value = Score> {
    (drawn(), prop::option::of(drawn()), 2usize..5).prop_map(|(upper, lower, bars)| {
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(voice(&upper, 11, bars));
        part.voices.extend(lower.map(|lower| voice(&lower, 3, bars)));
        let grid = (1..=bars as u32)
            .map(|number| DraftBar::new(number, Metre::new(3, 4), KeySignature::NONE))
            .collect();
        Score::assemble(Draft { bars: grid, parts: vec![part], ..Draft::default() }).unwrap()
    })
}

/// Tones heard between two moments as key, beginning and end within them.
fn heard(score: &Score, from: Moment, to: Moment) -> Vec<(i16, Duration, Duration)> {
    let tones = score.tones(PartIndex(0));
    let mut heard: Vec<_> = tones
        .as_slice()
        .iter()
        .filter(|tone| tone.onset < to && tone.end > from)
        .map(|tone| {
            (tone.pitch.key_number().0, tone.onset.max(from) - from, tone.end.min(to) - from)
        })
        .collect();
    heard.sort();
    heard
}

/// The faults of a loop under its own pins that are no author's rules.
fn faults(round: &Loop, level: &Level) -> usize {
    let (instrument, effort) = (Instrument::guitar(), EffortTable::default());
    let problem = Problem {
        score: &round.score,
        part: PartIndex(0),
        instrument: &instrument,
        level,
        pins: &round.pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    apoyando_verify::verify(&problem, &round.fingering)
        .iter()
        .filter(|violation| !violation.rule().is_authors())
        .count()
}

/// By onset after the beginning of the bar, what is struck: key, place, fingers
/// of both hands.
fn struck(
    prepared: &Prepared,
    score: &Score,
    of_loop: Option<&Loop>,
    start: Moment,
    end: Moment,
) -> BTreeMap<Duration, Vec<String>> {
    let fingering = of_loop.map_or(&prepared.fingering, |round| &round.fingering);
    let mut struck: BTreeMap<Duration, Vec<String>> = BTreeMap::new();
    for tone in score.tones(PartIndex(0)).as_slice() {
        if tone.onset < start || tone.onset >= end {
            continue;
        }
        let played = fingering.tone(tone.id);
        let said = format!("{} {:?} {:?}", tone.pitch, played.left, played.right);
        struck.entry(tone.onset - start).or_default().push(said);
    }
    struck.values_mut().for_each(|all| all.sort());
    struck
}

fn check(prepared: &Prepared, level: &Level) -> Result<(), TestCaseError> {
    let Prepared { score, fingering, preparation } = prepared;
    // Every shift once.
    let told: Vec<_> = preparation
        .moves
        .iter()
        .flat_map(|one| match one {
            Move::Shift(shift) => vec![shift],
            Move::Hop(hop) => vec![&hop.there, &hop.back],
            Move::Reach(_) => Vec::new(),
        })
        .map(|shift| (shift.spot.at, shift.from, shift.to))
        .collect();
    let made: Vec<_> = fingering.shifts.iter().map(|s| (s.at, s.from, s.to)).collect();
    prop_assert_eq!(told, made);
    let sentences = preparation.sentences();
    for shift in &fingering.shifts {
        let (bar, beat) = score.bar_and_beat(shift.at);
        let place = |from: &str| format!("{from}ar {bar}, beat {beat}");
        let at = |text: &&String| {
            text.starts_with(&format!("{}: shift from", place("B")))
                || text.starts_with(&format!("{}: the hand goes", place("B")))
                || text.contains(&format!("and is back in {}.", place("b")))
        };
        prop_assert_eq!(sentences.iter().filter(at).count(), 1);
    }
    // Every reach once, and every finger that stays once for all onsets on end.
    let reaches: Vec<_> = preparation
        .moves
        .iter()
        .filter_map(|one| match one {
            Move::Reach(reach) => Some((reach.spot.at, reach.to)),
            Move::Shift(_) | Move::Hop(_) => None,
        })
        .collect();
    let hops: Vec<_> = fingering.hops.iter().map(|hop| (hop.from, hop.position)).collect();
    prop_assert_eq!(reaches, hops);
    let mut begun = Vec::new();
    for (index, posture) in fingering.postures.iter().enumerate() {
        let before = index.checked_sub(1).map_or(&[][..], |i| &fingering.postures[i].staying);
        let new = posture.staying.iter().filter(|stay| !before.contains(stay));
        begun.extend(new.map(|(finger, place)| (posture.at, *finger, *place)));
    }
    let stays = preparation.staying.iter().map(|one| (one.spot.at, one.finger, one.place));
    prop_assert_eq!(stays.collect::<Vec<_>>(), begun);
    prop_assert_eq!(preparation.barres.len(), fingering.barres.len());
    prop_assert!(preparation.in_brief().len() <= 4);

    check_ringing(score, fingering)?;
    let Some(hardest) = &preparation.hardest else { return Ok(()) };
    // Now and then a bar does not stand by itself: a barre in it was laid for
    // notes of a later one.
    let Some(round) = &hardest.round else { return Ok(()) };
    prop_assert_eq!(faults(round, level), 0);
    let (bar, own) = (score.bar(hardest.bar), &round.score.bars()[0]);
    prop_assert_eq!((own.number, own.metre, own.signature), (bar.number, bar.metre, bar.signature));
    prop_assert!(own.repeat_start && round.score.bars().last().unwrap().repeat_end == Some(2));
    // What is tied in and has been let go is not struck again in the loop.
    let silent =
        fingering.tones.iter().zip(score.tones(PartIndex(0)).as_slice()).any(|(t, tone)| {
            tone.onset < bar.start && tone.end > bar.start && t.sounds_until <= bar.start
        });
    if !silent {
        prop_assert_eq!(
            heard(&round.score, own.start, own.end_moment()),
            heard(score, bar.start, bar.end_moment())
        );
    }
    let was = struck(prepared, score, None, bar.start, bar.end_moment());
    let is = struck(prepared, &round.score, Some(round), own.start, own.end_moment());
    for (at, notes) in &was {
        let now = is.get(at).map_or(&[][..], Vec::as_slice);
        prop_assert!(
            notes.iter().all(|note| now.contains(note)),
            "{:?} is not in {:?}",
            notes,
            now
        );
    }
    Ok(())
}

/// What section 9 of the model says of every bass to be damped, as far as it
/// shows without its figures.
fn check_ringing(score: &Score, fingering: &Fingering) -> Result<(), TestCaseError> {
    let tones = score.tones(PartIndex(0));
    for ringing in apoyando_hands::ringing(score, PartIndex(0), fingering) {
        let (tone, played) = (tones.get(ringing.tone), fingering.tone(ringing.tone));
        let left = played.left.unwrap();
        prop_assert_eq!((left.place.string, left.finger), (ringing.string, None));
        prop_assert!(ringing.damp_at >= played.sounds_until && ringing.damp_at > tone.onset);
        // 5 s at 72 quarters a minute are six quarters.
        prop_assert!(ringing.damp_at - tone.onset < Duration::new(6, 4));
        let taken = fingering.postures.iter().filter(|p| p.at > tone.onset).find(|posture| {
            posture.barre.is_some_and(|barre| barre.covers(ringing.string))
                || posture.sounding.iter().any(|(other, placement)| {
                    tones.get(*other).onset == posture.at
                        && placement.place.string == ringing.string
                })
        });
        prop_assert!(taken.is_none_or(|posture| posture.at > ringing.damp_at));
        let taken = taken.map(|p| p.at).filter(|at| *at - tone.onset < Duration::new(6, 4));
        prop_assert_eq!(ringing.until, taken);
        let class = |id| tones.get(id).pitch.key_number().0.rem_euclid(12);
        let there = fingering.postures.iter().find(|p| p.at == ringing.damp_at).unwrap();
        prop_assert!(there.sounding.iter().all(|(id, _)| class(*id) != class(ringing.tone)));
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn every_shift_is_told_and_the_loop_is_the_bar(score in piece(), first in any::<bool>()) {
        let level = if first { Level::first() } else { Level::open() };
        let none: &[Pin] = &[];
        check(&prepared(score, &level, none), &level)?;
    }
}
