//! What each beat has to remember of earlier ones, numbered: the hands of the beats that
//! seams join with later ones.

use std::ops::Range;

use super::beat::Beats;
use super::seams::Playing;

/// Every way to remember the earlier beats is a *room* of a beat. Where nothing is to be
/// remembered, a beat has one.
#[derive(Debug)]
pub(super) struct Rooms {
    beats: Vec<Room>,
}

#[derive(Debug)]
struct Room {
    /// Earlier beats, each with the hands it has.
    remembered: Vec<(usize, usize)>,
    /// How many rooms there are.
    count: usize,
    /// Hands of the beat.
    hands: usize,
    /// The states of the rooms before those of this beat.
    first: usize,
    /// For each state of the beat, the room of the next beat that it leads to.
    onto: Vec<usize>,
}

impl Rooms {
    pub fn of(beats: &Beats, playing: &Playing) -> Self {
        let mut first = 0;
        let mut rooms: Vec<Room> = Vec::with_capacity(beats.beats.len());
        for (beat, own) in beats.beats.iter().enumerate() {
            let hands_of = |beat: usize| beats.beats[beat].hands().len();
            let remembered: Vec<(usize, usize)> =
                playing.remembered(beat).into_iter().map(|beat| (beat, hands_of(beat))).collect();
            let count = remembered.iter().map(|(_, hands)| hands).product();
            let hands = own.hands().len();
            rooms.push(Room { remembered, count, hands, first, onto: Vec::new() });
            first += count * hands;
        }
        let mut all = Self { beats: rooms };
        for beat in 0..all.beats.len().saturating_sub(1) {
            let next = &all.beats[beat + 1].remembered;
            let states = (0..all.beats[beat].count)
                .flat_map(|room| (0..all.beats[beat].hands).map(move |hand| (room, hand)));
            let onto = states.map(|(room, hand)| {
                next.iter().fold(0, |onto, (earlier, hands)| {
                    let digit =
                        if *earlier == beat { hand } else { all.hand(beat, room, *earlier) };
                    onto * hands + digit
                })
            });
            all.beats[beat].onto = onto.collect();
        }
        all
    }

    /// States of all beats.
    pub fn states(&self) -> usize {
        self.beats.last().map_or(0, |last| last.first + last.count * last.hands)
    }

    /// The rooms of a beat.
    pub fn of_beat(&self, beat: usize) -> Range<usize> {
        0..self.beats[beat].count
    }

    /// The states of a room, one for each hand of the beat.
    pub fn states_of(&self, beat: usize, room: usize) -> Range<usize> {
        let Room { first, hands, .. } = self.beats[beat];
        first + room * hands..first + (room + 1) * hands
    }

    /// The room of the next beat that a hand, counted from the first of the beat, leads to.
    pub fn onto(&self, beat: usize, room: usize, hand: usize) -> usize {
        let of = &self.beats[beat];
        of.onto.get(room * of.hands + hand).copied().unwrap_or(0)
    }

    /// The hand that a room of a beat remembers of an earlier beat, counted from its first.
    pub fn hand(&self, beat: usize, room: usize, earlier: usize) -> usize {
        let mut rest = room;
        for (own, hands) in self.beats[beat].remembered.iter().rev() {
            if *own == earlier {
                return rest % hands;
            }
            rest /= hands;
        }
        0
    }
}
