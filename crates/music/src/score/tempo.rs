//! A score at another tempo.

use std::hash::Hash;

use siphasher::sip128::{Hasher128, SipHasher13};

use super::{Revision, Score, Tempo};

impl Score {
    /// The same score with a metronome mark at its beginning, in place of one
    /// that may stand there. It is another revision.
    #[must_use]
    pub fn with_tempo(&self, tempo: Tempo) -> Self {
        let mut score = self.clone();
        if let Some(bar) = score.bars.first_mut() {
            bar.tempo = Some(tempo);
        }
        let mut hasher = SipHasher13::new();
        (self.revision, tempo).hash(&mut hasher);
        score.revision = Revision(hasher.finish128().as_u128());
        score
    }
}
