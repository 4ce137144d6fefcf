//! The book's own words: titles, lines under headings, credits.

use apoyando_book::{Book, Credit, Item, ItemKind, Minor, PositionChoice, Section};
use apoyando_fingering::Position;
use apoyando_fretboard::{Fret, Instrument};
use apoyando_music::{Heading, Mode, Score};

use crate::advised::Advised;

/// Plain text as CommonMark that prints the same.
pub fn plain(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\\' | '*' | '_' | '`' | '[' | ']' | '<' | '#' | '&') {
            escaped.push('\\');
        }
        escaped.push(c);
    }
    bound(&escaped)
}

/// Words that are read together, on one line: a circled string with the word before it, a
/// shape such as x32010 with its chord, a fret or finger with its number.
fn bound(text: &str) -> String {
    const STRINGS: usize = 6;
    let is_bound = |word: &str| {
        let of_shape = |c: char| c.is_ascii_digit() || c == 'x';
        let bare = word.trim_end_matches(|c: char| c.is_ascii_punctuation());
        word.starts_with(|c| ('①'..='⑳').contains(&c))
            || bare.len() == STRINGS && bare.chars().all(of_shape) && !bare.starts_with("xxxxxx")
    };
    let mut words = text.split(' ');
    let mut last = words.next().unwrap_or_default();
    let mut joined = last.to_owned();
    for word in words {
        let counted =
            ["fret", "finger"].contains(&last) && word.starts_with(|c: char| c.is_ascii_digit());
        joined.push(if counted || is_bound(word) { '\u{a0}' } else { ' ' });
        joined.push_str(word);
        last = word;
    }
    joined
}

/// The title of an item: the author's, the file's, or what it is.
pub fn title(item: &Item, section: &Section, score: &Score) -> String {
    if let Some(title) = &item.title {
        return title.clone();
    }
    let key = section.key.map(|key| key.to_string()).unwrap_or_default();
    let scale = |minor: Minor| match section.key.map(|key| key.mode()) {
        Some(Mode::Minor) => {
            let tonic = section.key.map(|key| key.tonic().to_string()).unwrap_or_default();
            let kind = match minor {
                Minor::Natural => "natural",
                Minor::Harmonic => "harmonic",
                Minor::Melodic => "melodic",
            };
            format!("{tonic} {kind} minor")
        }
        _ => key.clone(),
    };
    match &item.kind {
        ItemKind::Scale(it) => format!("Scale of {}, one octave", scale(it.exercise.minor)),
        ItemKind::PositionScale(it) => {
            format!("Scale of {} through the whole position", scale(it.minor))
        }
        ItemKind::Arpeggio(_) => format!("Arpeggio on the tonic of {key}"),
        ItemKind::Triads(it) => format!("Triads on {} on three adjacent strings", it.degree),
        ItemKind::Progression(it) => {
            let degrees: Vec<String> = it.degrees.iter().map(ToString::to_string).collect();
            format!("Progression {}", degrees.join(" "))
        }
        ItemKind::Solo(piece) | ItemKind::Duet(piece, _) => match score.heading().title.as_str() {
            "" => piece.file.clone(),
            title => title.to_owned(),
        },
        ItemKind::Text(_) => String::new(),
    }
}

/// The position of a section: the author's or the one advised.
pub fn section_position(book: &Book, section: &Section, advised: &Advised) -> Option<Position> {
    match (section.position, section.key) {
        (PositionChoice::At(position), _) => Some(position),
        (PositionChoice::Auto, Some(key)) => advised
            .of(key, &book.instrument, &section.level.level)
            .best()
            .map(|report| report.position),
        (PositionChoice::Auto, None) => None,
    }
}

/// The line under a section's heading: key and position.
pub fn section_line(section: &Section, position: Option<Position>) -> String {
    let key = section.key.map(|key| key.to_string());
    let position = position.map(|at| format!("position {at}"));
    let mut said: Vec<String> = Vec::new();
    // A heading that is the key's name already need not say it twice.
    said.extend(key.filter(|key| !section.title.contains(key.as_str())));
    said.extend(position);
    let line = said.join(", ");
    let mut letters = line.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Who composed and who arranged.
pub fn composer(heading: &Heading) -> String {
    match (heading.composer.as_str(), heading.arranger.as_str()) {
        ("", "") => String::new(),
        (composer, "") => composer.to_owned(),
        ("", arranger) => format!("arr. {arranger}"),
        (composer, arranger) => format!("{composer}, arr. {arranger}"),
    }
}

/// The tuning line; empty where nothing is unusual.
pub fn tuning(instrument: &Instrument) -> String {
    let mut said = Vec::new();
    if !instrument.tuning.is_standard() {
        let usual = Instrument::guitar().tuning;
        let strings: Vec<String> = instrument
            .tuning
            .strings()
            .filter(|string| instrument.tuning.open(*string) != usual.open(*string))
            .filter_map(|string| {
                instrument.tuning.open(string).map(|pitch| format!("{string} to {}", pitch.name()))
            })
            .collect();
        if !strings.is_empty() {
            said.push(format!("Tune {}", strings.join(", ")));
        }
    }
    if instrument.capo != Fret::OPEN {
        said.push(format!("Capo at fret {}", instrument.capo));
    }
    said.join("; ")
}

/// The credit of a piece, from its heading.
pub fn credit(score: &Score) -> Option<Credit> {
    let heading = score.heading();
    let said: Vec<&str> = [&heading.composer, &heading.arranger, &heading.source, &heading.rights]
        .into_iter()
        .map(String::as_str)
        .filter(|said| !said.is_empty())
        .collect();
    (!said.is_empty()).then(|| Credit { what: heading.title.clone(), who: said.join("; ") })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_read_together_is_not_parted() {
        let said = plain("You can hold V: C x3205x and G 320003. A5 on ①, B on ② and ③.");
        let whole = "You can hold V: C\u{a0}x3205x and G\u{a0}320003. A5 on\u{a0}①, B on\u{a0}② and\u{a0}③.";
        assert_eq!(said, whole);
    }

    #[test]
    fn plain_text_stays_plain() {
        assert_eq!(plain("C#, *not* [x]"), "C\\#, \\*not\\* \\[x\\]");
    }

    #[test]
    fn unusual_tunings_are_said() {
        let guitar = Instrument::guitar();
        assert_eq!(tuning(&guitar), "");
        let dropped = Instrument { tuning: "D2 A2 D3 G3 B3 E4".parse().unwrap(), ..guitar.clone() };
        assert_eq!(tuning(&dropped), "Tune ⑥ to D");
        let lute =
            Instrument { tuning: "E2 A2 D3 F#3 B3 E4".parse().unwrap(), capo: Fret(3), ..guitar };
        assert_eq!(tuning(&lute), "Tune ③ to F♯; Capo at fret 3");
    }
}
