//! From a score to what is drawn: heads on their steps, accidentals, dots,
//! stem directions, beam groups, rests. Horizontal places are still relative
//! to the onset: 0 is the left edge of a normally placed head.

mod accidentals;
mod beams;
pub mod beside;
pub mod breaths;
mod collect;
mod columns;
mod contour;
pub mod cues;
mod dots;
mod glides;
mod graces;
mod heads;
mod joined;
pub mod loudness;
pub mod lyrics;
pub mod ornaments;
pub mod ossias;
pub mod resting;
mod rests;
mod sides;
mod slurs;
mod stems;
pub mod strings;
mod wishes;

use apoyando_fretboard::StringNumber;
use apoyando_music::{
    BarIndex, Clef, Duration, EventMark, Moment, NoteId, NoteValue, PartIndex, Pitch, Score, Voice,
    VoiceNumber, WavyLine,
};

use collect::collect;

pub use beside::Beside;
pub use columns::{has_ledgers, ledgers};
pub use contour::Contour;
pub use dots::offset as dot_offset;
pub use glides::Glide;
pub use heads::has_stem;
pub use sides::Sides;
pub use slurs::Slur;
pub use stems::{flag, free_tip, stem_start, stem_x};
pub use strings::CENTRE;
pub use wishes::Wishes;

use crate::Sheet;
use crate::font::Glyph;
use crate::geometry::Side;
use crate::graces::GraceGroup;
use crate::signs::Front;
use crate::style::Style;
use crate::tablature;

/// A part with everything that is drawn for it, bar by bar.
#[derive(Clone, Debug)]
pub struct Staff {
    pub part: PartIndex,
    pub clef: Clef,
    /// The thickest string, where it is tablature that stands alone.
    pub strings: Option<StringNumber>,
    pub bars: Vec<StaffBar>,
    pub slurs: Vec<Slur>,
    pub glides: Vec<Glide>,
    /// Wavy lines with their voices.
    pub wavy_lines: Vec<(VoiceNumber, WavyLine)>,
    /// What may be played instead of some of its bars.
    pub ossia: Option<Box<Staff>>,
    /// What is sung to it, from the upper row.
    pub lyrics: Vec<lyrics::Row>,
}

impl Staff {
    /// What its lines begin with.
    pub fn front(&self) -> Front {
        self.strings.map_or(Front::Clef(self.clef), tablature::front)
    }
}

/// One bar of one staff.
#[derive(Clone, Debug, Default)]
pub struct StaffBar {
    /// Whether several voices are printed, so that stems and rests take sides.
    pub shared: bool,
    pub sides: Sides,
    pub chords: Vec<Chord>,
    pub rests: Vec<Rest>,
    /// Silences that are not printed.
    pub gaps: Vec<(Moment, Duration)>,
    /// What stands at one onset, in order of onsets.
    pub stacks: Vec<Stack>,
    /// Beam groups: indices of chords.
    pub beams: Vec<Vec<usize>>,
    pub tuplets: Vec<TupletSpan>,
    /// What its dynamics and hairpins want.
    pub loudness: loudness::Rooms,
    /// Printed as a sign for the bar before.
    pub again: bool,
    /// What it is to a long rest.
    pub resting: resting::Resting,
    /// Small notes of another part.
    pub cue: Option<cues::Notated>,
}

impl StaffBar {
    /// Whether what stands outside of a voice stands below the staff: that of the
    /// lower of two.
    pub fn goes_below(&self, voice: VoiceNumber) -> bool {
        self.sides.of(voice) == Some(Side::Lower)
    }
}

/// Notes of one voice struck together.
#[derive(Clone, Debug)]
pub struct Chord {
    pub voice: VoiceNumber,
    /// Index of the event in the voice's bar.
    pub event: usize,
    pub onset: Moment,
    pub duration: Duration,
    pub value: NoteValue,
    pub in_tuplet: bool,
    pub marks: Vec<EventMark>,
    /// Small notes before it.
    pub graces: Vec<graces::Written>,
    /// Whether the stem points up; stemless values have a side, too.
    pub up: bool,
    /// Heads from low to high.
    pub heads: Vec<Head>,
    /// How far the whole chord stands to the right of its onset.
    pub shift: f64,
    /// Left edge of its dots relative to the onset, if it has any.
    pub dots_x: f64,
    /// Beam group it belongs to.
    pub beam: Option<usize>,
}

