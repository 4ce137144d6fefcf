//! On which side of the staff the voices of a bar have their stems, rests and marks, and
//! which of them are written as one.
//!
//! Common practice, no source: of two voices the upper one has its stems up. Where there
//! are more, the highest has them up and the lowest down, and one between them goes with
//! the one it moves with; voices of one side and one rhythm are written as chords.

use std::cmp::Ordering;

use apoyando_music::{BarIndex, Content, Duration, Event, Moment, Part, Score, VoiceNumber};

use crate::geometry::Side;

/// The voices of a bar that are printed on a staff, from the top, with their sides.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Sides(Vec<(VoiceNumber, Side)>);

impl Sides {
    /// Two voices, the upper one first.
    pub fn two(upper: VoiceNumber, lower: VoiceNumber) -> Self {
        Self(vec![(upper, Side::Upper), (lower, Side::Lower)])
    }

    /// The side of a voice; where one is alone, its notes decide.
    pub fn of(&self, voice: VoiceNumber) -> Option<Side> {
        let shared = self.0.len() > 1;
        let found = self.0.iter().find(|(other, _)| *other == voice);
        found.filter(|_| shared).map(|(_, side)| *side)
    }
}

/// The voices of a part from the top, by the mean of their pitches.
pub fn from_the_top(score: &Score, part: &Part) -> Vec<usize> {
    let mean = |voice: usize| {
        let events = part.voices[voice].bars.iter().flatten();
        let steps: Vec<i32> = events
            .flat_map(Event::notes)
            .map(|note| score.note(*note).pitch.staff_step())
            .collect();
        let sum: i32 = steps.iter().sum();
        (!steps.is_empty()).then(|| f64::from(sum) / steps.len() as f64)
    };
    let means: Vec<Option<f64>> = (0..part.voices.len()).map(mean).collect();
    let mut order: Vec<usize> = (0..part.voices.len()).collect();
    // Silent ones last; they are on whichever side is left.
    order.sort_by(|a, b| match (means[*a], means[*b]) {
        (Some(a), Some(b)) => b.total_cmp(&a),
        (Some(_), None) => Ordering::Less,
        (None, Some(_)) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    });
    order
}

/// Decides for one bar, given all voices from the top. Gives the sides and, for each
/// printed voice, the voices that are written with it.
pub fn decide(part: &Part, order: &[usize], bar: BarIndex) -> (Sides, Vec<Vec<usize>>) {
    let empty = Vec::new();
    let events = |voice: usize| part.voices[voice].bars.get(bar.0 as usize).unwrap_or(&empty);
    let number = |voice: usize| part.voices[voice].number;
    let printed: Vec<usize> =
        order.iter().copied().filter(|voice| is_printed(events(*voice))).collect();
    let up = |voice: &usize| number(*voice).0 % 2 == 1;
    let as_numbered = printed.is_sorted_by_key(|voice| !up(voice))
        && printed.iter().any(up)
        && !printed.iter().all(up);
    let one_of_each = printed.len() == 2 && up(&printed[0]) != up(&printed[1]);
    let side = |at: usize| {
        let upper = if as_numbered || one_of_each {
            up(&printed[at])
        } else {
            let (top, bottom) = (printed[0], printed[printed.len() - 1]);
            let against = |other: usize| {
                let (own, other) = (events(printed[at]), events(other));
                if moves_with(other, own) { 0 } else { crossings(own, other) }
            };
            at == 0 || (at + 1 < printed.len() && against(top) <= against(bottom))
        };
        if upper { Side::Upper } else { Side::Lower }
    };
    let sides: Vec<(VoiceNumber, Side)> =
        (0..printed.len()).map(|at| (number(printed[at]), side(at))).collect();
    let mut written: Vec<Vec<usize>> = Vec::new();
    let mut at_side: Vec<Side> = Vec::new();
    for (voice, (_, side)) in printed.iter().zip(&sides) {
        let with = (0..written.len()).find(|at| {
            at_side[*at] == *side && moves_with(events(written[*at][0]), events(*voice))
        });
        match with {
            Some(at) => written[at].push(*voice),
            None => {
                written.push(vec![*voice]);
                at_side.push(*side);
            }
        }
    }
    // In the order of their numbers, which is that of the score.
    written.sort_by_key(|voices| voices[0]);
    (Sides(sides), written)
}

fn is_printed(events: &[Event]) -> bool {
    events.iter().any(|event| !matches!(event.content, Content::Rest { hidden: true }))
}

/// Whether two voices can be written as the chords of one: all their events begin and end
/// together and look the same, and the second has nothing of its own beside its notes.
fn moves_with(one: &[Event], other: &[Event]) -> bool {
    let like = |(a, b): (&Event, &Event)| {
        let kinds = match (&a.content, &b.content) {
            (Content::Notes(_), Content::Notes(_)) => true,
            (Content::Rest { hidden: a }, Content::Rest { hidden: b }) => a == b,
            _ => false,
        };
        let written =
            (a.onset, a.duration, a.value, a.tuplet) == (b.onset, b.duration, b.value, b.tuplet);
        kinds && written && b.graces.is_empty() && (b.marks.is_empty() || b.marks == a.marks)
    };
    one.len() == other.len() && one.iter().zip(other).all(like)
}

/// What speaks against two voices on one side: where they strike together something of
/// other lengths, and, twice that, where one strikes under a beam of the other.
fn crossings(one: &[Event], other: &[Event]) -> usize {
    let notes = |events: &'_ [Event]| -> Vec<(Moment, Duration)> {
        let notes = events.iter().filter(|event| !event.is_rest());
        notes.map(|event| (event.onset, event.duration)).collect()
    };
    let (a, b) = (notes(one), notes(other));
    let unlike = a.iter().filter(|a| b.iter().any(|b| a.0 == b.0 && a.1 != b.1)).count();
    let under = |beamed: &[Event], notes: &[(Moment, Duration)]| {
        let mut count = 0;
        for run in beamed.chunk_by(|a, b| has_beam(a) && has_beam(b)) {
            let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
            let within = |onset: Moment| first.onset < onset && onset <= last.onset;
            count += notes.iter().filter(|note| within(note.0)).count();
        }
        count
    };
    unlike + 2 * (under(one, &b) + under(other, &a))
}

fn has_beam(event: &Event) -> bool {
    !event.is_rest() && event.value.base.flags() > 0
}
