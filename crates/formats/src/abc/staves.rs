//! Which voices share a staff, and the parts they make.

use apoyando_fingering::Severity;
use apoyando_fretboard::Instrument;
use apoyando_music::Clef;

use super::voice::VoiceState;
use crate::fit::merge;
use crate::report::Report;
use crate::rough::{RoughBar, RoughClef, RoughPart};
use crate::time::zero;

/// Reads a `score` or `staves` directive: the voices of each staff. Voices in
/// parentheses share one.
pub(super) fn groups(text: &str) -> Vec<Vec<String>> {
    let mut groups: Vec<Vec<String>> = Vec::new();
    let mut joined = false;
    let mut word = String::new();
    for c in text.chars().chain([' ']) {
        if !(c.is_whitespace() || matches!(c, '(' | ')' | '{' | '}' | '[' | ']' | '|' | '*')) {
            word.push(c);
            continue;
        }
        if !word.is_empty() {
            let word = std::mem::take(&mut word);
            match groups.last_mut() {
                Some(last) if joined && !last.is_empty() => last.push(word),
                Some(last) if joined => last.push(word),
                _ => groups.push(vec![word]),
            }
        }
        match c {
            '(' => {
                joined = true;
                groups.push(Vec::new());
            }
            ')' => joined = false,
            _ => {}
        }
    }
    groups.retain(|group| !group.is_empty());
    groups
}

/// Joins the voices to parts on one grid of bars.
pub(super) fn parts(
    mut voices: Vec<VoiceState>,
    groups: &[Vec<String>],
    report: &mut Report,
) -> (Vec<RoughBar>, Vec<RoughPart>) {
    voices.retain(|voice| !voice.bars.is_empty());
    let mut staves: Vec<Vec<VoiceState>> = Vec::new();
    for group in groups {
        let staff: Vec<VoiceState> = group
            .iter()
            .filter_map(|id| {
                let at = voices.iter().position(|voice| voice.id == *id)?;
                Some(voices.remove(at))
            })
            .collect();
        if !staff.is_empty() {
            staves.push(staff);
        }
    }
    staves.extend(voices.into_iter().map(|voice| vec![voice]));
    let mut bars = Vec::new();
    let mut parts = Vec::with_capacity(staves.len());
    let several = staves.iter().flatten().count() > 1;
    for staff in staves {
        let clef = staff[0].clef;
        let mut name = String::new();
        let mut lanes = Vec::new();
        let mut overlays = Vec::new();
        let mut loudness = Vec::new();
        let mut words = Vec::new();
        for mut voice in staff {
            if name.is_empty() {
                name = std::mem::take(&mut voice.name);
            }
            report.part = several.then(|| format!("voice {}", voice.id));
            merge::bars(&mut bars, std::mem::take(&mut voice.bars), report);
            if clef.clef == RoughClef::Stated(Clef::Guitar) && !voice.clef.named && clef.named {
                lower(&mut voice, clef.octaves);
            }
            let mut split = std::mem::take(&mut voice.lanes).into_iter();
            lanes.extend(split.next());
            loudness.append(&mut voice.loudness);
            words.append(&mut voice.words);
            overlays.extend(split);
        }
        lanes.append(&mut overlays);
        parts.push(RoughPart {
            guitar: name.to_lowercase().contains("guit"),
            name,
            clef: clef.clef,
            instrument: Instrument::guitar(),
            voices: lanes,
            loudness,
            words,
            // ABC has no sign for a bar that is repeated.
            bar_repeats: Vec::new(),
            // Nor for small notes and other ways.
            ossia: Vec::new(),
            cues: Vec::new(),
            cue_names: Vec::new(),
        });
    }
    report.part = None;
    report_short(&parts, bars.len(), report);
    (bars, parts)
}

/// A voice without a clef of its own sounds as its staff does.
fn lower(voice: &mut VoiceState, octaves: i8) {
    let events = voice.lanes.iter_mut().flatten().flatten();
    for pitch in events.flat_map(|event| event.pitches()) {
        *pitch = pitch.up_octaves(octaves - voice.clef.octaves);
    }
}

/// Names the bars in which a voice ends before the others.
fn report_short(parts: &[RoughPart], bars: usize, report: &mut Report) {
    for index in 0..bars {
        let ends = || {
            let lanes = parts.iter().flat_map(|part| &part.voices);
            lanes.filter_map(move |lane| {
                let last = lane.get(index)?.last()?;
                Some((last.onset + last.length, last.line))
            })
        };
        let longest = ends().map(|(end, _)| end).max().unwrap_or_else(zero);
        if let Some((_, line)) = ends().find(|(end, _)| *end < longest) {
            report.bar = Some(index);
            report.line = Some(line);
            report.add(
                Severity::Warning,
                "voice-too-short",
                "a voice ends before the others; it is filled with a hidden rest".to_owned(),
                Some("add what is missing, or x for a rest that is not printed"),
            );
        }
    }
    report.bar = None;
    report.line = None;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parentheses_join_voices() {
        assert_eq!(groups("(1 2) 3"), [vec!["1", "2"], vec!["3"]]);
        assert_eq!(groups("{RH | LH}"), [["RH"], ["LH"]]);
        assert_eq!(groups("[1 (2 3)]"), [vec!["1"], vec!["2", "3"]]);
    }
}
