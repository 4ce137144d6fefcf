//! Anchors across edits of random pieces.

use proptest::prelude::*;

use super::*;
use crate::key::KeySignature;
use crate::pitch::{Alter, Step};
use crate::rhythm::{Base, Metre, NoteValue};
use crate::score::{Draft, DraftBar, DraftEvent, DraftPart, EventMark, Grace};

/// A bar as four quarters of the scale of C, by steps above C3.
type Steps = [u8; 4];

fn pitch(step: u8) -> Pitch {
    let step = i32::from(step);
    Pitch { step: Step::from_index(step), alter: Alter::NATURAL, octave: 3 + (step / 7) as i8 }
}

fn score_of(bars: &[Vec<Pitch>]) -> Score {
    let mut part = DraftPart::guitar(String::new());
    let quarter = NoteValue::plain(Base::Quarter);
    part.voices.push(
        bars.iter()
            .map(|bar| bar.iter().map(|p| DraftEvent::notes(quarter, &[*p])).collect())
            .collect(),
    );
    let grid = (1..=bars.len() as u32)
        .map(|number| DraftBar::new(number, Metre::COMMON, KeySignature::NONE))
        .collect();
    Score::assemble(Draft { bars: grid, parts: vec![part], ..Draft::default() }).unwrap()
}

fn score(bars: &[Steps]) -> Score {
    let bars: Vec<Vec<Pitch>> = bars.iter().map(|bar| bar.map(pitch).into()).collect();
    score_of(&bars)
}

/// Every anchor of the old score, found in the new one: per bar and note.
fn resolved(old: &Score, new: &Score) -> Vec<Vec<Resolved>> {
    let alignment = Alignment::of(&Memory::of(old), &Memory::of(new));
    let all: Vec<Resolved> =
        old.notes().iter().map(|note| Anchor::of(old, note.id).resolve(&alignment, new)).collect();
    all.chunks(4).map(<[Resolved]>::to_vec).collect()
}

/// The note a bar and place of the new score hold.
fn note(bar: usize, place: usize) -> NoteId {
    NoteId((4 * bar + place) as u32)
}

fn found_at(found: &[Resolved], bar: usize) -> bool {
    found.iter().enumerate().all(|(place, found)| found.note() == Some(note(bar, place)))
}

/// Pieces of bars that differ from one another, as far as that can be drawn.
fn piece() -> impl Strategy<Value = Vec<Steps>> {
    proptest::collection::hash_set(any::<[u8; 4]>().prop_map(|bar| bar.map(|s| s % 14)), 3..14)
        .prop_map(|bars| bars.into_iter().collect::<Vec<_>>())
        .prop_shuffle()
}

