//! Facts of the trade about shifts, barres and common fingers.

use apoyando_fingering::{
    EffortTable, LeftFinger, LeftFingerSet, Level, Pin, PinAuthor, PinRule, Pins, Position,
    PositionSet, Problem, Scope, StringSet, Term,
};
use apoyando_fretboard::{Instrument, StringNumber};
use apoyando_hands::RightPlan;
use apoyando_method::preparation::{Load, Move, Purpose, Seam, ShiftAdvice};
use apoyando_method::{MethodError, prepare};
use apoyando_music::{BarIndex, EventMark, Metre, PartIndex, Score};

use crate::kit::{Prepared, draft, prepared, score};

fn bar_pin(bar: u32, rule: PinRule) -> Pin {
    let scope = Scope::Bars { first: BarIndex(bar), last: BarIndex(bar) };
    Pin { scope, rule, author: PinAuthor::Author }
}

fn position(bar: u32, at: u8) -> Pin {
    let at = Position::new(at).unwrap();
    bar_pin(bar, PinRule::Positions(PositionSet::NONE.with(at)))
}

fn finger(bar: u32, digit: u8) -> Pin {
    let set = LeftFingerSet::NONE.with(LeftFinger::from_digit(digit));
    bar_pin(bar, PinRule::LeftFingers(set))
}

fn finger_or(bar: u32, digits: [u8; 2]) -> Pin {
    let set = digits
        .into_iter()
        .fold(LeftFingerSet::NONE, |set, digit| set.with(LeftFinger::from_digit(digit)));
    bar_pin(bar, PinRule::LeftFingers(set))
}

fn string(bar: u32, number: u8) -> Pin {
    let set = StringSet::NONE.with(StringNumber::new(number).unwrap());
    bar_pin(bar, PinRule::Strings(set))
}

fn line(text: &str, pins: &[Pin]) -> Prepared {
    prepared(score(Metre::COMMON, None, &[text]), &Level::open(), pins)
}

/// The only shift and its sentence.
fn only_shift(prepared: &Prepared) -> (&ShiftAdvice, String) {
    assert_eq!(prepared.fingering.price.broken, 0, "the pins are kept");
    match prepared.preparation.moves.as_slice() {
        [one @ Move::Shift(shift)] => (shift, one.to_string()),
        other => panic!("{other:#?}"),
    }
}

/// Common practice, no source: a rest, a guide finger, a pivot finger and an
/// open string each help a shift.
#[test]
fn what_helps_a_shift_is_told() {
    let in_a_rest = line(
        "F4/4 F4/4 F4/4 r/4 | A4/1",
        &[position(0, 1), position(1, 5), string(0, 1), string(1, 1), finger(1, 1)],
    );
    let (shift, said) = only_shift(&in_a_rest);
    assert!(shift.rest);
    assert_eq!(
        said,
        "Bar 2, beat 1: shift from I to V. Move in the rest; finger 1 guides along ①, \
         light but not lifted."
    );

    let over_open =
        line("F4/4 G4/4 F4/4 E4/4 | A4/1", &[position(0, 1), position(1, 5), string(0, 1)]);
    let (shift, said) = only_shift(&over_open);
    assert_eq!(shift.open, [StringNumber::FIRST]);
    assert_eq!(said, "Bar 2, beat 1: shift from I to V. Move while the open ① sounds.");

    let turning =
        line("E4/2 E4/2 | E4/1", &[position(0, 2), position(1, 3), finger(0, 4), finger(1, 4)]);
    let (_, said) = only_shift(&turning);
    assert_eq!(
        said,
        "Bar 2, beat 1: shift from II to III. Finger 4 stays on ② and the hand turns about it."
    );
}

/// Common practice, no source: a leap with nothing to hold on to is prepared
/// slowly.
#[test]
fn a_bare_shift_is_prepared_slowly() {
    let bare = line(
        "F4/4 G4/4 F4/4 G4/4 | E4/1",
        &[position(0, 1), position(1, 9), string(0, 1), string(1, 3)],
    );
    let (shift, said) = only_shift(&bare);
    assert!(!shift.is_helped());
    assert!(said.contains("nothing leads the hand") || said.contains("Nothing leads the hand"));
    assert!(said.contains("fret 9"), "{said}");
    let brief = bare.preparation.in_brief().join(" ");
    assert!(brief.contains("Prepare the shift to IX in bar 2 slowly"), "{brief}");
}

