//! Notes, chords and rests.

use apoyando_music::{Alter, Pitch, Tuplet};

use super::chars::Chars;
use super::length::multiple;
use super::tune::TuneReader;
use super::voice::VoiceState;
use crate::ReadError;
use crate::rough::{RoughEvent, RoughNote, RoughRest};
use crate::time::{Time, add, multiply, zero};

/// Most bars of rest in one sign.
const MOST_RESTS: u32 = 1000;

/// Whether a note can begin with this character.
pub(super) fn begins_note(c: char) -> bool {
    matches!(c, '^' | '_' | '=' | 'A'..='G' | 'a'..='g')
}

impl TuneReader<'_> {
    /// A note with its length.
    pub(super) fn note(&mut self, chars: &mut Chars) -> Result<(), ReadError> {
        let column = chars.column();
        let Some(pitch) = self.pitch(chars)? else { return Ok(()) };
        let length = self.multiple(chars)?;
        let hand = std::mem::take(&mut self.voice().pending.hand);
        let note = RoughNote::new(pitch, hand);
        self.event(vec![note], RoughRest::Printed, length, column)
    }

    /// `[CEG]2`: the lengths inside and outside multiply.
    pub(super) fn chord(&mut self, chars: &mut Chars) -> Result<(), ReadError> {
        let column = chars.column();
        chars.next();
        let mut notes: Vec<RoughNote> = Vec::new();
        let mut inner: Option<Time> = None;
        let mut differs = false;
        loop {
            match chars.peek() {
                Some(']') => {
                    chars.next();
                    break;
                }
                Some(c) if begins_note(c) => {
                    let Some(pitch) = self.pitch(chars)? else { continue };
                    let length = self.multiple(chars)?;
                    let first = *inner.get_or_insert(length);
                    differs |= first != length;
                    let tied = chars.take('-');
                    let hand = std::mem::take(&mut self.voice().pending.hand);
                    notes.push(RoughNote { tied, ..RoughNote::new(pitch, hand) });
                }
                Some(' ') => {
                    chars.next();
                }
                Some('-') => {
                    chars.next();
                    if let Some(last) = notes.last_mut() {
                        last.tied = true;
                    }
                }
                Some('!' | '+' | '.' | '~' | '"' | '(' | ')' | 'H'..='Y' | 'h'..='w') => {
                    self.sign(chars)?;
                }
                Some('z' | 'x' | 'Z') => {
                    chars.next();
                    self.multiple(chars)?;
                    self.report.not_read("rest in a chord");
                }
                Some(c) => {
                    return Err(self.error(chars.column(), format!("“{c}” in a chord")));
                }
                None => {
                    return Err(self.error(column, "the chord has no ]; add it".to_owned()));
                }
            }
        }
        let outer = self.multiple(chars)?;
        let length = multiply(inner.unwrap_or(Time::from_integer(1)), outer)
            .ok_or_else(|| self.error(column, "the chord's length cannot be counted".to_owned()))?;
        if notes.is_empty() {
            self.report.not_read("chord without notes");
            return Ok(());
        }
        if differs {
            self.report.not_read("length of a note in a chord, other than the first note's,");
        }
        self.event(notes, RoughRest::Printed, length, column)
    }

    /// `z2`, `x2`, `Z4`.
    pub(super) fn rest(&mut self, chars: &mut Chars) -> Result<(), ReadError> {
        let column = chars.column();
        let kind = chars.next();
        self.loose_graces("a rest");
        match kind {
            Some('Z' | 'X') => {
                let bars = chars.number().map_err(|()| self.uncounted(column))?.unwrap_or(1);
                if bars == 0 || bars > MOST_RESTS {
                    return Err(self.uncounted(column));
                }
                if kind == Some('Z') && bars > 1 {
                    self.voice().bar.long_rest = u16::try_from(bars).ok();
                }
                let rest = if kind == Some('Z') { RoughRest::WholeBar } else { RoughRest::Hidden };
                for index in 0..bars {
                    let line = self.line;
                    let voice = self.voice();
                    let length = voice.bar.metre.map_or(Time::from_integer(1), |m| m.bar().ratio());
                    let event = blank(voice, length, rest, line, column);
                    voice.push(event, length);
                    if index + 1 < bars {
                        voice.end_bar(line);
                    }
                }
                Ok(())
            }
            _ => {
                let length = self.multiple(chars)?;
                let rest = if kind == Some('x') { RoughRest::Hidden } else { RoughRest::Printed };
                self.event(Vec::new(), rest, length, column)
            }
        }
    }

    fn uncounted(&self, column: u32) -> ReadError {
        self.error(column, "a length that cannot be counted; write a smaller one".to_owned())
    }

    pub(super) fn multiple(&self, chars: &mut Chars) -> Result<Time, ReadError> {
        let column = chars.column();
        multiple(chars).ok_or_else(|| self.uncounted(column))
    }

    /// Puts an event of a multiple of the unit at the cursor.
    fn event(
        &mut self,
        notes: Vec<RoughNote>,
        rest: RoughRest,
        multiple: Time,
        column: u32,
    ) -> Result<(), ReadError> {
        let uncounted = self.uncounted(column);
        let line = self.line;
        let voice = self.voice();
        let (tuplet, ratio) = next_of_run(voice);
        let broken = voice.broken.take().unwrap_or(Time::from_integer(1));
        let length = multiply(multiple, voice.unit)
            .and_then(|length| multiply(length, ratio))
            .and_then(|length| multiply(length, broken));
        let Some(length) = length else { return Err(uncounted) };
        let Some(end) = add(voice.cursor, length) else { return Err(uncounted) };
        if length <= zero() {
            self.report.add(
                apoyando_fingering::Severity::Warning,
                "no-length",
                "a note or rest without length is left out".to_owned(),
                None,
            );
            return Ok(());
        }
        let marks = std::mem::take(&mut voice.pending.marks);
        let graces = std::mem::take(&mut voice.pending.graces);
        let event =
            RoughEvent { tuplet, notes, marks, graces, ..blank(voice, length, rest, line, column) };
        voice.carried.clear();
        voice.push(event, end);
        Ok(())
    }

    /// Accidental, letter and octave. `None`, with a finding, if what follows
    /// the accidental is no letter.
    pub(super) fn pitch(&mut self, chars: &mut Chars) -> Result<Option<Pitch>, ReadError> {
        let column = chars.column();
        let mut accidental: Option<i32> = None;
        while let Some(sign @ ('^' | '_' | '=')) = chars.peek() {
            chars.next();
            let change = match sign {
                '^' => 1,
                '_' => -1,
                _ => 0,
            };
            accidental = Some(accidental.unwrap_or(0) + change);
        }
        if accidental.is_some() && chars.peek().is_some_and(|c| c.is_ascii_digit() || c == '/') {
            chars.take_while(|c| c.is_ascii_digit() || c == '/');
            self.report.not_read("microtone");
        }
        let letter = chars.peek();
        let Some(step) = letter.filter(|c| begins_note(*c)).and_then(super::key::step) else {
            self.report.not_read("accidental without a note");
            return Ok(None);
        };
        chars.next();
        let mut octave = if letter.is_some_and(|c| c.is_ascii_lowercase()) { 5 } else { 4 };
        while let Some(mark @ ('\'' | ',')) = chars.peek() {
            chars.next();
            octave += if mark == ',' { -1 } else { 1 };
        }
        if !(-3..=12).contains(&octave) {
            return Err(self.error(column, "the note is beyond all octaves".to_owned()));
        }
        let by_octave = self.accidentals_by_octave;
        let persist = self.accidentals_persist;
        let voice = self.voice();
        let place = (step, if by_octave { octave } else { 0 });
        let stated = match accidental {
            Some(semitones) => {
                let Some(alter) = Alter::new(semitones) else {
                    return Err(self.error(column, "more than three sharps or flats".to_owned()));
                };
                if persist {
                    voice.accidentals.insert(place, alter);
                }
                alter
            }
            None => {
                let tied = voice.carried.iter().find(|(s, o, _)| (*s, *o) == (step, octave));
                tied.map(|(_, _, alter)| *alter)
                    .or_else(|| voice.accidentals.get(&place).copied())
                    .unwrap_or_else(|| voice.key.alter(step))
            }
        };
        let octave = octave + i32::from(voice.clef.octaves);
        Ok(Some(Pitch { step, alter: stated, octave: octave as i8 }))
    }

    /// `-` after a note or chord: all its notes are tied.
    pub(super) fn tie(&mut self) {
        let voice = self.voice();
        let octaves = i32::from(voice.clef.octaves);
        let tied = match voice.last_event() {
            Some(event) if !event.notes.is_empty() => {
                for note in &mut event.notes {
                    note.tied = true;
                }
                let pitches = event.notes.iter().map(|note| note.pitch);
                Some(
                    pitches
                        .map(|p| (p.step, i32::from(p.octave) - octaves, p.alter))
                        .collect::<Vec<_>>(),
                )
            }
            _ => None,
        };
        match tied {
            Some(tied) => voice.carried = tied,
            None => self.report.not_read("tie without a note before it"),
        }
    }

    /// `a>b`: the first note takes from the second.
    pub(super) fn broken(&mut self, chars: &mut Chars) -> Result<(), ReadError> {
        let column = chars.column();
        let sign = chars.peek().unwrap_or('>');
        let signs = chars.take_while(|c| c == sign).len() as u32;
        if signs > 4 {
            return Err(self.error(column, "more than four signs of broken rhythm".to_owned()));
        }
        let short = Time::new(1, 1 << signs);
        let long = Time::from_integer(2) - short;
        let (first, second) = if sign == '>' { (long, short) } else { (short, long) };
        let voice = self.voice();
        let cursor = voice.cursor;
        let uncounted = "the broken rhythm cannot be counted".to_owned();
        let begun = voice.begun;
        let end = match voice.last_event() {
            Some(last) if begun => match multiply(last.length, first) {
                Some(length) => {
                    last.length = length;
                    add(last.onset, length)
                }
                None => None,
            },
            _ => {
                self.report.not_read("broken rhythm without a note before it");
                Some(cursor)
            }
        };
        let Some(end) = end else { return Err(self.error(column, uncounted)) };
        let voice = self.voice();
        voice.cursor = end;
        voice.broken = begun.then_some(second);
        Ok(())
    }
}

fn blank(voice: &VoiceState, length: Time, rest: RoughRest, line: u32, column: u32) -> RoughEvent {
    RoughEvent {
        onset: voice.cursor,
        length,
        slack: zero(),
        value: None,
        tuplet: None,
        rest,
        notes: Vec::new(),
        marks: Vec::new(),
        graces: Vec::new(),
        lyrics: Vec::new(),
        line,
        column,
    }
}

/// The tuplet of the next event, counted down.
fn next_of_run(voice: &mut VoiceState) -> (Option<Tuplet>, Time) {
    let Some(run) = &mut voice.run else { return (None, Time::from_integer(1)) };
    run.left = run.left.saturating_sub(1);
    let tuplet =
        Tuplet { actual: run.actual, normal: run.normal, first: !run.begun, last: run.left == 0 };
    run.begun = true;
    if run.left == 0 {
        voice.run = None;
    }
    (Some(tuplet).filter(|t| t.actual != t.normal), tuplet.ratio())
}
