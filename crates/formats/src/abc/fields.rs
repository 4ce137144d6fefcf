//! The fields of a tune, in its header and in its body.

use super::length::{MetreField, default_unit, metre, written_fraction};
use super::title::{append, plain};
use super::tune::TuneReader;
use super::voice::{ClefField, VoiceState, clef};
use super::{decoration, key, staves, tempo};
use crate::ReadError;
use crate::rough::RoughRehearsal;

/// Most voices of a tune.
const MOST_VOICES: usize = 64;

impl TuneReader<'_> {
    /// A `%%` or `I:` line.
    pub(super) fn directive(&mut self, text: &str) {
        let text = text.trim();
        let (name, content) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        match name {
            "score" | "staves" => self.groups = staves::groups(content),
            "propagate-accidentals" => {
                self.accidentals_persist = content.trim() != "not";
                self.accidentals_by_octave = content.trim() == "octave";
            }
            "" => {}
            _ => self.report.not_read_anywhere("directive for layout or playing (%%)"),
        }
    }

    /// A field, on its own line or in brackets.
    pub(super) fn field(
        &mut self,
        letter: char,
        content: &str,
        inline: bool,
    ) -> Result<(), ReadError> {
        let content = content.trim();
        match letter {
            'X' => {}
            'T' if self.in_body => self.report.not_read(&format!("title “{content}” in the tune")),
            'T' if self.heading.title.is_empty() => self.heading.title = plain(content),
            'T' if self.heading.subtitle.is_empty() => self.heading.subtitle = plain(content),
            'T' => self.report.not_read_anywhere("third title"),
            'C' => append(&mut self.heading.composer, &plain(content)),
            'S' => append(&mut self.heading.source, &plain(content)),
            'M' => self.metre_field(content),
            'L' => self.unit_field(content)?,
            'Q' => self.tempo_field(content),
            'K' => self.key_field(content),
            'V' => self.voice_field(content),
            'I' => self.directive(content),
            'U' => match decoration::user_symbol(content) {
                Some((letter, meaning)) => {
                    self.symbols.insert(letter, meaning);
                }
                None => self.report.not_read(&format!("user symbol “{content}”")),
            },
            'r' => {}
            'w' if self.in_body => self.sing(content, false),
            'w' => self.report.not_read_anywhere("lyric before the music (w:)"),
            'W' => self.report.not_read_anywhere("words after the tune (W:)"),
            's' => self.report.not_read("symbol line (s:)"),
            'm' => self.report.not_read("macro (m:)"),
            'P' if self.in_body => self.part_label(content),
            'P' => self.report.not_read(&format!("part “{content}”")),
            letter if self.in_body && !inline && !"ABDFGHNORZ".contains(letter) => {
                self.report.not_read(&format!("field {letter}:"));
            }
            letter => self.report.not_read_anywhere(&format!("field {letter}:")),
        }
        Ok(())
    }

    /// `P:A` in the body is the label of what begins there (ABC 2.1, section 3.1.9).
    fn part_label(&mut self, content: &str) {
        let line = self.line;
        let voice = self.voice();
        let (text, at) = (content.to_owned(), voice.cursor);
        let known = voice.bar.rehearsals.iter().any(|known| known.text == text);
        if !text.is_empty() && !known {
            voice.bar.rehearsals.push(RoughRehearsal { text, at, line });
        }
    }

    fn metre_field(&mut self, content: &str) {
        let metre = match metre(content) {
            MetreField::Free => None,
            MetreField::Metre(metre) => Some(metre),
            MetreField::Added(metre) => {
                self.report.not_read("grouping of the beats");
                Some(metre)
            }
            MetreField::Unknown => {
                self.report.not_read(&format!("metre “{content}”"));
                None
            }
        };
        if self.in_body {
            let voice = self.voice();
            voice.metre = metre;
            if !voice.begun {
                voice.bar.metre = metre;
            }
        } else {
            self.metre = metre;
        }
    }

    fn unit_field(&mut self, content: &str) -> Result<(), ReadError> {
        let unit = written_fraction(content)
            .ok_or_else(|| self.error(1, format!("L:{content} is no note length; write 1/8")))?;
        if self.in_body {
            self.voice().unit = unit;
        } else {
            self.unit = Some(unit);
        }
        Ok(())
    }

    fn tempo_field(&mut self, content: &str) {
        if !self.in_body {
            self.tempo = Some(content.to_owned());
            return;
        }
        let unit = self.voice().unit;
        let field = tempo::read(content, unit);
        let voice = self.voice();
        let begun = voice.begun;
        if begun {
            self.report.not_read("tempo in mid-bar");
        } else {
            voice.bar.tempo = field.tempo.or(voice.bar.tempo);
            if !field.words.is_empty() {
                voice.bar.words = field.words;
            }
        }
        if field.unread {
            self.report.not_read(&format!("tempo “{content}”"));
        }
    }

    fn key_field(&mut self, content: &str) {
        let field = key::read(content);
        let mut unread = field.unread;
        let mut clef_field = if self.in_body { self.voice().clef } else { self.clef };
        let octaves = clef_field.octaves;
        if !field.rest.is_empty() {
            clef_field.octaves = 0;
        }
        let before = clef_field;
        let rest = clef(field.rest.iter().map(String::as_str), &mut clef_field, &mut unread);
        if clef_field == before {
            clef_field.octaves = octaves;
        }
        unread.extend(rest.into_iter().map(|(name, value)| format!("“{name}={value}”")));
        for what in unread {
            self.report.not_read(&what);
        }
        if self.in_body {
            let voice = self.voice();
            voice.clef = clef_field;
            if let Some(key) = field.key {
                if !voice.begun {
                    voice.bar.signature = key.signature;
                } else if key.signature != voice.bar.signature {
                    self.report.not_read("change of signature in mid-bar (its accidentals are)");
                }
                self.voice().key = key;
            }
        } else {
            self.clef = clef_field;
            self.key = field.key.unwrap_or_default();
            self.begin_body();
        }
    }

    /// The first K: ends the header; what came before holds for all voices.
    fn begin_body(&mut self) {
        self.in_body = true;
        let unit = self.unit.unwrap_or_else(|| default_unit(self.metre));
        for voice in &mut self.voices {
            let mut begun = VoiceState::new(
                &voice.id,
                self.clef,
                unit,
                self.metre,
                self.key.clone(),
                self.line,
            );
            if voice.clef != ClefField::default() {
                begun.clef = voice.clef;
            }
            begun.name = std::mem::take(&mut voice.name);
            *voice = begun;
        }
    }

    fn voice_field(&mut self, content: &str) {
        let mut words = quoted_words(content).into_iter();
        let Some(id) = words.next() else {
            self.report.not_read("voice without a name");
            return;
        };
        let index = match self.voices.iter().position(|voice| voice.id == id) {
            Some(index) => index,
            None if self.voices.len() >= MOST_VOICES => {
                self.report.not_read(&format!("voice {id} of more than {MOST_VOICES}"));
                return;
            }
            None => self.add_voice(&id),
        };
        if self.in_body {
            self.current = Some(index);
        }
        let words: Vec<String> = words.collect();
        let voice = &mut self.voices[index];
        let mut clef_field = ClefField { octaves: 0, ..voice.clef };
        let mut unread = Vec::new();
        let rest = clef(words.iter().map(String::as_str), &mut clef_field, &mut unread);
        let says_octave = words.iter().any(|word| {
            ["clef=", "octave=", "transpose=", "cl=", "t="].iter().any(|key| word.starts_with(key))
                || !word.contains('=')
        });
        if says_octave {
            voice.clef = clef_field;
        }
        for (name, value) in rest {
            match name.as_str() {
                "name" | "nm" => voice.name = value,
                // Drawn by our own rules.
                "sname" | "snm" | "subname" | "stem" | "stems" | "gstem" | "dyn" | "lyrics"
                | "staves" | "brace" | "bracket" | "space" | "up" | "down" => {}
                _ => unread.push(format!("“{name}={value}”")),
            }
        }
        for what in unread {
            self.report.not_read(&what);
        }
    }
}

/// Words at spaces, those in quotes kept together.
fn quoted_words(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut quoted = false;
    for c in text.chars() {
        match c {
            '"' => quoted = !quoted,
            c if c.is_whitespace() && !quoted => {
                if !word.is_empty() {
                    words.push(std::mem::take(&mut word));
                }
            }
            c => word.push(c),
        }
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
}
