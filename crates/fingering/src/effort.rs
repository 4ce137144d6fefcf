//! The table of effort: what every term of `docs/model.md` costs.

use serde::{Deserialize, Serialize};

macro_rules! effort_table {
    ($($name:ident = $value:literal, $variant:ident, $unit:literal, $why:literal, $source:literal;)*) => {
        /// What each term costs. The values are whole numbers of no unit of
        /// their own; only their proportions matter.
        #[derive(Clone, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
        #[serde(default, deny_unknown_fields)]
        pub struct EffortTable {
            $(#[doc = $why] pub $name: i32,)*
        }

        impl Default for EffortTable {
            fn default() -> Self {
                Self { $($name: $value,)* }
            }
        }

        /// A term of the table.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum Term {
            $(#[doc = $why] $variant,)*
        }

        impl Term {
            /// Every term with what is to be said of it, in the table's order.
            pub const ALL: &'static [TermInfo] = &[
                $(TermInfo {
                    term: Self::$variant,
                    name: stringify!($name),
                    unit: $unit,
                    why: $why,
                    source: $source,
                },)*
            ];
        }

        impl EffortTable {
            /// The value of a term.
            pub const fn value(&self, term: Term) -> i32 {
                match term {
                    $(Term::$variant => self.$name,)*
                }
            }
        }
    };
}

/// What is to be said of a term.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TermInfo {
    /// The term.
    pub term: Term,
    /// Its name in the model and in the book's plan.
    pub name: &'static str,
    /// What one unit of its value is charged for.
    pub unit: &'static str,
    /// Why it is there.
    pub why: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

impl Term {
    /// Whether its value is a percentage, at most 100.
    pub const fn is_percentage(self) -> bool {
        matches!(
            self,
            Self::EaseGuide
                | Self::EasePivot
                | Self::EaseOpen
                | Self::EaseRest
                | Self::EasePhrase
                | Self::EaseBeat
                | Self::EaseRepeat
                | Self::Leading
                | Self::CutTail
        )
    }

    /// What is to be said of this term.
    pub fn info(self) -> &'static TermInfo {
        &Self::ALL[self as usize]
    }
}

