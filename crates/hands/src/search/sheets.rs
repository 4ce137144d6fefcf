//! The sheets of a problem, each made once, and the parts laid out from them.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::grips::{Faults, Grips, Held, TooMany};
use super::ground::Ground;
use super::laid::{Laid, Recipe};
use super::meets::Places;
use super::sheet::Sheet;

/// What is held, as far as postures depend on it: eight bits a string.
type HeldCode = u128;

/// The sheets made so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sheets {
    /// By the number of rules, the least faults under them.
    least: FxHashMap<u32, Faults>,
    made: FxHashMap<(u32, HeldCode), Arc<Sheet>>,
    /// Where the fingers are in them.
    pub places: Places,
    /// What has been laid out, by what it was made from.
    pub laid: FxHashMap<Recipe, Arc<Laid>>,
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
            // No finger has a digit above 4.
            let tip = if sound.on_tip { 4 } else { 0 };
            let bits = u128::from(sound.fret + 1) << 3 | u128::from(sound.finger | tip);
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
