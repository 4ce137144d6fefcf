//! What cannot happen from one layer to the next (M1 and M2 of the model).

use crate::hand::Hand;
use crate::layers::Layers;
use crate::violation::{Fault, Violation};

pub(crate) fn check(all: &Layers<'_>, hands: &[Hand], found: &mut Vec<Violation>) {
    for (index, pair) in hands.windows(2).enumerate() {
        let (before, after) = (&pair[0], &pair[1]);
        for kept in after.sounding.iter().filter(|sounding| !sounding.struck) {
            let tone = all.sounds[kept.sound].tones[0];
            let fault = match before.sounding.iter().find(|was| was.sound == kept.sound) {
                None => Fault::KeptAfterLettingGo { tone, place: kept.placement.place },
                Some(was) if was.placement != kept.placement => {
                    Fault::KeptElsewhere { tone, was: was.placement, is: kept.placement }
                }
                Some(_) => continue,
            };
            found.push(Violation::at(all.spot(index + 1), fault));
        }
    }
}