/// Common practice, no source: a hand that goes up for a note and comes
/// straight back is told as one thing; near by, it reaches and does not shift.
#[test]
fn a_momentary_reach_is_one_thing() {
    let pins = |up| [position(0, 1), position(1, up), position(2, 1), string(1, 1)];
    let hop = line("F4/2 G4/2 | D5/1 | G4/2 F4/2", &pins(7));
    assert_eq!((hop.fingering.shifts.len(), hop.fingering.hops.len()), (2, 0));
    let [Move::Hop(found)] = hop.preparation.moves.as_slice() else {
        panic!("{:#?}", hop.preparation.moves)
    };
    assert_eq!((found.onsets, found.chords), (1, false));
    let said = hop.preparation.moves[0].to_string();
    assert!(
        said.starts_with(
            "Bar 2, beat 1: the hand goes from I to VII for one note and is back in bar 3, beat 1."
        ),
        "{said}"
    );

    let longer = line("F4/2 G4/2 | D5/4 C5/4 D5/2 | G4/2 F4/2", &pins(7));
    assert_eq!(longer.fingering.shifts.len(), 2);
    assert!(longer.preparation.moves.iter().all(|one| matches!(one, Move::Shift(_))));

    let reach = line("F4/2 G4/2 | C5/1 | G4/2 F4/2", &pins(5));
    assert_eq!((reach.fingering.shifts.len(), reach.fingering.hops.len()), (0, 1));
    let [Move::Reach(found)] = reach.preparation.moves.as_slice() else {
        panic!("{:#?}", reach.preparation.moves)
    };
    assert_eq!((found.onsets, found.back.as_ref().map(|spot| spot.bar)), (1, Some(3)));
    assert_eq!(
        reach.preparation.moves[0].to_string(),
        "Bar 2, beat 1: the hand reaches from I to V for a moment, finger 4 on ①8, and comes back \
         in bar 3, beat 1. Leave the thumb where it is."
    );
    let brief = reach.preparation.in_brief().join(" ");
    assert!(brief.contains("In bar 2 the hand is away for a moment"), "{brief}");
}

/// A repeat leads the hand back to another position: the page does not show it.
#[test]
fn the_way_back_of_a_repeat_is_told() {
    let round = |text: &str| {
        let mut draft = draft(Metre::COMMON, None, &[text]);
        draft.bars[0].repeat_start = true;
        draft.bars[1].repeat_end = Some(2);
        let pins = [position(0, 1), position(1, 7), string(1, 1)];
        prepared(Score::assemble(draft).unwrap(), &Level::open(), &pins)
    };
    let said = |text: &str| {
        let prepared = round(text);
        let [back] = &prepared.preparation.ways_back[..] else {
            panic!("{:?}", prepared.fingering.seams)
        };
        assert!(prepared.preparation.sentences().contains(&back.to_string()));
        back.to_string()
    };
    let shifts = "going back to bar 1, beat 1, the hand shifts from VII to I.";
    assert_eq!(
        said("F4/2 G4/2 | D5/2 C5/4 B4/4"),
        format!(
            "Bar 2, beat 4: {shifts} Nothing leads the hand: practise the last note and the next \
             one, finger 1 at fret 1."
        )
    );
    assert_eq!(
        said("F4/2 G4/2 | D5/2 C5/4 r/4"),
        format!("Bar 2, beat 3: {shifts} Move in the rest.")
    );
    assert_eq!(
        said("F4/2 G4/2 | D5/2 C5/4 E4/4"),
        format!("Bar 2, beat 4: {shifts} Move while the open ① sounds.")
    );
    let stays = round("F4/2 G4/2 | D5/2 C5/4 B4/4");
    assert!(stays.preparation.in_brief().len() <= 4);
}

