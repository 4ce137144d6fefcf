//! A hand: one finger to each struck sound, from the thickest string on.

/// The thumb as a number; i, m and a follow.
pub(super) const THUMB: u8 = 0;
/// The middle finger.
pub(super) const MIDDLE: u8 = 2;
/// The ring finger.
pub(super) const RING: u8 = 3;

/// Every finger, as a set of bits.
pub(super) const ANY: u8 = 0b1111;

/// Fingers of at most ten sounds, two bits each, the thickest string highest:
/// hands of one layer compare as numbers.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub(super) struct Hand {
    bits: u32,
    sounds: u8,
}

impl Hand {
    /// With one more finger, on a thinner string than all the others.
    pub fn and(self, finger: u8) -> Self {
        Self { bits: self.bits << 2 | u32::from(finger), sounds: self.sounds + 1 }
    }

    /// The finger on a sound, counted from the thickest string.
    pub const fn finger(self, sound: usize) -> u8 {
        (self.bits >> (2 * (self.sounds as usize - 1 - sound)) & 3) as u8
    }

    pub fn fingers(self) -> impl DoubleEndedIterator<Item = u8> {
        (0..usize::from(self.sounds)).map(move |sound| self.finger(sound))
    }

    /// The fingers in use, as bits.
    pub fn set(self) -> u8 {
        self.fingers().fold(0, |set, finger| set | 1 << finger)
    }

    /// The finger on the thickest string.
    pub fn first(self) -> Option<u8> {
        (self.sounds > 0).then(|| self.finger(0))
    }

    /// The finger on the thinnest string.
    pub fn last(self) -> Option<u8> {
        (self.sounds > 0).then_some((self.bits & 3) as u8)
    }
}

/// Every hand in order that keeps to the fingers allowed to each sound, and is
/// brushed as little as any such hand.
pub(super) fn in_order(allowed: &[u8], hands: &mut Vec<Hand>) {
    let sounds = allowed.len();
    let first = hands.len();
    let mut least = usize::MAX;
    // Which of i m a are in use settles the rest: p has all other strings.
    for set in 0u8..8 {
        let used = set.count_ones() as usize;
        if used > sounds {
            continue;
        }
        let thumbs = sounds - used;
        let brushed = thumbs.saturating_sub(1);
        let fingers =
            std::iter::repeat_n(THUMB, thumbs).chain((1..4).filter(|f| set & (1 << (f - 1)) != 0));
        let kept = fingers.clone().zip(allowed).all(|(finger, set)| set & (1 << finger) != 0);
        if !kept || brushed > least {
            continue;
        }
        if brushed < least {
            hands.truncate(first);
            least = brushed;
        }
        hands.push(fingers.fold(Hand::default(), Hand::and));
    }
}
