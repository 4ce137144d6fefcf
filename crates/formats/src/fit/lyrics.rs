//! Lyrics of a voice: one syllable of a verse at a note, and how far syllables are
//! held.

use apoyando_music::{Lyric, Sung, Verse};

use crate::report::Report;
use crate::rough::{RoughEvent, RoughLyric, RoughSung};

/// Most verses under a staff.
pub(crate) const MOST_VERSES: u8 = 8;

/// What is sung to an event, once in a verse.
pub(super) fn of_event(event: &RoughEvent, report: &mut Report) -> Vec<Lyric> {
    let mut lyrics: Vec<Lyric> = Vec::with_capacity(event.lyrics.len());
    for RoughLyric { verse, sung } in &event.lyrics {
        let sung = match sung.clone() {
            RoughSung::Syllable { text, goes_on, .. } => Sung::Syllable { text, goes_on },
            RoughSung::Held => Sung::Held,
        };
        let lyric = Lyric { verse: *verse, sung };
        if event.notes.is_empty() {
            report.not_read("lyric at a rest");
        } else if !(1..=MOST_VERSES).contains(&verse.0) {
            report.not_read(&format!("verse {} of more than {MOST_VERSES}", verse.0));
        } else if lyrics.iter().all(|known| known.verse != *verse) {
            lyrics.push(lyric);
        } else if !lyrics.contains(&lyric) {
            report.not_read(&format!("second syllable of verse {} at one note", verse.0));
        }
    }
    lyrics
}

/// An event of a voice: its bar and its place in it.
type At = (usize, usize);

/// The events since a syllable that is held, which have none of its verse.
#[derive(Default)]
struct Run {
    verse: u8,
    events: Vec<At>,
    /// How many of them stand before the last that the file itself names.
    named: Option<usize>,
}

impl Run {
    fn held(self) -> impl Iterator<Item = (u8, At)> {
        let count = self.named.unwrap_or(self.events.len());
        self.events.into_iter().take(count).map(move |event| (self.verse, event))
    }
}

/// Where a file says only that a syllable is held, it is until the next one or a
/// rest; where it says until when, all in between is held.
pub(super) fn hold(voice: &mut [Vec<RoughEvent>]) {
    let mut open: Vec<Run> = Vec::new();
    let mut held: Vec<(u8, At)> = Vec::new();
    for (bar, events) in voice.iter().enumerate() {
        for (index, event) in events.iter().enumerate() {
            if event.notes.is_empty() {
                held.extend(open.drain(..).flat_map(Run::held));
                continue;
            }
            for RoughLyric { verse: Verse(verse), sung } in &event.lyrics {
                let known = open.iter().position(|run| run.verse == *verse);
                match (sung, known) {
                    (RoughSung::Syllable { held: on, .. }, known) => {
                        held.extend(known.into_iter().flat_map(|at| open.remove(at).held()));
                        if *on {
                            open.push(Run { verse: *verse, ..Run::default() });
                        }
                    }
                    (RoughSung::Held, Some(at)) => open[at].named = Some(open[at].events.len()),
                    (RoughSung::Held, None) => {}
                }
            }
            for run in &mut open {
                if event.lyrics.iter().all(|lyric| lyric.verse.0 != run.verse) {
                    run.events.push((bar, index));
                }
            }
        }
    }
    held.extend(open.into_iter().flat_map(Run::held));
    for (verse, (bar, index)) in held {
        let lyric = RoughLyric { verse: Verse(verse), sung: RoughSung::Held };
        voice[bar][index].lyrics.push(lyric);
    }
}
