//! Section 11 of the model, read plainly: every change to a question is made and
//! the best fingering of what comes of it sought without the search.

use apoyando_fingering::{
    BarreLimit, LeftFingerSet, Pin, PinRule, Pins, PositionSet, Problem, Scope,
};
use apoyando_fretboard::Fret;
use apoyando_hands::{QuestionChange, RightPlan, Spot, solve};
use apoyando_music::{NoteId, PartIndex, Pitch, Score, Tone, ToneId};

use crate::best_by_itself;
use crate::clashes::clashes;
use crate::compare::price_of;
use crate::grip::Posture;
use crate::heard::Role;
use crate::puzzle::Puzzle;
use crate::question::Question;
use crate::walk::Walk;
use crate::ways::Best;
use crate::whole::{Cost, own};

/// Whether a pin holds at a layer, by the model.
fn holds(q: &Question<'_>, pin: &Pin, layer: usize) -> bool {
    let on = |tone: &ToneId| pin.scope == Scope::Tone(*tone);
    match pin.scope {
        Scope::Bars { first, last } => first <= q.heard.bars[layer] && q.heard.bars[layer] <= last,
        Scope::Tone(_) => q.struck[layer].iter().any(|s| q.sound(*s).tones.iter().any(on)),
    }
}

/// All changes that may be tried at a layer, in the order of the model, each with
/// the number of the sound it is about.
fn changes(q: &Question<'_>, layer: usize) -> Vec<(QuestionChange, usize)> {
    let first = |index: usize| q.sound(q.struck[layer][index]).tones[0];
    let sounds = || 0..q.struck[layer].len();
    let is_bass = |index: &usize| q.sound(q.struck[layer][*index]).role == Role::Bass;
    let mut all: Vec<(QuestionChange, usize)> =
        sounds().map(|index| (QuestionChange::LeaveOut(first(index)), index)).collect();
    let basses = sounds().filter(is_bass);
    all.extend(basses.map(|index| (QuestionChange::OctaveUp(first(index)), index)));
    all.push((QuestionChange::WiderBarre, 0));
    all.push((QuestionChange::AnotherPosition, 0));
    all.push((QuestionChange::FartherExtension, 0));
    all.push((QuestionChange::AnotherFinger, 0));
    all.push((QuestionChange::HigherFret, 0));
    let left = |pin: &&Pin| !matches!(pin.rule, PinRule::RightFingers(_));
    for (number, pin) in q.pins.iter().enumerate() {
        if left(&pin) && holds(q, pin, layer) {
            all.push((QuestionChange::WithoutPin(*pin), number));
        }
    }
    all
}

/// The level and the pins that are left at a layer.
fn lifted(
    q: &Question<'_>,
    layer: usize,
    (change, number): (QuestionChange, usize),
) -> (usize, apoyando_fingering::Level, Vec<Pin>) {
    let mut level = q.problem.level.clone();
    let mut pins = q.pins.clone();
    let mut drop_kind = |is: fn(&PinRule) -> bool| {
        pins.retain(|pin| !(is(&pin.rule) && holds(q, pin, layer)));
    };
    match change {
        QuestionChange::WiderBarre => {
            level.barre = BarreLimit::Full;
            drop_kind(|rule| matches!(rule, PinRule::Barre(_)));
        }
        QuestionChange::AnotherPosition => {
            level.positions = PositionSet::ALL;
            drop_kind(|rule| matches!(rule, PinRule::Positions(_)));
        }
        QuestionChange::FartherExtension => level.extension = 3,
        QuestionChange::AnotherFinger => {
            level.fingers = LeftFingerSet::ALL;
            drop_kind(|rule| matches!(rule, PinRule::LeftFingers(_)));
        }
        QuestionChange::HigherFret => {
            level.highest_fret = Fret::MOST;
            drop_kind(|rule| matches!(rule, PinRule::Frets(_)));
        }
        QuestionChange::WithoutPin(_) => drop(pins.remove(number)),
        QuestionChange::LeaveOut(_) | QuestionChange::OctaveUp(_) => {}
    }
    (layer, level, pins)
}

