//! Places in a score as they are typed: notes and bars.

use std::str::FromStr;

use apoyando_book::{BarRange, Beat, PinPlace, PlannedScope};

/// `[PART/]BARS` or `[PART/]BAR:BEAT[:VOICE[:PITCH]]`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlaceFlag {
    /// The part, from 1.
    pub part: u16,
    /// A note or bars of it.
    pub scope: PlannedScope,
}

/// `[PART/]rest`.
pub(super) fn split_part(text: &str) -> Result<(u16, &str), String> {
    match text.split_once('/') {
        // A slash may also stand in a beat like 2 1/3; then a colon is before it.
        Some((part, rest)) if !part.contains(':') => {
            let part = part.trim();
            let number = part.parse().ok().filter(|part| (1..=16).contains(part));
            Ok((number.ok_or_else(|| format!("“{part}” is not a part; count from 1"))?, rest))
        }
        _ => Ok((1, text)),
    }
}

/// `[PART/]BARS`.
pub(super) fn part_and_bars(text: &str) -> Result<(u16, BarRange), String> {
    let (part, bars) = split_part(text)?;
    let bars = bars.parse().map_err(|e: apoyando_book::BarRangeTextError| e.to_string())?;
    Ok((part, bars))
}

impl FromStr for PlaceFlag {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (part, place) = split_part(text)?;
        let scope = if place.contains(':') {
            PlannedScope::Note(note(place)?)
        } else {
            let bars = place.parse::<BarRange>().map_err(|_| {
                format!("“{place}” is neither a note nor bars; write bar and beat, as in 3:2, or bars, as in 3 or 5-8")
            })?;
            PlannedScope::Bars(bars)
        };
        Ok(Self { part, scope })
    }
}

fn note(text: &str) -> Result<PinPlace, String> {
    let fields: Vec<&str> = text.split(':').map(str::trim).collect();
    let (bar, beat, voice, pitch) = match fields[..] {
        [bar, beat] => (bar, beat, "1", None),
        [bar, beat, voice] => (bar, beat, voice, None),
        [bar, beat, voice, pitch] => (bar, beat, voice, Some(pitch)),
        _ => {
            return Err(format!(
                "“{text}” is not a note; write bar, beat and, where needed, voice and pitch, as in 3:2:1:G4"
            ));
        }
    };
    Ok(PinPlace {
        bar: bar.parse().map_err(|_| format!("“{bar}” is not the number of a bar"))?,
        beat: beat.parse::<Beat>().map_err(|error| error.to_string())?,
        voice: voice
            .parse()
            .ok()
            .filter(|voice| (1..=8).contains(voice))
            .ok_or_else(|| format!("“{voice}” is not a voice; they are 1 to 8"))?,
        pitch: pitch
            .map(|pitch| {
                pitch.parse().map_err(|e: apoyando_music::pitch::PitchTextError| e.to_string())
            })
            .transpose()?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_read_as_typed() {
        for (text, part, shown) in [
            ("3:2", 1, "bar 3, beat 2"),
            ("3:2½:2", 1, "bar 3, beat 2½, voice 2"),
            ("2/1:2 1/3:1:E5", 2, "bar 1, beat 2⅓, E5"),
            ("5-8", 1, "bars 5-8"),
            ("2/7", 2, "bars 7"),
        ] {
            let place: PlaceFlag = text.parse().unwrap();
            assert_eq!((place.part, place.scope.to_string()), (part, shown.to_owned()));
        }
        for text in ["", "x", "8-5", "3:0", "3:1:9", "3:1:1:H4", "a/3:2", "0/3", "3:1:1:E4:5"] {
            assert!(text.parse::<PlaceFlag>().is_err(), "{text}");
        }
    }
}
