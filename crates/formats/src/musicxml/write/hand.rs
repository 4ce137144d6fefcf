//! The fingering at a note.

use std::collections::BTreeSet;

use apoyando_fingering::{LeftFinger, ToneFingering};
use apoyando_music::{EventMark, NoteId, Score, Tones};

use super::Layer;
use super::xml::Xml;

/// Attributes of an element, with their values.
type Attributes = &'static [(&'static str, &'static str)];

const SUBSTITUTION: Attributes = &[("substitution", "yes")];

/// What is written for a note, printed or not.
#[derive(Default)]
pub(super) struct Technical {
    items: Vec<(&'static str, Attributes, String)>,
}

impl Technical {
    pub(super) fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    pub(super) fn push(&mut self, name: &'static str, text: String) {
        self.items.push((name, &[], text));
    }

    /// MusicXML 4.0, `fingering`: another finger takes over a note that is held.
    fn push_second(&mut self, second: Option<LeftFinger>) {
        let digit = second.map(|finger| finger.digit().to_string());
        self.items.extend(digit.map(|digit| ("fingering", SUBSTITUTION, digit)));
    }

    /// The elements, without the `technical` around them.
    pub(super) fn write(&self, xml: &mut Xml) {
        for (name, attributes, text) in &self.items {
            xml.text(name, attributes, text);
        }
    }
}

/// A layer made ready for lookup by note.
pub(super) struct Hands<'a> {
    layer: &'a Layer<'a>,
    tones: Tones,
    /// Notes with a circled string of their own.
    circled: BTreeSet<NoteId>,
    /// Notes of strums, which are not plucked one by one.
    strummed: BTreeSet<NoteId>,
}

impl<'a> Hands<'a> {
    pub(super) fn new(score: &Score, layer: &'a Layer<'a>) -> Self {
        let circled = layer.marks.strings.iter().map(|mark| mark.from).collect();
        let voices = score.part(layer.part).voices.iter();
        let events = voices.flat_map(|voice| voice.bars.iter().flatten());
        let strums = events
            .filter(|event| event.marks.iter().any(|mark| matches!(mark, EventMark::Strum(_))));
        let strummed = strums.flat_map(|event| event.notes().iter().copied()).collect();
        Self { layer, tones: score.tones(layer.part), circled, strummed }
    }

    /// The fingering of a note that is struck: what is printed, and the rest.
    pub(super) fn of(&self, note: NoteId) -> (Technical, Technical) {
        let (mut printed, mut kept) = (Technical::default(), Technical::default());
        let Some(tone) = self.tones.of_note(note) else { return (printed, kept) };
        let struck = self.tones.get(tone).head() == note;
        let fingering: Option<&ToneFingering> =
            self.layer.fingering.tones.get(tone.0 as usize).filter(|_| struck);
        let digit =
            |finger: Option<LeftFinger>| finger.map_or(0, |finger| finger.digit()).to_string();
        let left = fingering.and_then(|fingering| fingering.left);
        match self.layer.marks.left_of(note) {
            Some(mark) => {
                printed.push("fingering", digit(mark.finger));
                printed.push_second(mark.second);
                if let Some(finger) = mark.prepares {
                    printed.push("other-technical", format!("prepare finger {}", finger.digit()));
                }
                if mark.guide {
                    printed.push("other-technical", "guide finger".to_owned());
                }
            }
            None => {
                if let Some(placement) = left {
                    kept.push("fingering", digit(placement.finger));
                    let second = fingering.and_then(|fingering| fingering.second);
                    kept.push_second(second.map(|second| second.finger));
                }
            }
        }
        // What the left hand sounds is not plucked.
        let plucked = fingering.filter(|fingering| !fingering.joined).and_then(|f| f.right);
        match (self.layer.marks.right_of(note), plucked) {
            (Some(finger), _) => printed.push("pluck", finger.letter().to_string()),
            (None, Some(_)) if self.strummed.contains(&note) => {}
            (None, Some(finger)) => kept.push("pluck", finger.letter().to_string()),
            (None, None) => {}
        }
        if let Some(placement) = left {
            let string = placement.place.string.get().to_string();
            let strings = if self.circled.contains(&note) { &mut printed } else { &mut kept };
            strings.push("string", string);
            kept.push("fret", placement.place.fret.to_string());
        }
        (printed, kept)
    }
}
