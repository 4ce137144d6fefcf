//! Lyrics, verse by verse.

use std::collections::BTreeMap;

use apoyando_music::{ELISION, Event, Lyric, Sung, Verse, Voice};

use super::xml::Xml;

/// What is under way in a voice, of each verse whether a word goes on.
#[derive(Default)]
pub(super) struct Words(BTreeMap<Verse, bool>);

impl Words {
    /// Writes what is sung to an event of a voice.
    pub(super) fn write(&mut self, xml: &mut Xml, voice: &Voice, event: &Event) {
        for Lyric { verse, sung } in &event.lyrics {
            let held = next(voice, event, *verse) == Some(&Sung::Held);
            xml.open("lyric", &[("number", &verse.0.to_string())]);
            match sung {
                Sung::Syllable { text, goes_on } => {
                    let comes = self.0.insert(*verse, *goes_on).unwrap_or(false);
                    syllable(xml, text, (comes, *goes_on));
                    if held {
                        xml.empty("extend", &[("type", "start")]);
                    }
                }
                Sung::Held => {
                    let kind = if held { "continue" } else { "stop" };
                    xml.empty("extend", &[("type", kind)]);
                }
            }
            xml.close();
        }
    }
}

/// Syllables bound on one note are parted by an elision.
fn syllable(xml: &mut Xml, text: &str, (comes, goes_on): (bool, bool)) {
    let syllabic = match (comes, goes_on) {
        (false, false) => "single",
        (false, true) => "begin",
        (true, true) => "middle",
        (true, false) => "end",
    };
    for (index, part) in text.split(ELISION).enumerate() {
        if index == 0 {
            xml.text("syllabic", &[], syllabic);
        } else {
            xml.text("elision", &[], &ELISION.to_string());
        }
        xml.text("text", &[], part);
    }
}

/// What the verse has at the next event that has something of it.
fn next<'a>(voice: &'a Voice, event: &Event, verse: Verse) -> Option<&'a Sung> {
    let begun = |bar: &Vec<Event>| bar.last().is_none_or(|last| last.onset <= event.onset);
    let events = voice.bars.iter().skip_while(|bar| begun(bar)).flatten();
    events
        .skip_while(|next| next.onset <= event.onset)
        .flat_map(|next| &next.lyrics)
        .find(|lyric| lyric.verse == verse)
        .map(|lyric| &lyric.sung)
}
