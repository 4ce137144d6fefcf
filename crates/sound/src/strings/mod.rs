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
mod modes;
mod nylon;
mod pluck;
#[cfg(test)]
mod tests;

pub use nylon::StringStuff;
pub use pluck::{Hardness, Pluck, Plucker};

/// Samples a second of everything that is sounded.
pub const SAMPLE_RATE: u32 = 48_000;

/// The sound of a pluck, until nothing of it is heard, for one ear. What is struck begins
/// with the first sample. Louder plucks are not louder here, but brighter.
pub fn ring(pluck: &Pluck) -> Vec<f32> {
    let force = modes::swing(&pluck.modes());
    body::through(force)
}
