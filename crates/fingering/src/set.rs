//! Small sets as bits.

use apoyando_fretboard::{Fret, StringNumber};

use crate::hand::{LeftFinger, Position, RightFinger};

macro_rules! bit_set {
    ($(#[$doc:meta])* $name:ident, $item:ty, $bit:expr, $all:expr) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
        pub struct $name(u32);

        impl $name {
            /// Nothing.
            pub const NONE: Self = Self(0);
            /// Everything.
            pub const ALL: Self = Self($all);

            /// Whether an item is in the set.
            pub fn contains(self, item: $item) -> bool {
                let bit: fn($item) -> u32 = $bit;
                self.0 & (1 << bit(item)) != 0
            }

            /// The set with an item added.
            #[must_use]
            pub fn with(self, item: $item) -> Self {
                let bit: fn($item) -> u32 = $bit;
                Self(self.0 | (1 << bit(item)))
            }

            /// The set with an item taken out.
            #[must_use]
            pub fn without(self, item: $item) -> Self {
                let bit: fn($item) -> u32 = $bit;
                Self(self.0 & !(1 << bit(item)))
            }

            /// What is in both.
            #[must_use]
            pub const fn and(self, other: Self) -> Self {
                Self(self.0 & other.0)
            }

            /// Whether nothing is in it.
            pub const fn is_empty(self) -> bool {
                self.0 == 0
            }
        }

        impl FromIterator<$item> for $name {
            fn from_iter<I: IntoIterator<Item = $item>>(items: I) -> Self {
                items.into_iter().fold(Self::NONE, Self::with)
            }
        }
    };
}

bit_set!(
    /// Strings.
    StringSet, StringNumber, |s| u32::from(s.get()), 0x7fe
);
bit_set!(
    /// Frets, the open string among them.
    FretSet, Fret, |f| u32::from(f.0), 0x1ff_ffff
);
bit_set!(
    /// Left fingers; `None` is the open string.
    LeftFingerSet, Option<LeftFinger>, |f| f.map_or(0, |f| u32::from(f.digit())), 0x1f
);
bit_set!(
    /// Positions.
    PositionSet, Position, |p| u32::from(p.get()), 0x1ff_fffe
);
impl PositionSet {
    /// One position.
    pub const fn only(position: Position) -> Self {
        Self(1 << position.get())
    }
}

impl LeftFingerSet {
    /// Every finger, but not the open string.
    pub const STOPPED: Self = Self(0x1e);
    /// The open string alone.
    pub const OPEN: Self = Self(0x01);
}

bit_set!(
    /// Right fingers.
    RightFingerSet, RightFinger, |f| f as u32, 0xf
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_that_have_names_hold_what_they_say() {
        assert_eq!(LeftFingerSet::STOPPED, LeftFingerSet::ALL.without(None));
        assert_eq!(LeftFingerSet::OPEN, LeftFingerSet::NONE.with(None));
        let second = Position::new(2).unwrap();
        assert_eq!(PositionSet::only(second), PositionSet::NONE.with(second));
    }
}
