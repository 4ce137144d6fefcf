//! What is asked of the right hand beyond the model's own choice.

use apoyando_music::{BarIndex, VoiceNumber};

use crate::hand::{RightFinger, Stroke};

/// Fingers plucking in turn, one per onset.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct RightPattern {
    /// First and last bar, both included; `None` for the whole part.
    pub bars: Option<(BarIndex, BarIndex)>,
    /// The fingers, taken round and round over the onsets of those bars. Where
    /// several notes are struck at once, p is for the one on the thickest
    /// string and the others for the one on the thinnest.
    pub fingers: Vec<RightFinger>,
}

/// How the right hand is to play (model §6).
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RightPlan {
    /// The fingers that alternate on lines; the first is preferred to begin.
    pub pair: [RightFinger; 2],
    /// Given patterns; where two overlap the later one holds.
    pub patterns: Vec<RightPattern>,
    /// The stroke; `None` for rest stroke on single lines and free stroke
    /// elsewhere.
    pub stroke: Option<Stroke>,
    /// The stroke of single voices, which goes before that of the part; where
    /// a voice is named twice the later one holds.
    pub voice_strokes: Vec<(VoiceNumber, Stroke)>,
}

impl RightPlan {
    /// One pattern for the whole part.
    pub fn pattern(fingers: Vec<RightFinger>) -> Self {
        Self { patterns: vec![RightPattern { bars: None, fingers }], ..Self::default() }
    }

    /// What is said of the stroke of one voice by itself.
    pub fn stroke_of(&self, voice: VoiceNumber) -> Option<Stroke> {
        self.voice_strokes.iter().rev().find(|(own, _)| *own == voice).map(|(_, stroke)| *stroke)
    }
}

/// i and m alternate on lines; everything else is the model's choice.
impl Default for RightPlan {
    fn default() -> Self {
        Self {
            pair: [RightFinger::I, RightFinger::M],
            patterns: Vec::new(),
            stroke: None,
            voice_strokes: Vec::new(),
        }
    }
}