/// A note head.
#[derive(Clone, Debug)]
pub struct Head {
    pub note: NoteId,
    /// Steps above the middle line.
    pub step: i32,
    pub glyph: &'static Glyph,
    /// Left edge relative to its chord.
    pub x: f64,
    /// Whether it is drawn; of two notes sharing a head only one is.
    pub drawn: bool,
    pub accidental: Option<Accidental>,
    /// Step of its dots.
    pub dot_step: Option<i32>,
    pub tied_from: Option<NoteId>,
    pub tied_to: Option<NoteId>,
}

/// An accidental before a head.
#[derive(Clone, Copy, Debug)]
pub struct Accidental {
    pub glyph: &'static Glyph,
    /// Its origin relative to the onset.
    pub x: f64,
}

/// A printed rest.
#[derive(Clone, Debug)]
pub struct Rest {
    pub voice: VoiceNumber,
    pub onset: Moment,
    pub end: Moment,
    pub value: NoteValue,
    pub glyph: &'static Glyph,
    /// Height of its origin.
    pub y: f64,
    /// Of two equal rests only one is drawn.
    pub drawn: bool,
    pub whole_bar: bool,
    /// Left edge of its dots relative to the onset, if it has any.
    pub dots_x: f64,
    /// Height of its dots.
    pub dots_y: f64,
    pub in_tuplet: bool,
    pub marks: Vec<EventMark>,
}

/// Everything of a staff at one onset.
#[derive(Clone, Debug)]
pub struct Stack {
    pub onset: Moment,
    pub chords: Vec<usize>,
    /// Leftmost ink; at most 0.
    pub left: f64,
    /// The sign before a chord as tall as it.
    pub beside: Option<Beside>,
    /// The grace notes before its chords.
    pub graces: Vec<GraceGroup>,
    pub contour: Contour,
}

/// A tuplet: its first and last element and the figure.
#[derive(Clone, Debug)]
pub struct TupletSpan {
    pub voice: VoiceNumber,
    pub figure: u8,
    /// Chords in it.
    pub chords: Vec<usize>,
    /// Rests in it.
    pub rests: Vec<usize>,
    /// Whether one beam covers exactly its notes, so that no bracket is needed.
    pub under_one_beam: bool,
}

/// Staff step of a sounding pitch above the middle line of a clef.
fn middle(clef: Clef) -> i32 {
    // Middle lines: B4 in a treble clef, D3 in a bass clef.
    match clef {
        Clef::Guitar | Clef::Treble => 7 * 4 + 6,
        Clef::Bass => 7 * 3 + 1,
    }
}

/// Steps of a sounding pitch above the middle line of a clef.
pub fn step_of(pitch: Pitch, clef: Clef) -> i32 {
    pitch.staff_step() + 7 * i32::from(clef.octaves_up()) - middle(clef)
}

/// Height of a step.
pub fn height(step: i32) -> f64 {
    f64::from(step) / 2.0
}