proptest! {
    #[test]
    fn an_unchanged_piece_keeps_every_anchor(bars in piece()) {
        let old = score(&bars);
        for (bar, found) in resolved(&old, &old).iter().enumerate() {
            for (place, found) in found.iter().enumerate() {
                prop_assert_eq!(found, &Resolved::Exact(note(bar, place)));
            }
        }
    }

    #[test]
    fn inserting_a_bar_moves_what_follows(bars in piece(), at in any::<prop::sample::Index>(), new in any::<[u8; 4]>()) {
        let at = at.index(bars.len() + 1);
        let mut edited = bars.clone();
        edited.insert(at, new.map(|s| s % 14));
        let found = resolved(&score(&bars), &score(&edited));
        // A bar like one beside it may stand for it: then the one is the other.
        prop_assume!(!bars.contains(&edited[at]));
        for (bar, found) in found.iter().enumerate() {
            let to = if bar < at { bar } else { bar + 1 };
            prop_assert!(found_at(found, to), "bar {} of {:?}", bar, found);
        }
    }

    #[test]
    fn deleting_a_bar_loses_its_anchors_and_no_others(bars in piece(), at in any::<prop::sample::Index>()) {
        let at = at.index(bars.len());
        let mut edited = bars.clone();
        edited.remove(at);
        let found = resolved(&score(&bars), &score(&edited));
        for (bar, found) in found.iter().enumerate() {
            if bar == at {
                prop_assert!(found.iter().all(|f| *f == Resolved::Lost), "{:?}", found);
            } else {
                let to = if bar < at { bar } else { bar - 1 };
                prop_assert!(found_at(found, to), "{:?}", found);
            }
        }
    }

    #[test]
    fn transposing_the_piece_transposes_every_anchor(bars in piece(), up in 0usize..4) {
        let by = [Interval::new(1, 2), Interval::new(2, 3), Interval::new(4, 7), Interval::new(-3, -5)][up];
        let old: Vec<Vec<Pitch>> = bars.iter().map(|bar| bar.map(pitch).into()).collect();
        let new: Vec<Vec<Pitch>> = old.iter()
            .map(|bar| bar.iter().map(|p| by.above(*p).unwrap()).collect())
            .collect();
        for (bar, found) in resolved(&score_of(&old), &score_of(&new)).iter().enumerate() {
            for (place, found) in found.iter().enumerate() {
                prop_assert_eq!(found, &Resolved::Moved { note: note(bar, place), how: How::Transposed(by) });
            }
        }
    }

    #[test]
    fn reordering_bars_carries_their_anchors(bars in piece(), order in any::<u64>()) {
        let mut places: Vec<usize> = (0..bars.len()).collect();
        let mut seed = order;
        for index in (1..places.len()).rev() {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            places.swap(index, (seed >> 33) as usize % (index + 1));
        }
        // A piece in which many bars are transpositions of one another can look
        // transposed after reordering; here the bars differ in shape.
        let shapes: std::collections::HashSet<[i16; 3]> = bars.iter()
            .map(|bar| { let p = bar.map(i16::from); [p[1] - p[0], p[2] - p[0], p[3] - p[0]] })
            .collect();
        prop_assume!(shapes.len() == bars.len());
        let edited: Vec<Steps> = places.iter().map(|place| bars[*place]).collect();
        let found = resolved(&score(&bars), &score(&edited));
        for (to, from) in places.iter().enumerate() {
            prop_assert!(found_at(&found[*from], to), "{:?}", found[*from]);
        }
    }

    #[test]
    fn editing_a_note_leaves_other_bars_alone(bars in piece(), at in any::<prop::sample::Index>(), place in 0usize..4, to in 0u8..14) {
        let at = at.index(bars.len());
        prop_assume!(bars[at][place] != to);
        let mut edited = bars.clone();
        edited[at][place] = to;
        prop_assume!(!bars.contains(&edited[at]));
        let found = resolved(&score(&bars), &score(&edited));
        for (bar, found) in found.iter().enumerate().filter(|(bar, _)| *bar != at) {
            prop_assert!(found_at(found, bar), "bar {} of {:?}", bar, found);
        }
        // The note that was changed is not what its author meant any more.
        prop_assert_eq!(found[at][place].note(), None);
        // Of the others no anchor comes to stand on another note.
        for (other, found) in found[at].iter().enumerate() {
            prop_assert!(found.note().is_none_or(|n| n == note(at, other)));
        }
    }
}

#[test]
fn equal_bars_out_of_order_are_ambiguous() {
    let (a, b, c) = ([0, 1, 2, 3], [4, 2, 4, 2], [7, 7, 5, 1]);
    // The repeated bar stands before and after what was its successor.
    let found = resolved(&score(&[a, b, c]), &score(&[b, c, a, c, a]));
    assert!(found_at(&found[1], 0), "{found:?}");
    assert!(found_at(&found[2], 1), "{found:?}");
    assert!(
        found[0].iter().all(|f| matches!(f, Resolved::Ambiguous(notes) if notes.len() == 2)),
        "{found:?}"
    );
}

#[test]
fn an_identifier_follows_its_note_into_an_edited_bar() {
    let with_id = |bar: usize, pitches: [u8; 4]| {
        let mut part = DraftPart::guitar(String::new());
        let quarter = NoteValue::plain(Base::Quarter);
        let mut events: Vec<DraftEvent> =
            pitches.iter().map(|s| DraftEvent::notes(quarter, &[pitch(*s)])).collect();
        events[bar].notes[0].source_id = Some("n7".to_owned());
        part.voices.push(vec![events]);
        let bars = vec![DraftBar::new(1, Metre::COMMON, KeySignature::NONE)];
        Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap()
    };
    let (old, new) = (with_id(1, [0, 4, 2, 0]), with_id(3, [1, 2, 1, 4]));
    let alignment = Alignment::of(&Memory::of(&old), &Memory::of(&new));
    let anchor = Anchor::of(&old, NoteId(1));
    let moved = Resolved::Moved { note: NoteId(3), how: How::BySourceId };
    assert_eq!(anchor.resolve(&alignment, &new), moved);
    // Without it the note at that place is another one.
    let nameless = Anchor { source_id: None, ..anchor };
    assert_eq!(nameless.resolve(&alignment, &new), Resolved::Lost);
}

