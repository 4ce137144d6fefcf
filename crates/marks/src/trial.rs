//! Scores with their fingering from a line of text, for the tests.
//!
//! `8 @1 3.0.0i 3.2.2m+1.0.0a r | …`: a bare number sets the value (8 is an
//! eighth), `@n` the position, `string.fret.finger` is a note with a letter for
//! the right hand, `+` joins a chord, `^` after it is a strum, `~` ties to the next, `r` is a rest, `|` a
//! barline, `|:` one at which a repeat begins, `|1` and `|2` one before an ending (bars are filled with a hidden rest at the end), `[3:1-6` lays a
//! barre at fret 3 over ① to ⑥ and `]` lifts it after the last note. `/` begins
//! the second voice.

use apoyando_fingering::{
    Barre, BarreSpan, Fingering, LeftFinger, Placement, Position, PositionSpan, Posture, Price,
    RightFinger, Shift, ToneFingering,
};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Duration, Ending, EventMark,
    KeyNumber, KeySignature, Metre, Moment, NoteValue, PartIndex, Pitch, Score, Step, Sweep,
};

use crate::LeftMark;
use crate::mark::mark;
use crate::marks::{Density, Marks};
use crate::sounds::{Sound, sounds};

/// A score with a fingering.
pub struct Trial {
    pub score: Score,
    pub fingering: Fingering,
}

impl Trial {
    pub fn sounds(&self) -> Vec<Sound> {
        sounds(&self.score, self.fingering.part, &self.fingering)
    }

    pub fn marked(&self, density: Density) -> Marks {
        mark(&self.score, &self.fingering, &Instrument::guitar(), density)
    }

    pub fn needed(&self) -> Marks {
        self.marked(Density::WhereNeeded)
    }
}

/// The digits that are needed, a dot for a note without one.
pub fn digits(text: &str) -> String {
    let digit = |mark: LeftMark| mark.finger.map_or(0, |finger| finger.digit());
    let marks = trial(text).needed().left;
    marks.iter().map(|mark| mark.map_or("·".to_owned(), |it| digit(it).to_string())).collect()
}

/// The barre marks with the strings they are over and the onsets they are from and to.
pub fn barres(text: &str) -> Vec<String> {
    let marks = trial(text).needed().barres;
    let told = marks.iter().map(|mark| {
        let (thin, thick) = (mark.barre.thin.get(), mark.barre.thick.get());
        let (from, to) = (mark.from.since_start(), mark.to.since_start());
        format!("{thin}-{thick} {from}..{to}")
    });
    told.collect()
}

struct Played {
    at: Moment,
    key: KeyNumber,
    placement: Placement,
    right: Option<RightFinger>,
    position: Position,
}

/// Reads a trial; any fault in the text is a fault of the test.
pub fn trial(text: &str) -> Trial {
    let mut played: Vec<Played> = Vec::new();
    let mut barres = Vec::new();
    let mut voices = Vec::new();
    let mut position = Position::FIRST;
    for voice in text.split('/') {
        voices.push(read_voice(voice, &mut position, &mut played, &mut barres));
    }
    let count = voices.iter().map(Vec::len).max().unwrap();
    let mut bars: Vec<DraftBar> = (1..=count as u32)
        .map(|number| DraftBar::new(number, Metre::COMMON, KeySignature::NONE))
        .collect();
    let barlines = text.split('/').next().unwrap().split_whitespace();
    for (index, sign) in barlines.filter_map(|token| token.strip_prefix('|')).enumerate() {
        let pass = sign.parse().ok();
        bars[index + 1].repeat_start = sign == ":";
        bars[index + 1].ending =
            pass.map(|pass| Ending { passes: vec![pass], first: true, last: true });
    }
    let score = Score::assemble(Draft {
        bars,
        parts: vec![DraftPart { voices, ..DraftPart::guitar(String::new()) }],
        ..Draft::default()
    })
    .unwrap();
    let fingering = fingering(&score, played, barres);
    Trial { score, fingering }
}

fn read_voice(
    text: &str,
    position: &mut Position,
    played: &mut Vec<Played>,
    barres: &mut Vec<BarreSpan>,
) -> Vec<Vec<DraftEvent>> {
    let mut value = NoteValue::plain(Base::Quarter);
    let mut bars: Vec<Vec<DraftEvent>> = vec![Vec::new()];
    let mut at = Moment::START;
    let mut last = at;
    let mut laid = None;
    for token in text.split_whitespace() {
        if let Some(number) = token.strip_prefix('@') {
            *position = Position::new(number.parse().unwrap()).unwrap();
        } else if let Some(barre) = token.strip_prefix('[') {
            laid = Some((at, read_barre(barre)));
        } else if token == "]" {
            let (from, barre) = laid.take().unwrap();
            barres.push(BarreSpan { barre, from, to: last });
        } else if token.starts_with('|') {
            at = Moment::START + Duration::new(bars.len() as i64, 1);
            bars.push(Vec::new());
        } else if let Ok(number) = token.parse::<i64>() {
            value = NoteValue::of(Duration::new(1, number)).unwrap();
        } else if token == "r" {
            bars.last_mut().unwrap().push(DraftEvent::rest(value));
            at += value.duration();
        } else {
            let mut event = DraftEvent::rest(value);
            let strum = token.ends_with('^').then_some(EventMark::Strum(Sweep::ToTreble));
            event.marks.extend(strum);
            for note in token.trim_end_matches('^').split('+') {
                let (pitch, placement, right, tied) = read_note(note);
                let key = pitch.key_number();
                event.notes.push(DraftNote { tied, ..DraftNote::new(pitch) });
                played.push(Played { at, key, placement, right, position: *position });
            }
            bars.last_mut().unwrap().push(event);
            last = at;
            at += value.duration();
        }
    }
    for bar in &mut bars {
        let filled: Duration = bar.iter().map(|event| event.value.duration()).sum();
        let mut rest = Duration::WHOLE - filled;
        while rest > Duration::ZERO {
            let base = Base::ALL.into_iter().find(|base| base.duration() <= rest).unwrap();
            bar.push(DraftEvent::gap(NoteValue::plain(base)));
            rest = rest - base.duration();
        }
    }
    bars
}

