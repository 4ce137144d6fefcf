//! The hand at one onset without its position, in bits. Strings are bits, bit
//! 0 for ①; fingers are indices from 0.

use super::geometry::STRINGS;

/// How a struck sound is played.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(crate) struct Played {
    /// Index of the string, 0 for the thinnest; [`Played::OUT`] left out.
    pub string: u8,
    pub fret: u8,
    /// 0 if it is open.
    pub finger: u8,
}

impl Played {
    /// Left out; greater than anything played.
    pub const OUT: Self = Self { string: u8::MAX, fret: 0, finger: 0 };
}

/// The side of a barre that is lifted.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub(crate) enum Hinged {
    #[default]
    No,
    Thin,
    Thick,
}

/// A fret that sounds nowhere.
pub(crate) const SILENT: u8 = u8::MAX;

/// A finger and a string, both from 0, or nothing.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct Sung(u8);

impl Sung {
    pub const NONE: Self = Self(0);

    pub const fn of(finger: u8, string: u8) -> Self {
        Self(1 + finger + 4 * string)
    }

    pub const fn get(self) -> Option<(u8, u8)> {
        match self.0 {
            0 => None,
            code => Some(((code - 1) % 4, (code - 1) / 4)),
        }
    }
}

/// Where the fingers are and what they do.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Shape {
    /// Strings on which each finger stops a sound, struck or kept, touches a
    /// struck harmonic or is bound.
    pub down: [u16; 4],
    /// Strings on which it has a struck sound.
    pub struck: [u16; 4],
    /// The fret of each finger that is down.
    pub fret: [u8; 4],
    /// Fingers that touch a harmonic, as bits.
    pub touching: u8,
    /// Fingers bound by an ornament, as bits.
    pub bound: u8,
    /// Strings that a barre spans, lifted part included; 0 for none.
    pub span: u16,
    /// Those of them that lie.
    pub laid: u16,
    pub hinged: Hinged,
    /// The finger of the only sound placed among those struck, from 1; 0 if it
    /// is open or not alone.
    pub alone: u8,
    /// The string of a lone sound struck with that finger.
    pub alone_on: u8,
    /// The finger and string of the only melody note struck.
    pub sung: Sung,
    /// Those of the only bass note struck.
    pub low: Sung,
    /// How many struck sounds are ornamented.
    pub ornamented: u8,
    /// Whether a sound stopped by 2, 3 or 4 is kept.
    pub keeps: bool,
}

impl Shape {
    pub fn is_down(&self, finger: usize) -> bool {
        self.down[finger] != 0
    }

    /// Whether no finger is down.
    pub fn is_idle(&self) -> bool {
        self.down == [0; 4]
    }

    /// The thinnest string of a finger that is down.
    pub const fn string(&self, finger: usize) -> usize {
        self.down[finger].trailing_zeros() as usize
    }

    pub const fn place(&self, finger: usize) -> (u8, usize) {
        (self.fret[finger], self.string(finger))
    }

    /// All strings on which a finger has a struck sound.
    pub const fn strikes(&self) -> u16 {
        self.struck[0] | self.struck[1] | self.struck[2] | self.struck[3]
    }

    pub const fn has_barre(&self) -> bool {
        self.span != 0
    }

    /// Frets by which a finger that is down lies off its own (P7).
    pub fn offset(&self, finger: usize, hand: u8) -> i32 {
        i32::from(self.fret[finger]) - i32::from(hand) - finger as i32
    }

    /// Frets of extension of a finger that is down.
    pub fn extension(&self, finger: usize, hand: u8) -> i32 {
        let offset = self.offset(finger, hand);
        if finger == 0 { (-offset).max(0) } else { offset.max(0) }
    }

    /// Whether a finger that is down leans, unless its sound is all that sounds: outwards,
    /// but over a fret of the hand, and with no lower one down it opens nothing (P7).
    pub fn leans(&self, finger: usize, hand: u8) -> bool {
        let over_the_hand = self.fret[finger] < hand + self.down.len() as u8;
        let lowest = self.down[..finger].iter().all(|strings| *strings == 0);
        lowest && over_the_hand && self.offset(finger, hand) > 0
    }

    pub fn contraction(&self, finger: usize, hand: u8) -> i32 {
        let offset = self.offset(finger, hand);
        if finger == 0 { offset.max(0) } else { (-offset).max(0) }
    }

    /// Where the hand is, above I, if finger 1 strikes above its own fret: for `lead_stay`.
    #[inline]
    pub const fn led_from(&self) -> Option<u8> {
        if self.struck[0] != 0 && self.fret[0] > 2 { Some(self.fret[0] - 1) } else { None }
    }

    /// What the fingers hold on to when they move on.
    pub const fn hold(&self) -> Hold {
        Hold {
            down: self.down,
            on: self.down,
            touching: self.touching,
            fret: self.fret,
            span: self.span,
            laid: self.laid,
            hinged: self.hinged,
            alone: self.alone,
            sung: self.sung,
        }
    }
}

/// Where fingers are when the hand moves on.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Hold {
    /// Strings on which each is down.
    pub down: [u16; 4],
    /// Strings on which it is down or stays.
    pub on: [u16; 4],
    /// Fingers that touch a harmonic, as bits.
    pub touching: u8,
    pub fret: [u8; 4],
    pub span: u16,
    pub laid: u16,
    pub hinged: Hinged,
    pub alone: u8,
    pub sung: Sung,
}

