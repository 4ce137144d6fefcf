//! What a teacher should know about a fingering.

mod left_out;
mod order;
mod pins;
mod rules;
mod second;
mod shortened;
mod written;

pub use pins::in_words;

use apoyando_fingering::{Finding, Fingering, Pin, PinAuthor, Problem, Remedy, Severity};
use apoyando_music::{Moment, Pitch, ToneId, Tones};

use crate::hand::geometry::Geometry;
use crate::heard::Music;
use crate::when;

/// Everything needed to speak of a fingering.
pub(crate) struct Told<'a> {
    pub problem: &'a Problem<'a>,
    pub tones: &'a Tones,
    pub music: &'a Music,
    pub geometry: &'a Geometry,
    /// The pins that count.
    pub pins: &'a [Pin],
    pub fingering: &'a Fingering,
}

/// Taking back those of some pins that the author of the book can take back, each once.
pub(crate) fn releases<'a>(pins: impl IntoIterator<Item = &'a Pin>) -> Vec<Remedy> {
    let mut remedies = Vec::new();
    for pin in pins.into_iter().filter(|pin| pin.author == PinAuthor::Author) {
        let remedy = Remedy::Release(*pin);
        if !remedies.contains(&remedy) {
            remedies.push(remedy);
        }
    }
    remedies
}

/// All findings in the order of the bars, those of the right hand last.
pub(crate) fn findings(told: &Told<'_>, right: Vec<Finding>) -> Vec<Finding> {
    let mut found: Vec<(Moment, Finding)> = Vec::new();
    told.order_of_play(&mut found);
    told.contradictions(&mut found);
    told.left_out(&mut found);
    told.broken(&mut found);
    told.joins_not_made(&mut found);
    told.ornaments_not_made(&mut found);
    told.not_taken_over(&mut found);
    told.cut_short(&mut found);
    told.rings_on(&mut found);
    told.hurried_seams(&mut found);
    found.sort_by_key(|(at, _)| *at);
    found.into_iter().map(|(_, finding)| finding).chain(right).collect()
}

type Found = Vec<(Moment, Finding)>;

impl Told<'_> {
    fn say(
        &self,
        found: &mut Found,
        at: Moment,
        rule: (&'static str, Severity),
        message: String,
        remedy: Option<String>,
    ) {
        self.offer(found, at, rule, message, (remedy, Vec::new()));
    }

    /// Says what is the matter, what can be done, and what of it the program can do.
    fn offer(
        &self,
        found: &mut Found,
        at: Moment,
        (rule, severity): (&'static str, Severity),
        message: String,
        (remedy, remedies): (Option<String>, Vec<Remedy>),
    ) {
        let place = when::place(self.problem.score, self.problem.part, at);
        found.push((at, Finding { rule, severity, place, message, remedy, remedies }));
    }

    /// The pitch as it sounds and, where that differs, as it is written.
    fn name(&self, pitch: Pitch) -> String {
        let up = self.problem.score.part(self.problem.part).clef.octaves_up();
        if up == 0 {
            pitch.to_string()
        } else {
            format!("{pitch} (written {})", pitch.up_octaves(up))
        }
    }

    fn name_of(&self, tone: ToneId) -> String {
        self.name(self.tones.get(tone).pitch)
    }
}
