//! Cues: what is drawn for the small notes of another part.
//!
//! They are notated like any bar, stems up, with the rest of the part they are shown to
//! below them (common practice, no source), and made smaller when they are placed.

use apoyando_music::{BarIndex, Cue, Duration, Moment, PartIndex, VoiceNumber};

use super::{Stack, StaffBar, Wishes, accidentals, collect, dots, finish, height, sides::Sides};
use crate::style::Style;

/// Size of the notes of a cue [engraving handbooks: about two thirds to three quarters].
pub const SCALE: f64 = 0.7;
/// No rest is moved farther down than this.
const LOWEST: f64 = -24.0;
/// Em of the name of their part. House.
const NAME: f64 = 1.7;

/// The cue of a bar.
#[derive(Clone, Debug)]
pub struct Notated {
    /// Whose notes they are; may be empty.
    pub name: String,
    /// The em of the name.
    pub size: f64,
    /// The notes, in full size. What belongs to a note belongs to one of the cue, not of
    /// the score.
    pub bar: Box<StaffBar>,
}

/// The voice of a cue, and that of the rest below it.
const OF_CUE: VoiceNumber = VoiceNumber(1);
const OF_REST: VoiceNumber = VoiceNumber(2);

/// Puts a cue into the bar of a part that rests in it, which begins at a moment.
pub fn put(rests: &mut StaffBar, cue: &Cue, start: Moment, style: &Style) {
    let (part, first) = (PartIndex(0), BarIndex(0));
    let mut bar = collect(&cue.music, part, first, &[0], style);
    bar.shared = true;
    bar.sides = Sides::two(OF_CUE, OF_REST);
    for chord in &mut bar.chords {
        chord.up = true;
    }
    let mut memory = accidentals::Memory::default();
    memory.enter_bar(cue.music.bar(first).signature);
    let wishes = Wishes::none(cue.music.notes().len());
    finish(&mut bar, &cue.music, &mut memory, style, &wishes);
    below(rests, &bar);
    shift(&mut bar, start - Moment::START);
    let small = |stack: &Stack| Stack {
        onset: stack.onset,
        chords: Vec::new(),
        left: SCALE * stack.left,
        beside: None,
        graces: Vec::new(),
        contour: stack.contour.scaled(SCALE),
    };
    // A rest that does not fill the bar has stacks of its own.
    let others = std::mem::take(&mut rests.stacks);
    rests.stacks = bar.stacks.iter().map(small).collect();
    for other in others {
        match rests.stacks.iter_mut().find(|stack| stack.onset == other.onset) {
            Some(stack) => {
                stack.left = stack.left.min(other.left);
                stack.contour.join(&other.contour, 0.0);
            }
            None => rests.stacks.push(other),
        }
    }
    rests.stacks.sort_by_key(|stack| stack.onset);
    let (name, size) = (cue.name.clone(), style.em(NAME));
    rests.cue = Some(Notated { name, size, bar: Box::new(bar) });
}

/// Moves the rests of the part below the notes and rests of the cue: half a space clear of
/// heads, as of another voice.
fn below(rests: &mut StaffBar, cue: &StaffBar) {
    let heads = cue.chords.iter().flat_map(|chord| &chord.heads);
    let heads = heads.map(|head| height(head.step) - 1.0);
    let signs = cue.rests.iter().map(|rest| rest.y + SCALE * rest.glyph.low - 0.5);
    let lowest = heads.chain(signs).fold(f64::MAX, f64::min);
    for rest in rests.rests.iter_mut().filter(|rest| rest.drawn) {
        rest.y -= 2.0;
        while rest.y + rest.glyph.high > lowest && rest.y > LOWEST {
            rest.y -= 1.0;
        }
        rest.dots_y = dots::of_rest(rest.y);
    }
}

/// Moves everything to its time in the piece.
fn shift(bar: &mut StaffBar, by: Duration) {
    for chord in &mut bar.chords {
        chord.onset += by;
    }
    for rest in &mut bar.rests {
        rest.onset += by;
        rest.end += by;
    }
    for stack in &mut bar.stacks {
        stack.onset += by;
    }
}
