//! One tune: its header, and the fields of its body.

use std::collections::BTreeMap;

use apoyando_fingering::Severity;
use apoyando_music::{Heading, Metre};

use super::key::{self, AbcKey};
use super::length::{MetreField, default_unit, metre, written_fraction};
use super::tunes::{Line, field, without_comment};
use super::voice::{ClefField, VoiceState, clef};
use super::{decoration, staves, tempo};
use crate::fit::fit;
use crate::report::Report;
use crate::rough::{RoughBar, RoughPiece, RoughRest};
use crate::time::Time;
use crate::{ReadError, ReadOptions, ReadPiece};

/// Most voices of a tune.
const MOST_VOICES: usize = 64;

/// State while a tune is read.
pub(super) struct TuneReader<'a> {
    file: &'a str,
    /// Line being read, from 1.
    pub line: u32,
    pub report: Report,
    heading: Heading,
    /// What `L:` says in the header.
    unit: Option<Time>,
    metre: Option<Metre>,
    key: AbcKey,
    clef: ClefField,
    tempo: Option<String>,
    in_body: bool,
    voices: Vec<VoiceState>,
    current: Option<usize>,
    /// Letters with the decorations they stand for.
    pub symbols: BTreeMap<char, String>,
    pub accidentals_by_octave: bool,
    pub accidentals_persist: bool,
    groups: Vec<Vec<String>>,
    last_field: Option<char>,
}

