//! The sound of one string that is plucked.
//!
//! A string is a row of *modes*, one to each partial, which swing at once and die away each
//! in its own time. How strongly a mode swings is given by where and how the string is
//! plucked, how fast it dies by the losses in the string and through the bridge; the bridge
//! drives the body, whose resonances colour what is heard. Fletcher and Rossing, *The Physics
//! of Musical Instruments*, chapters 2 and 9, for the string and the body; Woodhouse, *Acta
//! Acustica united with Acustica* 90 (2004) 928–944 and 945–965, for the losses of nylon
//! strings and plucking.

mod body;
mod halved;
mod modes;
mod nylon;
mod pluck;
#[cfg(test)]
mod tests;

pub use halved::halved;
pub use nylon::StringStuff;
pub use pluck::{Hardness, Pluck, Plucker};

use crate::units::Seconds;

/// Samples a second of everything that is sounded.
pub const SAMPLE_RATE: u32 = 48_000;

/// The longest sound.
const LONGEST: Seconds = Seconds(12.0);

/// The sound of a pluck, until nothing of it is heard, for one ear. What is struck begins
/// with the first sample. Louder plucks are not louder here, but brighter.
pub fn ring(pluck: &Pluck) -> Vec<f32> {
    body::through(modes::swing(&pluck.modes(), samples(LONGEST)))
}

/// As [`ring`], but no longer than `longest`: where it would ring on, it fades over the last
/// `fade` of that. No more is made than is kept.
pub fn ring_shortly(pluck: &Pluck, longest: Seconds, fade: Seconds) -> Vec<f32> {
    let (most, fade) = (samples(longest), samples(fade));
    // One more, to see whether it rings on.
    let mut sound = body::through(modes::swing(&pluck.modes(), most + 1));
    if sound.len() > most {
        sound.truncate(most);
        let from = most.saturating_sub(fade);
        for (at, sample) in sound[from..].iter_mut().enumerate() {
            *sample *= 1.0 - (at + 1) as f32 / (most - from) as f32;
        }
    }
    sound
}

fn samples(length: Seconds) -> usize {
    (length.0.max(0.0) * f64::from(SAMPLE_RATE)).round() as usize
}