/// Common practice, no source: a finger that is needed again, or that a slur leads
/// down to, waits on its string.
#[test]
fn fingers_that_wait_are_told() {
    let again = line("F4/4 G4/4 F4/4 G4/4", &[string(0, 1), finger_or(0, [1, 3])]);
    let [one] = &again.preparation.staying[..] else { panic!("{:#?}", again.preparation.staying) };
    assert!(matches!(&one.purpose, Purpose::Again(spot) if spot.beat == "3"));
    assert_eq!((one.finger, one.was_down, &*one.spot.beat), (LeftFinger::One, true, "2"));
    assert!(
        again.preparation.sentences().contains(
            &"Leave finger 1 on ①1 in bar 1, beat 2: the same note comes again.".to_owned()
        )
    );

    let mut draft = draft(Metre::COMMON, None, &["r/2 G4/4 F4/4"]);
    draft.parts[0].voices[0][0][1].marks.push(EventMark::SlurStart { technical: true });
    draft.parts[0].voices[0][0][2].marks.push(EventMark::SlurEnd);
    let slur = prepared(Score::assemble(draft).unwrap(), &Level::first(), &[string(0, 1)]);
    assert!(slur.fingering.tones[1].joined);
    assert!(
        slur.preparation.sentences().contains(
            &"Put down finger 1 on ①1 in bar 1, beat 3: a slur leads down to it.".to_owned()
        ),
        "{:?}",
        slur.preparation.sentences()
    );
}

/// Common practice, no source: 1 and 2 stay from C to A minor, 2 on ⑤2 stays
/// from B7 to E.
#[test]
fn common_fingers_stay() {
    for (chords, said) in [
        (
            "C3+E3+G3+C4+E4/1 | A2+E3+A3+C4+E4/1",
            "Fingers 1 on ②1 and 2 on ④2 stay down into the chord of bar 2, beat 1.",
        ),
        (
            "B2+D#3+A3+B3+F#4/1 | E2+B2+E3+G#3+B3+E4/1",
            "Finger 2 on ⑤2 stays down into the chord of bar 2, beat 1.",
        ),
    ] {
        let chords = prepared(score(Metre::COMMON, None, &[chords]), &Level::first(), &[]);
        assert!(
            chords.preparation.sentences().contains(&said.to_owned()),
            "{chords:#?}",
            chords = chords.preparation.sentences()
        );
    }
}

/// Common practice, no source: the same holds when the chords are broken.
#[test]
fn common_fingers_stay_in_broken_chords() {
    let upper = "r/8 E3/8 G3/8 C4/8 E4/8 C4/8 G3/8 E3/8 | r/8 E3/8 A3/8 C4/8 E4/8 C4/8 A3/8 E3/8";
    let score = score(Metre::COMMON, None, &[upper, "C3/1 | A2/1"]);
    let said = prepared(score, &Level::first(), &[]).preparation.sentences().join("\n");
    assert!(
        said.contains("Fingers 1 on ②1 and 2 on ④2 stay down into the chord of bar 2, beat 1."),
        "{said}"
    );
}

/// The full barre of F is the hardest thing among open chords, and is measured
/// in beats.
#[test]
fn barres_are_told_with_their_length() {
    let chords = "G2+B2+D3+G3+B3+G4/1 | F2+C3+F3+A3+C4+F4/1 | G2+B2+D3+G3+B3+G4/1 | \
                  F2+C3+F3+A3+C4+F4/2 E4/2";
    let chords = prepared(score(Metre::COMMON, None, &[chords]), &Level::open(), &[]);
    let barres = &chords.preparation.barres;
    assert_eq!(
        barres.iter().map(|b| (b.spot.bar, b.longest)).collect::<Vec<_>>(),
        [(2, true), (4, false)]
    );
    assert_eq!(
        barres[0].to_string(),
        "Bar 2, beat 1: lay a full barre at fret 1 over ⑥ to ① and hold it for 4 beats; \
         it is the longest."
    );
    assert_eq!(barres[1].beats, 2.into());
    let hardest = chords.preparation.hardest.unwrap();
    assert_eq!(hardest.loads[0].0, Load::Barres);
    assert!(matches!(hardest.number, 2 | 4));
    assert!(hardest.why().starts_with("it asks for a barre"));
}