/// The music with a sound an octave higher, and the tones of before by those of
/// then.
fn raised(puzzle: &Puzzle, q: &Question<'_>, sound: usize) -> Option<(Score, Vec<ToneId>)> {
    let score = q.problem.score;
    let tones = score.tones(PartIndex(0));
    let of_sound = &q.sound(sound).tones;
    let notes: Vec<NoteId> =
        of_sound.iter().flat_map(|tone| tones.get(*tone).notes.clone()).collect();
    let mut draft = puzzle.draft.clone();
    let voices = &score.part(PartIndex(0)).voices;
    for id in &notes {
        let note = score.note(*id);
        let voice = voices.iter().position(|voice| voice.number == note.voice).unwrap();
        let event = &mut draft.parts[0].voices[voice][note.bar.0 as usize][note.event as usize];
        if event.notes.len() == 1 {
            for grace in &mut event.graces {
                grace.pitch = grace.pitch.up_octaves(1);
            }
        }
        let mut at_pitch = event.notes.iter_mut().filter(|n| n.pitch == note.pitch);
        let written = at_pitch.next()?;
        written.pitch = written.pitch.up_octaves(1);
    }
    let changed = Score::assemble(draft).ok()?;
    let up = |tone: &Tone| -> Pitch {
        if of_sound.contains(&tone.id) { tone.pitch.up_octaves(1) } else { tone.pitch }
    };
    let old_of = |then: &Tone| {
        let same =
            |now: &&Tone| (now.voice, now.onset, up(now)) == (then.voice, then.onset, then.pitch);
        tones.as_slice().iter().find(same).expect("the tone of before").id
    };
    let old = changed.tones(PartIndex(0)).as_slice().iter().map(old_of).collect();
    Some((changed, old))
}

/// What is left out and broken in a posture.
fn faults(q: &Question<'_>, posture: &Posture) -> (i64, i64) {
    let Cost(escapes, broken, _) = own(q, posture);
    (escapes, broken)
}

/// String, fret and finger.
type At = (u8, u8, u8);

/// What a change comes to.
struct Outcome {
    price: Cost,
    left: (i64, i64),
    /// What is played there, by the tones of before.
    played: Vec<(ToneId, Option<At>)>,
}

/// The best of a question, which must not cost more than the bound if there is one.
fn best(q: &Question<'_>, out: Option<(usize, usize)>, bound: Option<Cost>) -> Option<Best> {
    let layer = out.map_or(0, |(layer, _)| layer);
    let wanted = |posture: &Posture| posture.struck[out.map_or(0, |o| o.1)].is_none();
    let search = |bound: Cost, widest: usize| {
        let mut walk = Walk::new(q, bound);
        walk.widest = widest;
        if out.is_some() {
            walk.asked.push((layer, &wanted));
        }
        walk.best()
    };
    match bound {
        Some(bound) => search(bound, usize::MAX),
        None => search(search(crate::walk::NO_BOUND, 30)?.price, usize::MAX),
    }
}

