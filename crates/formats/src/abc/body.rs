//! Lines of music.

use apoyando_fingering::Severity;
use apoyando_music::{EventMark, Metre, StaffSide};

use super::chars::Chars;
use super::tune::TuneReader;
use super::voice::{MOST_LANES, Run};
use super::{barline, decoration, notes};
use crate::ReadError;
use crate::fit;
use crate::rough::{RoughLoudness, RoughSign, RoughWords};
use crate::sign;
use crate::time::zero;

impl TuneReader<'_> {
    /// Reads a line of music.
    pub(super) fn music(&mut self, text: &str) -> Result<(), ReadError> {
        let mut chars = Chars::of(text);
        self.enter_voice();
        self.end_full_bar(text);
        self.voice().begin_line();
        while let Some(c) = chars.peek() {
            let voice = self.voice();
            let (bar, onset) = (voice.bars.len(), voice.cursor);
            if bar > fit::MOST_BARS {
                return Err(self.error(chars.column(), "too many bars; split the tune".to_owned()));
            }
            self.report.bar = Some(bar);
            self.report.onset = Some(onset);
            self.report.line = Some(self.line);
            match c {
                ' ' | '\t' | '`' | '\\' | '$' | '*' | '\u{a0}' => {
                    chars.next();
                }
                '[' if inline_field(&chars) => self.inline(&mut chars)?,
                _ if c == '.' && chars.peek_at(1) == Some('(') => {
                    chars.next();
                }
                '|' | ':' | '[' | '.' if self.bar_line(&mut chars) => {}
                '[' => self.chord(&mut chars)?,
                _ if notes::begins_note(c) => self.note(&mut chars)?,
                'z' | 'x' | 'Z' | 'X' => self.rest(&mut chars)?,
                'y' => {
                    chars.next();
                    chars.take_while(|c| c.is_ascii_digit() || c == '/');
                }
                '-' => {
                    chars.next();
                    self.tie();
                }
                '>' | '<' => self.broken(&mut chars)?,
                '&' => {
                    chars.next();
                    self.overlay();
                }
                '{' => self.graces(&mut chars)?,
                _ => self.sign(&mut chars)?,
            }
        }
        self.report.bar = None;
        self.report.onset = None;
        Ok(())
    }

    /// Many files leave out the bar line at the end of a line. Where the bar is
    /// full there and the next line begins without one, it is meant.
    fn end_full_bar(&mut self, text: &str) {
        let line = self.line;
        let voice = self.voice();
        let full = voice.begun
            && voice.metre.is_some_and(|metre| metre.bar().ratio() == voice.cursor)
            && voice.run.is_none()
            && voice.broken.is_none();
        let begins = text.trim_start();
        if !full || begins.starts_with(['|', ':', '&', '-', ')', '>', '<']) || begins.is_empty() {
            return;
        }
        if Chars::of(begins).peek() == Some('[') && barline::read(&mut Chars::of(begins)).is_some()
        {
            return;
        }
        // Accidentals hold to the next bar line that is written (ABC 2.1, 4.2).
        let accidentals = std::mem::take(&mut voice.accidentals);
        voice.end_bar(line);
        voice.accidentals = accidentals;
        self.report.bar = None;
        self.report.add(
            Severity::Advice,
            "bar-line-assumed",
            "a line ends with a full bar and no bar line; one is read there".to_owned(),
            Some("end the line with |"),
        );
    }

    /// Signs that stand before or after notes.
    pub(super) fn sign(&mut self, chars: &mut Chars) -> Result<(), ReadError> {
        let column = chars.column();
        let Some(c) = chars.next() else { return Ok(()) };
        match c {
            '(' if chars.peek().is_some_and(|c| c.is_ascii_digit()) => self.tuplet(chars)?,
            '(' if chars.peek() == Some('&') => {
                chars.next();
                self.report.not_read("overlay of several bars");
            }
            '(' => {
                let voice = self.voice();
                voice.slurs.push(false);
                voice.pending.marks.push(EventMark::SlurStart { technical: false });
            }
            ')' => self.end_slur(),
            '"' => match chars.take_until('"') {
                Some(text) if text.starts_with(['^', '_', '<', '>', '@']) => {
                    self.annotate(&text);
                }
                Some(_) => self.report.not_read_anywhere("chord symbol"),
                None => return Err(self.error(column, "the quotation has no end".to_owned())),
            },
            // Alone, it is the line break of older files.
            '!' => {
                if let Some(name) = chars.take_until('!') {
                    self.decorate(&name);
                }
            }
            '+' => match chars.take_until('+') {
                Some(name) => self.decorate(&name),
                None => self.report.not_read("“+”"),
            },
            c => {
                let name = match self.symbols.get(&c) {
                    Some(name) => Some(name.clone()),
                    None => decoration::letter(c).map(str::to_owned),
                };
                match name {
                    Some(name) => self.decorate(&name),
                    None => self.report.not_read(&format!("“{c}”")),
                }
            }
        }
        Ok(())
    }

    /// A slur between a note and its grace notes goes without saying.
    fn end_slur(&mut self) {
        let voice = self.voice();
        let waiting = !voice.pending.graces.is_empty();
        let from_grace = voice.slurs.pop() == Some(true);
        let within = voice.last_event().is_some_and(|event| {
            let begins = matches!(event.marks.last(), Some(EventMark::SlurStart { .. }));
            let within = begins && !from_grace && (waiting || !event.graces.is_empty());
            if within {
                event.marks.pop();
            }
            within
        });
        if from_grace || within {
            self.report.not_read_anywhere("slur from a grace note");
        } else if let Some(event) = self.voice().last_event() {
            event.marks.push(EventMark::SlurEnd);
        } else {
            self.report.not_read("end of a slur without a note before it");
        }
    }

    /// `"^dolce"` above the staff, `"_cresc."` below it (ABC 2.1, section 4.19).
    fn annotate(&mut self, text: &str) {
        let side = match text.chars().next() {
            Some('^') => StaffSide::Above,
            Some('_') => StaffSide::Below,
            _ => return self.report.not_read_anywhere("annotation left or right of a note"),
        };
        let text = text[1..].trim();
        // Whether play goes on elsewhere is not told by an annotation.
        if sign::of_words(text).is_some() {
            return self.report.not_read(&format!("annotation “{text}”"));
        }
        if text.is_empty() {
            return;
        }
        let (line, text) = (self.line, text.to_owned());
        let voice = self.voice();
        let (bar, at) = (voice.bars.len(), voice.cursor);
        voice.words.push(RoughWords { bar, at, slack: zero(), side, text, until: None, line });
    }

    fn decorate(&mut self, name: &str) {
        if let Some(sign) = sign::of_words(name) {
            let line = self.line;
            let voice = self.voice();
            let sign = RoughSign { sign, at: Some(voice.cursor), line };
            if !voice.bar.signs.contains(&sign) {
                voice.bar.signs.push(sign);
            }
            return;
        }
        if let Some(loudness) = decoration::loudness(name) {
            let line = self.line;
            let voice = self.voice();
            let (bar, at) = (voice.bars.len(), voice.cursor);
            voice.loudness.push(RoughLoudness { bar, at, slack: zero(), loudness, line });
            return;
        }
        if !decoration::apply(name, &mut self.voice().pending) && name != "nil" {
            self.report.not_read(&format!("decoration “{name}”"));
        }
    }

    /// Whether a bar line stands here; if so it takes effect.
    fn bar_line(&mut self, chars: &mut Chars) -> bool {
        let Some(barline) = barline::read(chars) else { return false };
        if !barline.line && barline.passes.is_empty() {
            self.report.not_read("bracket without an ending's number");
            return true;
        }
        self.loose_graces("a bar line");
        let line = self.line;
        let voice = self.voice();
        if !voice.pending.marks.is_empty()
            && voice.pending.marks.iter().any(|m| !matches!(m, EventMark::SlurStart { .. }))
        {
            voice.pending.marks.retain(|mark| matches!(mark, EventMark::SlurStart { .. }));
            self.report.not_read("decoration of a bar line");
        }
        if barline::stand_together(self.voice(), &barline, line) {
            let message = "there is nothing between two bar lines; they are read as one";
            let remedy = Some("write a rest between them, or take one out");
            self.report.add(Severity::Advice, "empty-bar", message.to_owned(), remedy);
        }
        let voice = self.voice();
        if voice.begun && voice.broken.take().is_some() {
            self.report.not_read("broken rhythm over a bar line");
        }
        barline::apply(self.voice(), barline, line);
        true
    }

    /// `(p:q:r`: p notes in the time of q, for the next r notes.
    fn tuplet(&mut self, chars: &mut Chars) -> Result<(), ReadError> {
        let column = chars.column();
        let error = || "a tuplet's numbers are 2 to 64".to_owned();
        let mut numbers = [None; 3];
        for (index, number) in numbers.iter_mut().enumerate() {
            if index > 0 && !chars.take(':') {
                break;
            }
            *number = chars.number().map_err(|()| self.error(column, error()))?;
        }
        let [actual, normal, count] = numbers;
        let actual = actual.unwrap_or(0);
        let compound = self.voice().metre.is_some_and(Metre::is_compound);
        let normal = normal.unwrap_or(match actual {
            2 | 4 | 8 => 3,
            3 | 6 => 2,
            _ if compound => 3,
            _ => 2,
        });
        let count = count.unwrap_or(actual);
        let fits = |number: u32| u8::try_from(number).ok().filter(|n| (1..=64).contains(n));
        let (Some(actual), Some(normal), 1..=64) = (fits(actual), fits(normal), count) else {
            return Err(self.error(column, error()));
        };
        if self.voice().run.is_some() {
            self.report.not_read("tuplet in a tuplet");
        }
        self.voice().run = Some(Run { actual, normal, left: count, begun: false });
        Ok(())
    }

    /// `&`: back to the beginning of the bar, in another voice.
    fn overlay(&mut self) {
        self.loose_graces("the end of a voice's bar");
        let voice = self.voice();
        if voice.lane + 1 >= MOST_LANES {
            self.report.not_read("so many overlays");
            return;
        }
        voice.lane += 1;
        voice.cursor = zero();
        voice.run = None;
        voice.broken = None;
        if voice.lanes.len() <= voice.lane {
            voice.lanes.push(Vec::new());
        }
    }

    fn inline(&mut self, chars: &mut Chars) -> Result<(), ReadError> {
        let column = chars.column();
        chars.next();
        let Some(text) = chars.take_until(']') else {
            return Err(self.error(column, "the field in brackets has no ]".to_owned()));
        };
        if let Some((letter, content)) = super::tunes::field(&text) {
            self.field(letter, content, true)?;
            self.enter_voice();
        }
        Ok(())
    }
}

/// `[K:G]`, not a chord.
fn inline_field(chars: &Chars) -> bool {
    chars.peek_at(1).is_some_and(|c| c.is_ascii_alphabetic()) && chars.peek_at(2) == Some(':')
}