effort_table! {
    stop = 4, Stop, "struck note with a finger",
        "A stopped note is more work than an open string.", "common practice";
    finger_3 = 1, Finger3, "struck note",
        "Finger 3 is a little weaker than 1 and 2.", "common practice";
    finger_4 = 5, Finger4, "struck note",
        "Finger 4 is the weakest.", "common practice";
    height = 1, Height, "onset with a stopped note; 1, 3, 5, … times from position II on",
        "The hand is at home in I and almost so in II; higher positions are reached later, read less easily and make the thick strings dull.",
        "common practice";
    extension = 24, Extension, "finger and fret",
        "A finger outside its own fret strains the hand.",
        "Heijink and Meulenbroek 2002: joint angles near mid-range are preferred; value house";
    lean = 9, Lean, "struck finger and fret",
        "With no lower finger down the hand is not opened: it leans, so that the higher fingers are left for another voice.",
        "common practice; value house";
    contraction = 2, Contraction, "finger and fret",
        "Fingers closer than a fret cost almost nothing.", "common practice";
    lead = 3, Lead, "posture",
        "Finger 1 gives the position its place; above its own fret the position reads as the next.",
        "common practice";
    lead_stay = 10, LeadStay, "further onset in a place of the hand above I",
        "A hand may meet a position with finger 1 above its own fret; where finger 1 goes on so, the hand is in the next one.",
        "common practice; value house";
    stretch = 2, Stretch, "pair of fingers and 10 mm",
        "A hand feels millimetres, not frets: a pair spread wider than a finger to each fret pays for what is beyond.",
        "Heijink and Meulenbroek 2002: span of the hand; value house";
    crossed = 12, Crossed, "pair of fingers and string between them, when they come to one fret",
        "On one fret the lower finger normally takes the thicker string.", "common practice";
    crowd = 3, Crowd, "pair of fingers, when they come to one fret",
        "Two fingers on one fret of neighbouring strings are in each other's way.",
        "Radicioni and Lombardo 2007: chords; value house";
    barre_hold = 2, BarreHold, "string beyond the first, once a bar",
        "Holding a barre tires, wider ones more.", "common practice";
    barre_idle = 30, BarreIdle, "chord under a barre that stops one string of it",
        "A barre that a chord does not need is lifted, and finger 1 stands on its tip.",
        "common practice";
    barre_lay = 8, BarreLay, "string beyond the first; one more to lay a fingertip flat; twice while other fingers hold",
        "Laying a barre is the effort of it.", "common practice";
    hinge = 6, Hinge, "change",
        "Lifting a side of a barre and laying it again is less than laying it anew.",
        "common practice";
    shift = 34, Shift, "shift, times hurry",
        "Moving the whole hand is a risk, however short the way; one longer shift is better than two short ones.",
        "Sayegh 1989: cost on the transition; value house";
    travel = 1, Travel, "10 mm, times hurry",
        "The farther the hand travels, the harder.",
        "Heijink and Meulenbroek 2002: hand travel; value house";
    ease = 0, Ease, "none; the discount is computed",
        "What makes a shift easier is taken off its price.", "common practice";
    ease_guide = 30, EaseGuide, "percent of the shift",
        "A guide finger leads the hand along its string.", "common practice";
    ease_pivot = 40, EasePivot, "percent of the shift",
        "A finger that stays lets the hand turn about it.", "common practice";
    ease_open = 30, EaseOpen, "percent of the shift",
        "An open string gives the hand time to move.", "common practice";
    ease_rest = 50, EaseRest, "percent of the shift",
        "A rest gives the hand time to move.", "common practice";
    ease_phrase = 40, EasePhrase, "percent of the shift",
        "Where a phrase ends, at a double bar, a repeat or a fermata, the hand may take its time.",
        "common practice";
    ease_beat = 10, EaseBeat, "percent of the shift",
        "A shift onto a strong beat goes with the music.", "common practice";
    ease_repeat = 20, EaseRepeat, "percent of the shift",
        "Between two notes of one pitch a shift is not heard.", "common practice";
    leading = 20, Leading, "percent of the shift",
        "A shift between the leading note and its tonic tears them apart.", "common practice";
    hop = 40, Hop, "hop, times hurry",
        "A momentary reach up the neck and straight back is less than two shifts and more than one.",
        "common practice";
    hop_stay = 24, HopStay, "further onset away",
        "A reach that lasts is none; after two onsets a shift is as good.", "common practice";
    land = 1, Land, "finger, times hurry",
        "A finger that comes down anew has to find its string; one that was left on it has it.",
        "common practice";
    jump = 2, Jump, "finger, times hurry",
        "A finger that jumps strings breaks the line; in chords it is usual.", "common practice";
    jump_bass = 2, JumpBass, "bass note, times hurry",
        "Between two ways as good the bass goes from finger to finger: one that hops breaks it off.",
        "common practice; value house";
    leap = 2, Leap, "finger; twice under 300 ms, three times under 150 ms",
        "A finger that jumps strings breaks the line also where one short note lies between.",
        "common practice";
    twice = 18, Twice, "melody note, times hurry",
        "A finger that plays two notes of a melody running on different strings tears them apart, whatever the other fingers hold.",
        "common practice";
    slide = 8, Slide, "finger, times hurry",
        "The same finger on the next fret of its string slides.", "common practice";
    replace = 7, Replace, "place, times hurry",
        "Another finger on the same place replaces what could have stayed.", "common practice";
    exchange = 8, Exchange, "melody note that comes again; place struck again, but by a chord",
        "A note that comes again soon is where the hand has it already: the same finger plays it.",
        "common practice; value house";
    substitute = 20, Substitute, "change, times hurry",
        "Another finger takes over a note that sounds on: more than to cross fingers, less than to break off what sounds or to shift.",
        "common practice; value house";
    unchanged = 240, Unchanged, "note",
        "A change of finger that was asked for and is not made is no longer what was written.",
        "house";
    weak_pair = 2, WeakPair, "move, times hurry",
        "Fingers 3 and 4 alternate badly.", "common practice";
    join = 240, Join, "note",
        "A slur or glissando that the left hand cannot make is no longer what was written.",
        "common practice";
    join_weak = 6, JoinWeak, "note",
        "Slurs between 3 and 4 come late in a method.", "common practice";
    ornament = 240, Ornament, "note",
        "An ornament needs its fingers over one string.", "common practice";
    tone_high = 10, ToneHigh, "melody note on an open string above position III",
        "One open string amid a stopped phrase stands out.", "common practice";
    tone_long = 2, ToneLong, "melody note of a second or more on an open string",
        "A long sung note is better stopped.", "common practice";
    house = 12, House, "struck note",
        "Where schools differ, the book has its own way.", "house style";
    alike = 6, Alike, "note played otherwise; a limit, not a price",
        "Like bars are fingered alike unless that costs too much.", "common practice";
    cut_melody = 120, CutMelody, "sound",
        "The melody should last its value.", "common practice";
    cut_bass = 60, CutBass, "sound",
        "A bass may be let go before the melody.", "common practice";
    cut_inner = 30, CutInner, "sound",
        "An inner note is missed least.", "common practice";
    cut_tail = 15, CutTail, "percent of the cut",
        "The last quarter of a note is hardly missed.", "common practice";
    ring = 16, Ring, "sound",
        "The tones of a broken chord are meant to sound on.", "common practice";
    rh_bass = 120, RhBass, "sound",
        "The thumb plays the basses, in fast ones too, and those of a single line.",
        "common practice";
    rh_thumb_line = 360, RhThumbLine, "sound",
        "A line is played by the fingers.", "common practice";
    rh_home = 2, RhHome, "finger and step, in a chord",
        "Each finger has its string in chords.", "common practice";
    rh_figure = 8, RhFigure, "finger and step, in a broken chord",
        "In a broken chord each finger waits over its string, and an arpeggio is learnt as one order of fingers.",
        "common practice";
    rh_begin = 12, RhBegin, "rise of a broken chord",
        "An arpeggio that stands on a thick string is begun by the thumb.", "common practice";
    rh_repeat = 240, RhRepeat, "move",
        "The same finger twice running is the fault of alternation.", "common practice";
    rh_again = 8, RhAgain, "move after a second or more beside a bass or a chord, after two in a line",
        "The fingers take turns in a slow tune, too; but there is time to play twice with one.",
        "common practice";
    rh_thumb_repeat = 12, RhThumbRepeat, "move, times hurry",
        "A slow arpeggio over the basses may repeat the thumb; in a fast one the fingers come down to it.",
        "common practice";
    rh_cross = 3, RhCross, "move",
        "Crossing strings against the order of the fingers is awkward; in a line it is the price of alternation.",
        "common practice";
    rh_tangle = 160, RhTangle, "move",
        "In a broken chord nothing asks for it, and the thumb does not reach past the fingers.",
        "common practice";
    rh_weak = 4, RhWeak, "move under 300 ms; twice under 150 ms",
        "m and a do not alternate well when there is a hurry.",
        "common practice";
    rh_first = 12, RhFirst, "part",
        "A line begins with the first finger of its pair, so that i m and m i are two exercises.",
        "common practice";
    rh_ring = 2, RhRing, "sound",
        "Lines are begun with i and m; a joins later in a method.", "common practice";
    rh_alike = 8, RhAlike, "note plucked otherwise; a limit, not a price",
        "A figure that comes again is plucked as before unless that costs too much.",
        "common practice";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_term_is_found_under_its_own_number() {
        for info in Term::ALL {
            assert_eq!(info.term.info(), info);
        }
    }
}