impl Hold {
    /// Whether a finger may stay somewhere: it is there and does not only touch
    /// a harmonic (M3).
    pub const fn lets_stay(&self, stay: Stay) -> bool {
        let finger = stay.finger as usize;
        self.on[finger] & (1 << stay.string) != 0
            && self.fret[finger] == stay.fret
            && self.touching & (1 << finger) == 0
    }

    /// All strings on which a finger is down.
    pub const fn stopped(&self) -> u16 {
        self.down[0] | self.down[1] | self.down[2] | self.down[3]
    }

    /// The same with fingers that stay; none of them is down.
    pub fn staying(mut self, stays: Stays) -> Self {
        for stay in stays.iter() {
            let finger = usize::from(stay.finger);
            self.on[finger] = 1 << stay.string;
            self.fret[finger] = stay.fret;
        }
        self
    }
}

/// A finger that stays down and stops nothing.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(crate) struct Stay {
    /// From 0.
    pub finger: u8,
    pub string: u8,
    pub fret: u8,
}

impl Stay {
    /// Places on strings at most.
    pub const PLACES: usize = STRINGS * 25;
    /// Fingers at places at most.
    pub const ALL: usize = 4 * Self::PLACES;

    /// The number of its place.
    pub const fn place(self) -> usize {
        self.string as usize * 25 + self.fret as usize
    }

    /// Its number among all fingers at all places, in order.
    pub const fn number(self) -> usize {
        self.finger as usize * Self::PLACES + self.place()
    }

    /// The finger at a place with this number.
    pub const fn numbered(number: usize) -> Self {
        let place = number % Self::PLACES;
        Self {
            finger: (number / Self::PLACES) as u8,
            string: (place / 25) as u8,
            fret: (place % 25) as u8,
        }
    }

    const fn code(self) -> u16 {
        0x8000 | (self.finger as u16) << 12 | (self.string as u16) << 6 | self.fret as u16
    }

    const fn of(code: u16) -> Self {
        Self {
            finger: (code >> 12 & 3) as u8,
            string: (code >> 6 & 0x3f) as u8,
            fret: (code & 0x3f) as u8,
        }
    }
}

/// The fingers that stay, two at most, in their order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub(crate) struct Stays(u32);

impl Stays {
    pub const NONE: Self = Self(0);

    pub const fn one(stay: Stay) -> Self {
        Self(stay.code() as u32)
    }

    /// Two of different fingers.
    pub const fn two(a: Stay, b: Stay) -> Self {
        let (low, high) = if a.finger < b.finger { (a, b) } else { (b, a) };
        Self(low.code() as u32 | (high.code() as u32) << 16)
    }

    pub fn iter(self) -> impl Iterator<Item = Stay> {
        [self.0 as u16, (self.0 >> 16) as u16].into_iter().filter(|code| *code != 0).map(Stay::of)
    }

    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The fingers that stay, as bits.
    pub fn fingers(self) -> u8 {
        self.iter().fold(0, |set, stay| set | 1 << stay.finger)
    }

    /// Where a finger stays.
    pub fn of(self, finger: u8) -> Option<Stay> {
        self.iter().find(|stay| stay.finger == finger)
    }
}

/// Fingers at places, as bits.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub(crate) struct StaySet([u64; Stay::ALL.div_ceil(64)]);

impl Default for StaySet {
    fn default() -> Self {
        Self([0; Stay::ALL.div_ceil(64)])
    }
}

impl StaySet {
    pub fn add(&mut self, stay: Stay) {
        let number = stay.number();
        self.0[number / 64] |= 1 << (number % 64);
    }

    pub fn add_all(&mut self, other: &Self) {
        for (word, more) in self.0.iter_mut().zip(other.0) {
            *word |= more;
        }
    }

    /// All of them, in order.
    pub fn iter(&self) -> impl Iterator<Item = Stay> + '_ {
        self.0.iter().enumerate().flat_map(|(index, word)| {
            let mut word = *word;
            std::iter::from_fn(move || {
                let bit = word.trailing_zeros() as usize;
                (word != 0).then(|| {
                    word &= word - 1;
                    Stay::numbered(64 * index + bit)
                })
            })
        })
    }
}

/// What sounds on each string.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Strings {
    /// The fret that sounds; [`SILENT`] if nothing does.
    pub fret: [u8; STRINGS],
    /// Strings on which a harmonic is touched.
    pub touched: u16,
}

impl Strings {
    pub const SILENT: Self = Self { fret: [SILENT; STRINGS], touched: 0 };

    /// How many of them sound.
    pub fn sounding(&self) -> usize {
        self.fret.iter().filter(|fret| **fret != SILENT).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fingers_that_stay_are_kept_in_their_order() {
        let one = Stay { finger: 0, string: 1, fret: 1 };
        let four = Stay { finger: 3, string: 9, fret: 24 };
        let both = Stays::two(four, one);
        assert_eq!(both.iter().collect::<Vec<_>>(), [one, four]);
        assert_eq!(Stays::two(one, four), both);
        assert_eq!(both.fingers(), 0b1001);
        assert_eq!(Stays::one(four).of(3), Some(four));
        assert_eq!(Stays::NONE.iter().count(), 0);
        assert!(Stays::NONE < Stays::one(one));
    }

    #[test]
    fn sets_of_fingers_at_places_are_in_order() {
        let all = [(0, 1, 1), (0, 9, 24), (2, 0, 3), (3, 9, 24)];
        let all = all.map(|(finger, string, fret)| Stay { finger, string, fret });
        let mut set = StaySet::default();
        all.iter().rev().for_each(|stay| set.add(*stay));
        assert_eq!(set.iter().collect::<Vec<_>>(), all);
        assert!(all.is_sorted());
    }
}