/// In 6/8 a barre of a whole bar is two beats long, as they are felt.
#[test]
fn beats_are_those_that_are_felt() {
    let six_eight = Metre::new(6, 8);
    let barre =
        prepared(score(six_eight, None, &["F2+C3+F3+A3+C4+F4/2. | E4/2."]), &Level::open(), &[]);
    assert_eq!(barre.preparation.barres[0].beats, 2.into());
}

/// The effort of the hardest bar is the sum of its loads, and no bar has more.
#[test]
fn the_hardest_bar_is_that_of_most_effort() {
    let piece = line("C4/4 D4/4 E4/4 F4/4 | A4/4 C5/4 D5/4 C5/4 | B4/4 G4/4 E4/4 C4/4", &[]);
    let hardest = piece.preparation.hardest.as_ref().unwrap();
    assert_eq!(hardest.loads.iter().map(|(_, amount)| amount).sum::<i64>(), hardest.effort);
    for (index, bar) in piece.score.bars().iter().enumerate() {
        let items = piece
            .fingering
            .items
            .iter()
            .filter(|item| piece.score.bar_at(item.at) == Some(BarIndex(index as u32)));
        let taste = [Term::ToneHigh, Term::ToneLong, Term::House];
        let hard = items.filter(|item| !taste.contains(&item.term));
        let sum: i64 = hard.map(|item| item.amount).sum();
        assert!(sum <= hardest.effort, "bar {}", bar.number);
        assert_eq!(sum == hardest.effort, bar.number == hardest.number);
    }
    assert!(hardest.usual_tempo);
    assert!(piece.preparation.in_brief().len() <= 4);
}

/// Where the hand would have to jump back over the seam, the next notes and a
/// rest are added, so that it has time.
#[test]
fn a_loop_leaves_time_to_go_back() {
    let climbing = "F4/4 G4/4 F4/4 G4/4 | G4/4 A4/4 C5/4 D5/4 | E5/2 D5/2";
    let piece = line(climbing, &[position(0, 1), string(0, 1), position(2, 9)]);
    let hardest = piece.preparation.hardest.as_ref().unwrap();
    let round = hardest.round.as_ref().unwrap();
    let bars = round.score.bars();
    assert!(bars[0].repeat_start);
    assert_eq!(bars.last().unwrap().repeat_end, Some(2));
    assert_eq!((hardest.number, bars[0].number, bars.len()), (2, 2, 2));
    assert!(round.landing);
    assert_eq!(round.score.notes().len(), 5);
    let Seam::Shifts(back) = &round.seam else { panic!("{:?}", round.seam) };
    assert!(back.rest, "there is a rest to go back in: {back:?}");
    assert!(hardest.to_string().contains("use the rest to go back; going round, the hand shifts"));
}

/// A bar that ends where it began goes round by itself.
#[test]
fn a_bar_that_stays_is_a_loop_by_itself() {
    let piece = line("C4/2 E4/2 | F4/4 D4/4 G4/4 F4/4 | C4/1", &[position(1, 1)]);
    let hardest = piece.preparation.hardest.as_ref().unwrap();
    let round = hardest.round.as_ref().unwrap();
    assert_eq!((hardest.number, round.landing, &round.seam), (2, false, &Seam::Stays));
    assert_eq!(round.score.bars().len(), 1);
}

#[test]
fn a_fingering_of_another_score_is_refused() {
    let (one, other) = (line("C4/1", &[]), line("D4/1", &[]));
    let (instrument, level) = (Instrument::guitar(), Level::open());
    let (pins, effort) = (Pins::default(), EffortTable::default());
    let problem = Problem {
        score: &one.score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let refused = prepare(&problem, &RightPlan::default(), &other.fingering);
    assert_eq!(refused.unwrap_err(), MethodError::OtherScore);
}
