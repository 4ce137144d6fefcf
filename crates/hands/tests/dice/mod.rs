//! Random numbers that a seed repeats, for the puzzles.

/// Steele, Lea and Flood's SplitMix64 (2014), from memory.
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % sides
    }

    pub fn one_in(&mut self, chances: u64) -> bool {
        self.below(chances) == 0
    }
}
