//! Grace notes in braces (ABC 2.1, section 4.12).

use apoyando_music::Grace;

use super::chars::Chars;
use super::notes::begins_note;
use super::tune::TuneReader;
use crate::ReadError;

impl TuneReader<'_> {
    /// `{g}` and, crossed through, `{/g}`, for the note that comes next. Their
    /// lengths are not kept: by the standard they have no melodic time value.
    pub(super) fn graces(&mut self, chars: &mut Chars) -> Result<(), ReadError> {
        let column = chars.column();
        chars.next();
        let slashed = chars.take('/');
        let mut in_chord = None;
        loop {
            match chars.peek() {
                Some('}') => break,
                Some(c) if begins_note(c) => {
                    let pitch = self.pitch(chars)?;
                    self.multiple(chars)?;
                    let Some(pitch) = pitch else { continue };
                    // One of a chord stands for it.
                    match &mut in_chord {
                        Some(true) => {
                            self.report.not_read("chord of grace notes, but for its first note,")
                        }
                        first => {
                            if let Some(first) = first {
                                *first = true;
                            }
                            self.voice().pending.graces.push(Grace { pitch, slashed });
                        }
                    }
                    continue;
                }
                Some('[') => in_chord = Some(false),
                Some(']') => in_chord = None,
                Some('(') => self.voice().slurs.push(true),
                Some(')') => match self.voice().slurs.pop() {
                    Some(true) => {}
                    _ => self.report.not_read("end of a slur at a grace note"),
                },
                Some('-') => self.report.not_read("tie of a grace note"),
                Some('z' | 'x' | 'Z' | 'X') => self.report.not_read("rest among grace notes"),
                Some(quote @ ('!' | '+' | '"')) => {
                    chars.next();
                    self.report.not_read("decoration of a grace note");
                    if chars.take_until(quote).is_some() {
                        continue;
                    }
                }
                Some(' ' | '\t' | '`' | '<' | '>' | '/') => {}
                Some(c) if c.is_ascii_digit() => {}
                Some(c) => self.report.not_read(&format!("“{c}” among grace notes")),
                None => return Err(self.error(column, "the grace notes have no }".to_owned())),
            }
            chars.next();
        }
        chars.next();
        Ok(())
    }

    /// Reports grace notes that have come to where no note follows.
    pub(super) fn loose_graces(&mut self, before: &str) {
        if !std::mem::take(&mut self.voice().pending.graces).is_empty() {
            self.report.not_read(&format!("grace note before {before}"));
        }
    }
}