/// The best fingering after a change; none if nothing can be so changed or all
/// costs more than the bound.
fn outcome(
    (puzzle, q): (&Puzzle, &Question<'_>),
    layer: usize,
    (change, number): (QuestionChange, usize),
    claimed: Option<Cost>,
) -> Option<Outcome> {
    let minus = |by: (i64, i64)| claimed.map(|c| Cost(c.0 - by.0, c.1 - by.1, c.2));
    let told = |q: &Question<'_>, best: &Best, old: &dyn Fn(ToneId) -> ToneId| {
        let mut played = Vec::new();
        for (sound, spot) in q.struck[layer].iter().zip(&best.way[layer].struck) {
            let at = spot.map(|at| (at.string, at.fret, at.finger));
            played.extend(q.sound(*sound).tones.iter().map(|tone| (old(*tone), at)));
        }
        played.sort_unstable();
        played
    };
    let same = |tone: ToneId| tone;
    match change {
        QuestionChange::LeaveOut(_) => {
            let best = best(q, Some((layer, number)), claimed)?;
            let (escapes, broken) = faults(q, &best.way[layer]);
            let played = told(q, &best, &same);
            Some(Outcome { price: best.price, left: (escapes - 1, broken), played })
        }
        QuestionChange::OctaveUp(_) => {
            let (score, old) = raised(puzzle, q, q.struck[layer][number])?;
            let moved = |pin: &Pin| match pin.scope {
                Scope::Tone(tone) => {
                    let then = old.iter().position(|now| *now == tone);
                    then.map(|then| Pin { scope: Scope::Tone(ToneId(then as u32)), ..*pin })
                }
                Scope::Bars { .. } => Some(*pin),
            };
            let pins = Pins(q.pins.iter().filter_map(moved).collect());
            let problem = Problem { score: &score, pins: &pins, ..*q.problem };
            let changed = Question::new(&problem);
            let best = best(&changed, None, minus((1, 0)))?;
            let left = faults(&changed, &best.way[layer]);
            let played = told(&changed, &best, &|tone| old[tone.0 as usize]);
            Some(Outcome { price: best.price + Cost(1, 0, 0), left, played })
        }
        _ => {
            let mut changed = Question::new(q.problem);
            changed.lifted = Some(lifted(q, layer, (change, number)));
            let best = best(&changed, None, minus((0, 1)))?;
            let left = faults(&changed, &best.way[layer]);
            let played = told(&changed, &best, &same);
            Some(Outcome { price: best.price + Cost(0, 1, 0), left, played })
        }
    }
}

#[derive(Default, Debug)]
struct Counted {
    spots: usize,
    leave_out: usize,
    octave_up: usize,
    lifts: [usize; 5],
    without_pin: usize,
    none: usize,
    clashes: [usize; 3],
}

impl Counted {
    fn note(&mut self, change: QuestionChange) {
        match change {
            QuestionChange::LeaveOut(_) => self.leave_out += 1,
            QuestionChange::OctaveUp(_) => self.octave_up += 1,
            QuestionChange::WiderBarre => self.lifts[0] += 1,
            QuestionChange::AnotherPosition => self.lifts[1] += 1,
            QuestionChange::FartherExtension => self.lifts[2] += 1,
            QuestionChange::AnotherFinger => self.lifts[3] += 1,
            QuestionChange::HigherFret => self.lifts[4] += 1,
            QuestionChange::WithoutPin(_) => self.without_pin += 1,
        }
    }
}