/// Reads a tune after the header of its file.
pub(super) fn read(
    file: &str,
    header: &[Line<'_>],
    lines: &[Line<'_>],
    options: &ReadOptions,
) -> Result<ReadPiece, ReadError> {
    let mut reader = TuneReader {
        file,
        line: 1,
        report: Report::new(file),
        heading: Heading::default(),
        unit: None,
        metre: None,
        key: AbcKey::default(),
        clef: ClefField::default(),
        tempo: None,
        in_body: false,
        voices: Vec::new(),
        current: None,
        symbols: BTreeMap::new(),
        accidentals_by_octave: false,
        accidentals_persist: true,
        groups: Vec::new(),
        last_field: None,
    };
    for line in header {
        // Before the first tune only fields count; the rest is prose.
        let is_field = field(line.text).is_some_and(|(letter, _)| letter != 'K');
        if is_field || line.text.starts_with("%%") {
            reader.line(*line)?;
        }
    }
    for line in lines {
        reader.line(*line)?;
    }
    let (file, rough, report) = reader.finish()?;
    fit(file, rough, options, report)
}

impl<'a> TuneReader<'a> {
    /// An error in the present line.
    pub(super) fn error(&self, column: u32, what: String) -> ReadError {
        ReadError::Abc { file: self.file.to_owned(), line: self.line, column, what }
    }

    /// The voice being read.
    pub(super) fn voice(&mut self) -> &mut VoiceState {
        let index = match self.current {
            Some(index) => index,
            None => {
                // Music before any V: belongs to the first voice.
                if self.voices.is_empty() {
                    self.add_voice("1");
                }
                self.current = Some(0);
                0
            }
        };
        &mut self.voices[index]
    }

    /// Makes the report name the voice being read.
    pub(super) fn enter_voice(&mut self) {
        let id = self.voice().id.clone();
        self.report.part = (self.voices.len() > 1).then(|| format!("voice {id}"));
    }

    fn add_voice(&mut self, id: &str) -> usize {
        let unit = self.unit.unwrap_or_else(|| default_unit(self.metre));
        let voice = VoiceState::new(id, self.clef, unit, self.metre, self.key.clone(), self.line);
        self.voices.push(voice);
        self.voices.len() - 1
    }

    fn line(&mut self, line: Line<'_>) -> Result<(), ReadError> {
        self.line = line.number;
        self.report.line = Some(line.number);
        self.report.part = None;
        if let Some(directive) = line.text.strip_prefix("%%") {
            self.directive(directive);
            return Ok(());
        }
        let text = without_comment(line.text).trim_end();
        if text.is_empty() {
            return Ok(());
        }
        if let Some(more) = text.strip_prefix("+:") {
            self.continued(more);
            return Ok(());
        }
        if let Some((letter, content)) = field(text) {
            self.last_field = Some(letter);
            return self.field(letter, content, false);
        }
        self.last_field = None;
        if self.in_body {
            self.music(text)
        } else {
            self.report.not_read(&format!("line “{}” of the header", shortened(text)));
            Ok(())
        }
    }

    fn continued(&mut self, text: &str) {
        let place = match self.last_field {
            Some('T') => Some(&mut self.heading.title),
            Some('C') => Some(&mut self.heading.composer),
            Some('S') => Some(&mut self.heading.source),
            _ => None,
        };
        match place {
            Some(place) => {
                place.push(' ');
                place.push_str(text.trim());
            }
            None => self.report.not_read_anywhere("continued field"),
        }
    }

    /// A `%%` or `I:` line.
    fn directive(&mut self, text: &str) {
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
            'w' => self.report.not_read_anywhere("lyric (w:)"),
            'W' => self.report.not_read_anywhere("words after the tune (W:)"),
            's' => self.report.not_read("symbol line (s:)"),
            'm' => self.report.not_read("macro (m:)"),
            'P' => self.report.not_read(&format!("part “{content}”")),
            letter if self.in_body && !inline && !"ABDFGHNORZ".contains(letter) => {
                self.report.not_read(&format!("field {letter}:"));
            }
            letter => self.report.not_read_anywhere(&format!("field {letter}:")),
        }
        Ok(())
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

    fn finish(mut self) -> Result<(&'a str, RoughPiece, Report), ReadError> {
        self.report.line = None;
        self.report.part = None;
        if !self.in_body {
            return Err(self.error(1, "the tune has no K: field, which ends its header".to_owned()));
        }
        let line = self.line;
        for voice in &mut self.voices {
            if voice.begun {
                voice.end_bar(line);
            }
            if voice.in_ending
                && let Some(ending) = voice.bars.last_mut().and_then(|bar| bar.ending.as_mut())
            {
                ending.last = true;
            }
            for lane in &mut voice.lanes {
                whole_bar_rests(lane, &voice.bars);
            }
        }
        if self.voices.iter().all(|voice| voice.bars.is_empty()) {
            let title = &self.heading.title;
            let what = format!("the tune “{title}” has no notes; a blank line ends a tune");
            return Err(self.error(1, what));
        }
        let (mut bars, parts) = staves::parts(self.voices, &self.groups, &mut self.report);
        if let (Some(content), Some(first)) = (&self.tempo, bars.first_mut()) {
            let unit = self.unit.unwrap_or_else(|| default_unit(self.metre));
            let field = tempo::read(content, unit);
            first.tempo = first.tempo.or(field.tempo);
            if first.words.is_empty() {
                first.words = field.words;
            }
            if field.unread {
                self.report.not_read_anywhere(&format!("tempo “{content}”"));
            }
        }
        if bars.iter().any(|bar| bar.metre.is_none()) {
            self.report.add(
                Severity::Advice,
                "free-metre",
                "there is no metre; the bars are as long as what is in them".to_owned(),
                Some("give the metre with M:"),
            );
        }
        Ok((self.file, RoughPiece { heading: self.heading, bars, parts }, self.report))
    }
}

/// A rest alone in its bar and as long as the metre fills it.
fn whole_bar_rests(lane: &mut [Vec<crate::rough::RoughEvent>], bars: &[RoughBar]) {
    for (events, bar) in lane.iter_mut().zip(bars) {
        if let [only] = events.as_mut_slice()
            && only.notes.is_empty()
            && only.rest == RoughRest::Printed
            && bar.metre.is_some_and(|metre| metre.bar().ratio() == only.length)
        {
            only.rest = RoughRest::WholeBar;
        }
    }
}

fn append(place: &mut String, text: &str) {
    if !place.is_empty() && !text.is_empty() {
        place.push_str("; ");
    }
    place.push_str(text);
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

fn shortened(text: &str) -> String {
    text.chars().take(24).collect()
}

/// A text with the standard's accent sequences as letters.
fn plain(text: &str) -> String {
    const ACCENTS: [(&str, char); 6] = [
        ("`", '\u{300}'),
        ("'", '\u{301}'),
        ("^", '\u{302}'),
        ("~", '\u{303}'),
        ("\"", '\u{308}'),
        ("c", '\u{327}'),
    ];
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('\\') {
        out.push_str(&rest[..at]);
        rest = &rest[at + 1..];
        let accent = ACCENTS.iter().find(|(mark, _)| rest.starts_with(mark));
        let letter = rest.chars().nth(1).filter(|c| c.is_alphabetic());
        match (accent, letter) {
            (Some((mark, combining)), Some(letter)) => {
                out.push(composed(letter, *combining));
                rest = &rest[mark.len() + letter.len_utf8()..];
            }
            _ => out.push('\\'),
        }
    }
    out.push_str(rest);
    out
}

/// The letter with its accent as one character, where this table has it.
fn composed(letter: char, accent: char) -> char {
    const TABLE: [(char, &str, &str); 6] = [
        ('\u{300}', "aeiouAEIOU", "àèìòùÀÈÌÒÙ"),
        ('\u{301}', "aeiouyAEIOUY", "áéíóúýÁÉÍÓÚÝ"),
        ('\u{302}', "aeiouAEIOU", "âêîôûÂÊÎÔÛ"),
        ('\u{303}', "anoANO", "ãñõÃÑÕ"),
        ('\u{308}', "aeiouyAEIOU", "äëïöüÿÄËÏÖÜ"),
        ('\u{327}', "cC", "çÇ"),
    ];
    let row = TABLE.iter().find(|(mark, ..)| *mark == accent);
    row.and_then(|(_, from, to)| {
        let at = from.chars().position(|c| c == letter)?;
        to.chars().nth(at)
    })
    .unwrap_or(letter)
}
