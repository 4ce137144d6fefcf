//! One tune, line by line.

use std::collections::BTreeMap;

use apoyando_fingering::Severity;
use apoyando_music::{Heading, Metre};

use super::key::AbcKey;
use super::length::default_unit;
use super::tunes::{Line, field, without_comment};
use super::voice::{ClefField, VoiceState};
use super::{staves, tempo};
use crate::fit::fit;
use crate::report::Report;
use crate::rough::{RoughBar, RoughPiece, RoughRest, RoughSign};
use crate::time::Time;
use crate::{ReadError, ReadOptions, ReadPiece};

/// State while a tune is read.
pub(super) struct TuneReader<'a> {
    file: &'a str,
    /// Line being read, from 1.
    pub line: u32,
    pub report: Report,
    pub heading: Heading,
    /// What `L:` says in the header.
    pub unit: Option<Time>,
    pub metre: Option<Metre>,
    pub key: AbcKey,
    pub clef: ClefField,
    pub tempo: Option<String>,
    pub in_body: bool,
    pub voices: Vec<VoiceState>,
    pub current: Option<usize>,
    /// Letters with the decorations they stand for.
    pub symbols: BTreeMap<char, String>,
    pub accidentals_by_octave: bool,
    pub accidentals_persist: bool,
    pub groups: Vec<Vec<String>>,
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

    pub(super) fn add_voice(&mut self, id: &str) -> usize {
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
        if self.last_field == Some('w') && self.in_body {
            return self.sing(text.trim(), true);
        }
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

    fn finish(mut self) -> Result<(&'a str, RoughPiece, Report), ReadError> {
        self.report.line = None;
        self.report.part = None;
        if !self.in_body {
            return Err(self.error(1, "the tune has no K: field, which ends its header".to_owned()));
        }
        let line = self.line;
        for index in 0..self.voices.len() {
            self.current = Some(index);
            self.enter_voice();
            self.loose_graces("the end of the tune");
        }
        self.report.part = None;
        for voice in &mut self.voices {
            if voice.begun {
                voice.end_bar(line);
            } else if let Some(last) = voice.bars.last_mut() {
                // Signs behind the last bar line belong to it.
                let signs = std::mem::take(&mut voice.bar.signs);
                last.signs.extend(signs.into_iter().map(|sign| RoughSign { at: None, ..sign }));
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

fn shortened(text: &str) -> String {
    text.chars().take(24).collect()
}