fn compare_spot(
    (seed, puzzle, q): (u64, &Puzzle, &Question<'_>),
    (layer, best): (usize, &Best),
    spot: &Spot,
    counted: &mut Counted,
) {
    let now = faults(q, &best.way[layer]);
    let what = format!("seed {seed}, layer {layer}");
    assert_eq!(spot.at, q.heard.layers[layer], "{what}");
    assert_eq!((spot.left_out.len() as i64, i64::from(spot.broken)), now, "{what}");
    let mut given = spot.ways.iter();
    let mut ways: Vec<(Cost, usize)> = Vec::new();
    let all = changes(q, layer);
    for (order, (change, number)) in all.iter().enumerate() {
        // Of equal pins each is one.
        let twins = all[..order].iter().filter(|(other, _)| other == change).count();
        let told = spot.ways.iter().filter(|way| way.change == *change).nth(twins);
        let claimed = told.map(|way| {
            Cost(way.price.escapes.into(), way.price.broken.into(), way.price.effort as i64)
        });
        let found = outcome((puzzle, q), layer, (*change, *number), claimed);
        let what = format!("{what}, {change:?}");
        let Some(told) = told else {
            let out = found.is_some_and(|found| found.left < now);
            assert!(!out, "{what} is a way out and is not given");
            counted.none += 1;
            continue;
        };
        let found = found.unwrap_or_else(|| panic!("{what}: nothing costs as little"));
        assert_eq!(Some(found.price), claimed, "{what}");
        assert!(found.left < now, "{what} is no way out");
        assert_eq!((i64::from(told.left_out), i64::from(told.broken)), found.left, "{what}");
        let played: Vec<_> = told
            .played
            .iter()
            .map(|(tone, left)| {
                let at = left.map(|at| {
                    let digit = at.finger.map_or(0, |finger| finger.digit());
                    (at.place.string.get(), at.place.fret.0, digit)
                });
                (*tone, at)
            })
            .collect();
        assert_eq!(played, found.played, "{what}");
        ways.push((found.price, order));
        counted.note(*change);
    }
    ways.sort_unstable();
    for (_, order) in ways {
        assert_eq!(given.next().map(|way| way.change), Some(all[order].0), "{what}");
    }
    assert_eq!(given.next(), None, "{what}");
    counted.spots += 1;
}

fn compare(seed: u64, puzzle: &Puzzle, counted: &mut Counted) {
    let problem = puzzle.problem();
    let q = Question::new(&problem);
    if !(1..=5).contains(&q.layers()) {
        return;
    }
    let solved = solve(&problem, &RightPlan::default()).expect("a fingering");
    let answer = solved.solution().clone();
    let best = Walk::new(&q, price_of(&answer.fingering)).best();
    let best = best.unwrap_or_else(|| panic!("seed {seed}: nothing costs as little"));
    let told = solved.ways_out().expect("ways out");
    assert_eq!(solved.solution(), &answer, "seed {seed}");
    assert_eq!(told.more, 0);
    let at_fault = (0..q.layers()).filter(|layer| faults(&q, &best.way[*layer]) != (0, 0));
    let at_fault: Vec<usize> = at_fault.collect();
    assert_eq!(told.spots.len(), at_fault.len(), "seed {seed}");
    for (layer, spot) in at_fault.into_iter().zip(&told.spots) {
        compare_spot((seed, puzzle, &q), (layer, &best), spot, counted);
        let clashes = clashes(&q, layer, &best.way[layer]);
        assert_eq!(spot.clashes, clashes, "seed {seed}, layer {layer}");
        clashes.iter().for_each(|clash| counted.clashes[clash.rule as usize] += 1);
    }
}

const PUZZLES: std::ops::Range<u64> = 500_000..500_450;

#[test]
fn every_way_out_costs_what_the_changed_question_costs() {
    let mut counted = Counted::default();
    for seed in PUZZLES {
        compare(seed, &Puzzle::new(seed), &mut counted);
    }
    println!("{counted:?}");
    assert!(counted.spots > 300 && counted.leave_out > 500, "too few: {counted:?}");
    assert!(counted.octave_up > 40 && counted.without_pin > 50, "too few: {counted:?}");
    // Barres are asked for by the chords.
    assert!(counted.lifts[1..].iter().all(|count| *count > 10), "too few: {counted:?}");
    assert!(counted.none > 1500, "too few: {counted:?}");
    assert!(counted.clashes[0] > 100 && counted.clashes[2] > 10, "too few: {counted:?}");
}

#[test]
fn every_way_out_of_a_chord_costs_what_the_changed_question_costs() {
    let mut counted = Counted::default();
    for seed in 510_000..510_080 {
        compare(seed, &Puzzle::of_chords(seed), &mut counted);
    }
    println!("{counted:?}");
    assert!(counted.lifts[0] > 10, "too few: {counted:?}");
    // Of fingers; the others are among the puzzles above.
    assert!(counted.clashes[1] > 5, "too few: {counted:?}");
}

/// The best fingering without any bound, as a check on the machinery itself.
#[test]
fn a_question_without_a_change_is_the_question() {
    for seed in PUZZLES.take(60) {
        let puzzle = Puzzle::new(seed);
        let problem = puzzle.problem();
        let mut q = Question::new(&problem);
        let Some(by_itself) = best_by_itself(&q).filter(|_| q.layers() <= 5) else { continue };
        q.lifted = Some((0, problem.level.clone(), q.pins.clone()));
        assert_eq!(best(&q, None, None).map(|best| best.price), Some(by_itself.price));
        let unchanged = Score::assemble(puzzle.draft.clone()).unwrap();
        assert_eq!(unchanged.revision(), problem.score.revision());
    }
}
