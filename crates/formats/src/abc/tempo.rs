//! The tempo field.

use apoyando_music::{NoteValue, Tempo};

use super::length::written_fraction;
use crate::time::{Time, duration};

/// What a `Q:` field says.
#[derive(Debug, Default)]
pub(super) struct TempoField {
    pub tempo: Option<Tempo>,
    pub words: String,
    pub unread: bool,
}

/// Reads the content of a `Q:` field; `unit` is the unit note length, which
/// the oldest form counts.
pub(super) fn read(text: &str, unit: Time) -> TempoField {
    let mut field = TempoField::default();
    let mut rest = String::new();
    let mut quoted = false;
    for c in text.chars() {
        match c {
            '"' => quoted = !quoted,
            c if quoted => field.words.push(c),
            c => rest.push(c),
        }
    }
    field.words = field.words.trim().to_owned();
    let rest = rest.trim();
    if rest.is_empty() {
        return field;
    }
    let (beat, count) = match rest.split_once('=') {
        Some((beat, count)) => (length(beat, unit), count),
        None => (Some(unit), rest),
    };
    let digits: String = count.trim().chars().take_while(char::is_ascii_digit).collect();
    let value = beat.and_then(|beat| NoteValue::of(duration(beat)));
    match (value, digits.parse::<u16>()) {
        (Some(value), Ok(per_minute)) if per_minute > 0 => {
            field.tempo = Some(Tempo { value, per_minute });
        }
        _ => field.unread = true,
    }
    field
}

/// `1/4`, `1/4 1/8` (added up), or the old `C` and `C3` (units).
fn length(text: &str, unit: Time) -> Option<Time> {
    let text = text.trim();
    if let Some(times) = text.strip_prefix('C') {
        let times: u8 = if times.is_empty() { 1 } else { times.parse().ok()? };
        return Some(unit * Time::from_integer(i64::from(times)));
    }
    text.split_whitespace()
        .map(written_fraction)
        .try_fold(Time::from_integer(0), |sum, length| crate::time::add(sum, length?))
        .filter(|sum| *sum > Time::from_integer(0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use apoyando_music::Base;

    #[test]
    fn forms_of_the_field() {
        let unit = Time::new(1, 8);
        let quarter = |n| Some(Tempo { value: NoteValue::plain(Base::Quarter), per_minute: n });
        assert_eq!(read("1/4=96", unit).tempo, quarter(96));
        let both = read("\"Andante\" 1/4 = 72", unit);
        assert_eq!((both.tempo, both.words.as_str()), (quarter(72), "Andante"));
        let eighth = Tempo { value: NoteValue::plain(Base::Eighth), per_minute: 120 };
        assert_eq!(read("120", unit).tempo, Some(eighth));
        let dotted = Tempo { value: NoteValue::dotted(Base::Quarter), per_minute: 40 };
        assert_eq!(read("1/4 1/8=40", unit).tempo, Some(dotted));
        assert!(read("fast", unit).unread);
        assert_eq!(read("\"Lento\"", unit).words, "Lento");
    }
}
