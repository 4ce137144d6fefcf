//! Bar lines, repeats and endings.

use apoyando_music::{BarEnd, Ending};

use super::chars::Chars;
use super::voice::VoiceState;

/// What a bar line says.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Barline {
    /// How often the section that ends here is played.
    pub repeat_end: Option<u8>,
    pub repeat_start: bool,
    pub end: BarEnd,
    /// The passes of an ending that begins here.
    pub passes: Vec<u8>,
    /// There is a line, not only the beginning of an ending.
    pub line: bool,
}

/// Reads a bar line, if one begins here. Writers combine colons, bars and
/// brackets freely, so any combination is read by its parts.
pub(super) fn read(chars: &mut Chars) -> Option<Barline> {
    let begins = match (chars.peek()?, chars.peek_at(1)) {
        ('|' | ':', _) => true,
        ('.', Some('|')) => true,
        ('[', Some(next)) => next == '|' || next == ']' || next == '"' || next.is_ascii_digit(),
        _ => false,
    };
    if !begins {
        return None;
    }
    let mut barline = Barline::default();
    chars.take('.');
    let (mut before, mut after, mut bars, mut thick) = (0u8, 0u8, 0u32, false);
    loop {
        match chars.peek() {
            Some('|') => {
                bars += 1;
                if after > 0 {
                    before = before.saturating_add(std::mem::take(&mut after));
                }
            }
            Some(':') if bars == 0 => before = before.saturating_add(1),
            Some(':') => after = after.saturating_add(1),
            Some(']') => {
                thick = bars > 0;
                bars += 1;
            }
            Some('[') if matches!(chars.peek_at(1), Some('|' | ']')) => {}
            _ => break,
        }
        chars.next();
    }
    if bars == 0 && before >= 2 {
        // Two colons close one repeat and open the next.
        after = before / 2;
        before -= after;
    }
    barline.line = bars > 0 || before > 0;
    barline.repeat_end = (before > 0).then(|| before.saturating_add(1));
    barline.repeat_start = after > 0;
    barline.end = match (thick, bars) {
        _ if before > 0 || after > 0 => BarEnd::Plain,
        (true, _) => BarEnd::Final,
        (false, 2..) => BarEnd::Double,
        _ => BarEnd::Plain,
    };
    let bracket = chars.peek() == Some('[')
        && chars.peek_at(1).is_some_and(|c| c.is_ascii_digit() || c == '"');
    if bracket {
        chars.next();
    }
    if chars.peek().is_some_and(|c| c.is_ascii_digit()) {
        let list = chars.take_while(|c| c.is_ascii_digit() || c == ',' || c == '-');
        barline.passes = passes(&list);
    } else if bracket && chars.take('"') {
        let text = chars.take_until('"').unwrap_or_default();
        let digits: String = text.chars().filter(char::is_ascii_digit).collect();
        barline.passes = passes(&digits);
    }
    Some(barline)
}

/// `1`, `1,3`, `1-3`.
fn passes(list: &str) -> Vec<u8> {
    let mut passes = Vec::new();
    for item in list.split(',').filter(|item| !item.is_empty()) {
        match item.split_once('-') {
            Some((from, to)) => {
                if let (Ok(from), Ok(to)) = (from.parse::<u8>(), to.parse::<u8>()) {
                    passes.extend(from..=to);
                }
            }
            None => passes.extend(item.parse::<u8>()),
        }
    }
    passes.retain(|pass| *pass > 0);
    passes
}

/// Whether two single bar lines of one line of text have no music between them.
/// What repeats and endings are made of may stand in pieces, and a line of
/// music may begin with a bar line.
pub(super) fn stand_together(voice: &VoiceState, barline: &Barline, line: u32) -> bool {
    let single = *barline == Barline { line: true, ..Barline::default() };
    let after_single = voice.bars.last().is_some_and(|bar| {
        bar.end == BarEnd::Plain && bar.repeat_end.is_none() && voice.bar.line == line
    });
    single && after_single && !voice.begun && !voice.bar.repeat_start && !voice.in_ending
}

/// Lets a bar line take effect on a voice.
pub(super) fn apply(voice: &mut VoiceState, barline: Barline, line: u32) {
    let closes = barline.repeat_end.is_some()
        || barline.repeat_start
        || barline.end != BarEnd::Plain
        || !barline.passes.is_empty();
    if voice.begun {
        voice.end_bar(line);
    }
    // Without music since the last line, both are one.
    if let Some(last) = voice.bars.last_mut() {
        last.repeat_end = last.repeat_end.max(barline.repeat_end);
        if barline.end != BarEnd::Plain {
            last.end = barline.end;
        }
        if voice.in_ending && closes {
            if let Some(ending) = &mut last.ending {
                ending.last = true;
            }
            voice.in_ending = false;
            voice.bar.ending = None;
        }
    }
    voice.bar.repeat_start |= barline.repeat_start;
    if !barline.passes.is_empty() {
        voice.bar.ending = Some(Ending { passes: barline.passes, first: true, last: false });
        voice.in_ending = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(text: &str) -> Barline {
        read(&mut Chars::of(text)).unwrap()
    }

    #[test]
    fn bar_lines_are_told_apart() {
        assert_eq!(line("|").end, BarEnd::Plain);
        assert_eq!(line("||").end, BarEnd::Double);
        assert_eq!(line("|]").end, BarEnd::Final);
        assert!(line("|:").repeat_start && line("|:").repeat_end.is_none());
        assert_eq!(line(":|").repeat_end, Some(2));
        for both in ["::", ":|:", ":||:", ":|]|:"] {
            let line = line(both);
            assert!(line.repeat_start && line.repeat_end == Some(2), "{both} {line:?}");
        }
        assert_eq!(line("::|").repeat_end, Some(3));
        assert_eq!(line("|1,3").passes, [1, 3]);
        assert_eq!(line("[1-3").passes, [1, 2, 3]);
        let second = line(":|2");
        assert_eq!((second.repeat_end, second.passes), (Some(2), vec![2]));
        assert!(read(&mut Chars::of("[CEG]")).is_none());
    }

    #[test]
    fn a_chord_after_a_bar_line_is_left_alone() {
        let mut chars = Chars::of("|[CEG]");
        assert!(read(&mut chars).unwrap().passes.is_empty());
        assert_eq!(chars.peek(), Some('['));
    }
}
