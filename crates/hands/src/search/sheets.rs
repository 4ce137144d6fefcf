//! The sheets of a problem, each made once, and the parts laid out from them.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};
use std::sync::Arc;

use super::grips::{Faults, Grips, Held, TooMany};
use super::ground::Ground;
use super::laid::{Laid, Recipe};
use super::meets::Places;
use super::sheet::Sheet;

/// Hashes codes, which are well mixed once multiplied.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Mix(u64);

pub(crate) type Quick = BuildHasherDefault<Mix>;

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u128(u128::from(*byte));
        }
    }

    fn write_u32(&mut self, code: u32) {
        self.write_u128(u128::from(code));
    }

    fn write_u128(&mut self, code: u128) {
        // Knuth's multiplicative hashing with the golden ratio of 64 bits.
        let folded = (code >> 64) as u64 ^ (code as u64).rotate_left(32) ^ self.0;
        let mixed = folded.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 32);
    }
}

/// What is held, as far as postures depend on it: eight bits a string.
type HeldCode = u128;

/// The sheets made so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sheets {
    /// By the number of rules, the least faults under them.
    least: HashMap<u32, Faults, Quick>,
    made: HashMap<(u32, HeldCode), Arc<Sheet>, Quick>,
    /// Where the fingers are in them.
    pub places: Places,
    /// What has been laid out, by what it was made from.
    pub laid: HashMap<Recipe, Arc<Laid>>,
}

impl Sheets {
    pub fn least_faults(&mut self, ground: &Ground, rules: u32) -> Result<Faults, TooMany> {
        if let Some(faults) = self.least.get(&rules) {
            return Ok(*faults);
        }
        let of = &ground.rule_book[rules as usize];
        let mut grips = Grips::new(ground.pricing(), of);
        let mut sheet = grips.sheet(&[], (0, 0))?;
        let faults = if sheet.shapes.is_empty() { grips.least_faults()? } else { (0, 0) };
        if faults == (0, 0) {
            sheet.finish(&mut self.places);
            self.made.insert((rules, 0), Arc::new(sheet));
        }
        self.least.insert(rules, faults);
        Ok(faults)
    }

    pub fn sheet(
        &mut self,
        ground: &Ground,
        rules: u32,
        held: &[Held],
        faults: Faults,
    ) -> Result<Arc<Sheet>, TooMany> {
        let code = held.iter().fold(0, |code, sound| {
            let bits = u128::from(sound.fret + 1) << 3 | u128::from(sound.finger);
            code | bits << (8 * sound.string)
        });
        // Where a barre may end depends on what is held as well as where it is;
        // only a harmonic sounds another key there.
        if let Some(sheet) = self.made.get(&(rules, code)) {
            return Ok(Arc::clone(sheet));
        }
        let of = &ground.rule_book[rules as usize];
        let mut grips = Grips::new(ground.pricing(), of);
        let mut sheet = grips.sheet(held, faults)?;
        sheet.finish(&mut self.places);
        let sheet = Arc::new(sheet);
        self.made.insert((rules, code), Arc::clone(&sheet));
        Ok(sheet)
    }
}
