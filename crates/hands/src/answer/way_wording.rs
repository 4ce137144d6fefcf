//! Spots and ways out in words.

use apoyando_fingering::{Pin, PinAuthor, Price};
use apoyando_fretboard::StringNumber;
use apoyando_music::ToneId;

use super::clash::{Clash, ClashRule};
use super::findings::in_words;
use super::ways_out::{QuestionChange, WayOut};
use crate::solved::Weighed;

/// What the words are about.
pub(crate) struct Wording<'a> {
    pub weighed: &'a Weighed<'a>,
    pub layer: usize,
}

impl Wording<'_> {
    /// A note as it sounds and, where that differs, as it is written.
    pub fn name(&self, tone: ToneId) -> String {
        let problem = &self.weighed.problem;
        let pitch = self.weighed.tones.get(tone).pitch;
        match problem.score.part(problem.part).clef.octaves_up() {
            0 => pitch.to_string(),
            up => format!("{pitch} (written {})", pitch.up_octaves(up)),
        }
    }

    fn names(&self, tones: &[ToneId]) -> String {
        listed(&tones.iter().map(|tone| self.name(*tone)).collect::<Vec<_>>())
    }

    /// What is the matter at a spot.
    pub fn spot(&self, left_out: &[ToneId], clashes: &[Clash], broken: u32) -> String {
        let mut said = Vec::new();
        match left_out {
            [] => {}
            [one] => said.push(format!("{} is left out", self.name(*one))),
            some => said.push(format!("{} are left out", self.names(some))),
        }
        said.extend(clashes.iter().map(|clash| self.clash(clash)));
        said.extend(counted(broken, "rule is broken", "rules are broken"));
        said.join("; ")
    }

    /// Which notes clash, and by which rule.
    pub fn clash(&self, clash: &Clash) -> String {
        let names = self.names(&clash.tones);
        match clash.rule {
            ClashRule::Strings => {
                let strings = self.strings(&clash.tones);
                let (have, between) = match clash.tones.len() {
                    2 => ("both need", ""),
                    _ => ("have no other strings than", " between them"),
                };
                format!("{names} {have} {}{between}", listed(&strings))
            }
            ClashRule::Reach => {
                format!("{names} together lie farther apart than a hand reaches")
            }
            ClashRule::Fingers => {
                format!("{names} together need more than four fingers and a barre")
            }
        }
    }

    /// All strings that some notes can be played on.
    fn strings(&self, tones: &[ToneId]) -> Vec<String> {
        let ground = &self.weighed.search.ground;
        let struck = &ground.rules_on(self.layer).struck;
        let here = tones.iter().filter_map(|tone| self.weighed.struck_at(*tone));
        let mut strings: Vec<u8> =
            here.flat_map(|(_, index)| struck[index].candidates.iter().map(|c| c.string)).collect();
        strings.sort_unstable();
        strings.dedup();
        let numbers = strings.into_iter().filter_map(|string| StringNumber::new(string + 1));
        numbers.map(|string| string.to_string()).collect()
    }

    /// A way out, and what it costs.
    pub fn way(&self, way: &WayOut) -> String {
        let change = match way.change {
            QuestionChange::LeaveOut(tone) => format!("leave out {}", self.name(tone)),
            QuestionChange::OctaveUp(tone) => {
                format!("put the bass {} up an octave", self.name(tone))
            }
            QuestionChange::WiderBarre => "allow a wider barre here".to_owned(),
            QuestionChange::AnotherPosition => "allow another position here".to_owned(),
            QuestionChange::FartherExtension => "allow a farther extension here".to_owned(),
            QuestionChange::AnotherFinger => "allow another finger here".to_owned(),
            QuestionChange::HigherFret => "allow a higher fret here".to_owned(),
            QuestionChange::WithoutPin(pin) => format!("without the pin {}", quoted(&pin)),
        };
        let mut said = format!("{change}: {}", costs(self.weighed.price(), way.price));
        let mut still = Vec::new();
        still.extend(counted(way.left_out, "note", "notes").map(|notes| notes + " left out"));
        still.extend(counted(way.broken, "rule", "rules").map(|rules| rules + " broken"));
        if !still.is_empty() {
            said.push_str("; still ");
            said.push_str(&still.join(" and "));
        }
        said
    }
}

fn quoted(pin: &Pin) -> String {
    let whose = match pin.author {
        PinAuthor::Author => "",
        PinAuthor::Import => " of the file",
    };
    format!("“{}”{whose}", in_words(&pin.rule))
}

/// What a price is beside the best.
fn costs(best: Price, price: Price) -> String {
    let mut said = Vec::new();
    let differs = |now: u32, then: u32, one: &str, many: &str| {
        let difference = i64::from(then) - i64::from(now);
        let what = if difference.abs() == 1 { one } else { many };
        let way = if difference > 0 { "more" } else { "fewer" };
        (difference != 0).then(|| format!("{} {what} {way}", difference.abs()))
    };
    said.extend(differs(best.escapes, price.escapes, "note", "notes").map(|s| s + " left out"));
    said.extend(differs(best.broken, price.broken, "rule", "rules").map(|s| s + " broken"));
    match (best.effort, price.effort) {
        (now, then) if then > now => said.push(format!("effort {} more", then - now)),
        (now, then) if then < now => said.push(format!("effort {} less", now - then)),
        _ if said.is_empty() => return "as dear as it is now".to_owned(),
        _ => said.push("the same effort".to_owned()),
    }
    said.join(", ")
}

/// `1 rule`, `2 rules`; nothing for none.
fn counted(count: u32, one: &str, many: &str) -> Option<String> {
    match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        _ => Some(format!("{count} {many}")),
    }
}

/// `A, B and C`.
fn listed(items: &[String]) -> String {
    match items {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => items.concat(),
    }
}