fn read_note(text: &str) -> (Pitch, Placement, Option<RightFinger>, bool) {
    let tied = text.ends_with('~');
    let text = text.trim_end_matches('~');
    let right = text.chars().last().and_then(RightFinger::from_letter);
    let numbers: Vec<u8> = text
        .trim_end_matches(|c: char| c.is_alphabetic())
        .split('.')
        .map(|number| number.parse().unwrap())
        .collect();
    let place = Place { string: StringNumber::new(numbers[0]).unwrap(), fret: Fret(numbers[1]) };
    let key = Instrument::guitar().sound(place).unwrap();
    let pitch = (0..=1)
        .flat_map(|alter| {
            [Step::C, Step::D, Step::E, Step::F, Step::G, Step::A, Step::B]
                .map(|step| (step, alter))
        })
        .flat_map(|(step, alter)| (1..=6).map(move |octave| Pitch::of(step, alter, octave)))
        .find(|pitch| pitch.key_number() == key)
        .unwrap();
    (pitch, Placement { place, finger: LeftFinger::from_digit(numbers[2]) }, right, tied)
}

fn read_barre(text: &str) -> Barre {
    let (fret, strings) = text.split_once(':').unwrap();
    let (thin, thick) = strings.split_once('-').unwrap();
    let string = |text: &str| StringNumber::new(text.parse().unwrap()).unwrap();
    Barre { fret: Fret(fret.parse().unwrap()), thin: string(thin), thick: string(thick) }
}

fn fingering(score: &Score, played: Vec<Played>, barres: Vec<BarreSpan>) -> Fingering {
    let part = PartIndex(0);
    let of = |onset: Moment, key: KeyNumber| {
        played.iter().find(|note| (note.at, note.key) == (onset, key)).unwrap()
    };
    let tones = score.tones(part);
    let mut postures: Vec<Posture> = Vec::new();
    let mut positions: Vec<PositionSpan> = Vec::new();
    let mut shifts: Vec<Shift> = Vec::new();
    for layer in tones.as_slice().chunk_by(|a, b| a.onset == b.onset) {
        let at = layer[0].onset;
        let sounding: Vec<_> =
            layer.iter().map(|tone| (tone.id, of(at, tone.pitch.key_number()).placement)).collect();
        let idle = sounding.iter().all(|(_, placement)| placement.finger.is_none());
        let position = of(at, layer[0].pitch.key_number()).position;
        let posture = Posture {
            at,
            position: Some(position),
            away: None,
            idle,
            sounding,
            barre: barres.iter().find(|it| it.from <= at && at <= it.to).map(|it| it.barre),
            hinge: None,
            staying: Vec::new(),
            bound: Vec::new(),
        };
        match positions.last_mut() {
            Some(span) if idle || span.position == position => span.to = at,
            _ if idle => {}
            last => {
                if let Some(from) = last.map(|span| span.position) {
                    let before = postures.last().unwrap();
                    let guide = posture.sounding.iter().find_map(|(_, now)| {
                        let finger = now.finger?;
                        let slid = before.of_finger(finger).any(|then| {
                            then.place.string == now.place.string
                                && then.place.fret != now.place.fret
                        });
                        slid.then_some((finger, now.place.string))
                    });
                    let over_open = before.idle;
                    shifts.push(Shift { at, from, to: position, guide, pivot: None, over_open });
                }
                positions.push(PositionSpan { position, from: at, to: at });
            }
        }
        postures.push(posture);
    }
    Fingering {
        revision: score.revision(),
        part,
        tones: tones
            .as_slice()
            .iter()
            .map(|tone| {
                let note = of(tone.onset, tone.pitch.key_number());
                ToneFingering {
                    second: None,
                    left: Some(note.placement),
                    right: note.right,
                    stroke: None,
                    sounds_until: tone.end,
                    joined: false,
                }
            })
            .collect(),
        postures,
        positions,
        hops: Vec::new(),
        barres,
        shifts,
        seams: Vec::new(),
        let_go: Vec::new(),
        price: Price::default(),
        items: Vec::new(),
    }
}