/// Decides what is drawn for every part.
///
/// `wishes` is the room every note wants for its fingering.
pub fn notate(sheet: &Sheet<'_>, style: &Style, wishes: &Wishes) -> Vec<Staff> {
    let score = sheet.score;
    let resting = resting::bars(score);
    score
        .part_indices()
        .map(|part| {
            let clef = score.part(part).clef;
            let alone = tablature::alone_of(sheet, style, part);
            let lyrics = lyrics::rows(score.part(part));
            let order = sides::from_the_top(score, score.part(part));
            let mut memory = accidentals::Memory::default();
            let bars: Vec<StaffBar> = (0..score.bars().len())
                .map(|bar| {
                    if repeats(score, part, BarIndex(bar as u32)) {
                        // What accidentals the bar before leaves holds on.
                        let loudness =
                            loudness::Rooms::of(score.part(part), &score.bars()[bar], style);
                        return StaffBar { again: true, loudness, ..StaffBar::default() };
                    }
                    let mut staff_bar = collect(score, part, BarIndex(bar as u32), &order, style);
                    staff_bar.resting = resting[bar];
                    if staff_bar.resting != resting::Resting::No {
                        staff_bar.rests.clear();
                    }
                    if let Some(fretting) = alone {
                        strings::finish(&mut staff_bar, score, fretting, style, wishes);
                        add_lyrics(&mut staff_bar, &lyrics, style);
                        return staff_bar;
                    }
                    memory.enter_bar(score.bars()[bar].signature);
                    finish(&mut staff_bar, score, &mut memory, style, wishes);
                    let cues = &score.part(part).cues;
                    if let Some(cue) = cues.iter().find(|cue| cue.bar.0 as usize == bar) {
                        cues::put(&mut staff_bar, cue, score.bars()[bar].start, style);
                    }
                    add_lyrics(&mut staff_bar, &lyrics, style);
                    staff_bar
                })
                .collect();
            let slurs = slurs::pair(&bars);
            let glides = glides::find(&bars);
            let voices = score.part(part).voices.iter();
            let lines = |voice: &Voice| score.wavy_lines(voice).into_iter();
            let wavy_lines =
                voices.flat_map(|voice| lines(voice).map(|line| (voice.number, line))).collect();
            let ossia = score.part(part).ossia.as_ref().and_then(|ossia| {
                let none = Wishes::none(ossia.notes().len());
                notate(&Sheet::bare(ossia), style, &none).pop().map(Box::new)
            });
            let strings = alone.map(|fretting| fretting.thickest);
            Staff { part, clef, strings, bars, slurs, glides, wavy_lines, ossia, lyrics }
        })
        .collect()
}

/// Adds the room of what is sung in a bar.
fn add_lyrics(bar: &mut StaffBar, lyrics: &[lyrics::Row], style: &Style) {
    for stack in &mut bar.stacks {
        for (row, left, right) in lyrics::around(lyrics, stack.onset, style) {
            stack.contour.add_lyric(row, left, right);
        }
    }
}

/// Whether a bar is printed as a sign for the one before: where the source asks for it
/// and it is the same.
fn repeats(score: &Score, part: PartIndex, bar: BarIndex) -> bool {
    score.part(part).bar_repeats.contains(&bar) && score.plays_again(part, bar)
}

/// The onsets of a bar at which something stands.
fn onsets(bar: &StaffBar) -> Vec<Moment> {
    let mut onsets: Vec<Moment> = bar
        .chords
        .iter()
        .map(|c| c.onset)
        .chain(bar.rests.iter().filter(|r| r.drawn && !r.whole_bar).map(|r| r.onset))
        .collect();
    onsets.sort_unstable();
    onsets.dedup();
    onsets
}

/// The chords and rests that stand at an onset.
fn struck_at(bar: &StaffBar, onset: Moment) -> (Vec<usize>, Vec<usize>) {
    let chords = (0..bar.chords.len()).filter(|i| bar.chords[*i].onset == onset).collect();
    let rests = (0..bar.rests.len())
        .filter(|i| {
            let r = &bar.rests[*i];
            r.onset == onset && r.drawn && !r.whole_bar
        })
        .collect();
    (chords, rests)
}

/// Stems, seconds, accidentals, dots and rests of a bar.
fn finish(
    bar: &mut StaffBar,
    score: &Score,
    memory: &mut accidentals::Memory,
    style: &Style,
    wishes: &Wishes,
) {
    stems::direct(bar);
    rests::take_sides(bar);
    let onsets = onsets(bar);
    rests::settle_whole_bars(bar);
    for (number, onset) in onsets.iter().copied().enumerate() {
        let (chords, rests) = struck_at(bar, onset);
        heads::arrange(&mut bar.chords, &chords);
        rests::settle(bar, &chords, &rests);
        let mut groups = graces::mark(bar, &chords, memory, style.courtesy);
        accidentals::mark(&mut bar.chords, &chords, score, memory, style.courtesy);
        columns::arrange(&mut bar.chords, &chords);
        dots::arrange(bar, &chords, &rests);
        let (left, beside, mut contour) = contour::of_stack(bar, &chords, &rests, wishes);
        let next = onsets.get(number + 1).copied();
        if let Some((left, right)) = bar.loudness.around(onset, next) {
            contour.add_loudness(left, right);
        }
        let aside = graces::aside(bar, &chords, beside.is_some());
        graces::arrange(&mut groups, left, aside, &mut contour);
        bar.stacks.push(Stack { onset, chords, left, beside, graces: groups, contour });
    }
}