/// A bar of four quarters whose third note is changed.
fn changed(change: impl Fn(&mut DraftEvent), up: Interval) -> Score {
    let quarter = NoteValue::plain(Base::Quarter);
    let up = |pitch: Pitch| up.above(pitch).unwrap();
    let mut events: Vec<DraftEvent> =
        [0, 4, 2, 1].iter().map(|s| DraftEvent::notes(quarter, &[up(pitch(*s))])).collect();
    change(&mut events[2]);
    for grace in events.iter_mut().flat_map(|event| &mut event.graces) {
        grace.pitch = up(grace.pitch);
    }
    let mut part = DraftPart::guitar(String::new());
    part.voices.push(vec![events]);
    let bars = vec![DraftBar::new(1, Metre::COMMON, KeySignature::NONE)];
    Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap()
}

const UNISON: Interval = Interval::new(0, 0);

#[test]
fn grace_notes_and_marks_are_remembered() {
    let digest = |change: fn(&mut DraftEvent), up| Memory::of(&changed(change, up)).parts[0][0];
    let grace = |step, slashed| Grace { pitch: pitch(step), slashed };
    let changes: [fn(&mut DraftEvent); 7] = [
        |_| {},
        |event| event.marks.push(EventMark::Trill),
        |event| event.marks.push(EventMark::Mordent),
        |event| event.marks.push(EventMark::NaturalHarmonic),
        |event| event.graces.push(Grace { pitch: pitch(3), slashed: true }),
        |event| event.graces.push(Grace { pitch: pitch(3), slashed: false }),
        |event| event.graces.push(Grace { pitch: pitch(1), slashed: true }),
    ];
    for (index, one) in changes.iter().enumerate() {
        let (here, up) = (digest(*one, UNISON), digest(*one, Interval::new(1, 2)));
        assert_eq!(here.shape, up.shape);
        assert_ne!(here.exact, up.exact);
        for other in &changes[..index] {
            let other = digest(*other, UNISON);
            assert_ne!((here.exact, here.shape), (other.exact, other.shape));
            assert!(here.exact != other.exact && here.shape != other.shape);
        }
    }
    // In whatever order they are noted.
    let both = |marks: [EventMark; 2]| {
        let change = |event: &mut DraftEvent| event.marks.extend(marks);
        Memory::of(&changed(change, UNISON)).parts[0][0]
    };
    let (glide, trill) = (EventMark::GlideStart, EventMark::Trill);
    assert_eq!(both([glide, trill]), both([trill, glide]));
    let two = |graces: [Grace; 2]| {
        let change = |event: &mut DraftEvent| event.graces.extend(graces);
        Memory::of(&changed(change, UNISON)).parts[0][0]
    };
    assert_ne!(two([grace(1, true), grace(3, true)]), two([grace(3, true), grace(1, true)]));
}

/// Memories lie in books: what was remembered of a bar before grace notes and
/// ornaments were has to stay what it is.
#[test]
fn what_was_remembered_holds_on() {
    let plain = |event: &mut DraftEvent| event.marks.push(EventMark::Staccato);
    let digest = Memory::of(&changed(plain, UNISON)).parts[0][0];
    assert_eq!(
        (digest.exact, digest.shape),
        (8_864_676_109_795_365_465, 1_782_156_724_400_004_998)
    );
}

#[test]
fn a_note_that_gets_a_grace_note_is_still_found() {
    let (old, new) = (
        changed(|_| {}, UNISON),
        changed(|event| event.graces.push(Grace { pitch: pitch(1), slashed: true }), UNISON),
    );
    let found = resolved(&old, &new);
    for (place, found) in found[0].iter().enumerate() {
        let edited = Resolved::Moved { note: note(0, place), how: How::BarEdited };
        assert_eq!(found, &edited);
    }
}
