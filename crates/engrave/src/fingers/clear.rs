//! How far fingering marks keep from other ink, in staff spaces, and how they
//! are proportioned. Sources: [G] Gould, *Behind Bars*, 2011, from memory; [P]
//! common practice; [H] house value.

use crate::drawing::Kind;

/// From a digit to its own head [G: .20 to .35].
pub const OWN_HEAD: f64 = 0.25;
/// From a digit to an accidental [H: .15 to .25].
pub const ACCIDENTAL: f64 = 0.18;
/// By how much its own head is nearer to a digit than any other [H].
pub const NEARER: f64 = 0.3;
/// From a digit to a head that is not its own.
pub const FOREIGN_HEAD: f64 = OWN_HEAD + NEARER;
/// From a digit to stems, flags, beams, ties and slurs [P].
pub const STROKE: f64 = 0.25;
/// From a digit to a barline [P].
pub const BAR_LINE: f64 = 0.4;
/// From a digit to a ledger line [H].
pub const LEDGER: f64 = 0.14;
/// From a digit to dots, rests and other ink [H].
pub const OTHER: f64 = 0.22;
/// The white rim around a digit inside the staff [H].
pub const HALO: f64 = 0.12;
/// A digit no farther from its note or chord than this is read with it [H: 2.5].
pub const OWN_FARTHEST: f64 = 2.2;

/// Least distance of the digits of a chord from baseline to baseline [P].
pub const CHORD_PITCH: f64 = 1.1;
/// Digits of a chord whose notes are nearer than they could stand are so much
/// smaller [P: .88; H: no smaller than 1.7 mm on a staff of 7.2].
pub const CHORD_SCALE: f64 = 0.9;
/// Clear space between the digits of a chord [H].
pub const CHORD_GAP: f64 = 0.14;
/// A digit of a chord may stand so far above or below its head; beyond that
/// the digits take two columns [H].
pub const FAN: f64 = 0.5;
/// From one column of digits to the next [H].
pub const COLUMNS: f64 = 0.15;

/// Length, thickness and distance of the dash before a guided digit [P].
pub const GUIDE_DASH: f64 = 0.7;
/// Thickness of the guide dash [P].
pub const GUIDE_THICKNESS: f64 = 0.16;
/// How far its ends lie above and below the middle of its digit: a sloping dash is not taken
/// for a ledger line or what is left of a staff line [H].
pub const GUIDE_RISE: f64 = 0.2;
/// Between the guide dash and its digit [P].
pub const GUIDE_GAP: f64 = 0.12;

/// Between a finger in parentheses and its digit [H].
pub const PREPARED_GAP: f64 = 0.12;
/// Between such a finger and its parentheses [H].
pub const IN_PARENTHESES: f64 = 0.06;

/// Between a digit, the dash after it and the finger that takes over [H].
pub const SECOND_GAP: f64 = 0.1;

/// Between a row of digits and the ink under it [P].
pub const ROW: f64 = 0.35;
/// Ink nearer than this under a row pushes a digit of it outwards [H].
pub const ROW_SIDE: f64 = 0.1;
/// Rows and circles of one line of music whose levels differ by no more than
/// this share the outer one: a digit stays within 2.5 of its note's ink [H].
pub const LEVELLED: f64 = 2.0;

/// Numerals, barre marks and chord names of one line of music whose levels differ by no more
/// than this share the higher one; others would hang too far over what they belong to [H].
pub const LEVELLED_SIGNS: f64 = 3.0;

/// Between a right-hand letter and other ink [P].
pub const LETTER: f64 = 0.4;
/// Between two letters side by side [H].
pub const LETTER_SIDE: f64 = 0.15;
/// From the middle of a head past the stem at its side: no letter comes down beside a tip.
pub const LETTER_OVER: f64 = 0.7;
/// Between the letters of a chord [H].
pub const LETTER_STACK: f64 = 0.22;

/// Diameter of a circled string number [P: 1.6 to 1.75].
pub const CIRCLE: f64 = 1.68;
/// Between a circle and the ink under it [H], letters among it, which keep .4 [P].
pub const CIRCLE_GAP: f64 = 0.45;
/// Dashes of an extent line, and the gaps between them [P: .5 and .25 to .4].
pub const DASH: (f64, f64) = (0.5, 0.35);
/// Thickness of extent lines [P].
pub const EXTENT: f64 = 0.16;
/// An extent line ends so far after its last head [P].
pub const EXTENT_PAST: f64 = 0.3;
/// Between a sign and its extent line [H].
pub const EXTENT_LEAD: f64 = 0.35;
/// Hook at the end of a circle's line [P].
pub const CIRCLE_HOOK: f64 = 0.5;
/// Hook at the end of a position's or barre's line [P: .75 to 1.0].
pub const HOOK: f64 = 0.8;

/// Position and barre marks stand so far above the staff [P].
pub const NUMERAL_OVER_STAFF: f64 = 2.0;
/// Between two position or barre marks on one level [H].
pub const NUMERAL_SIDE: f64 = 0.5;
/// Position and barre marks stand so far above other ink [P].
pub const NUMERAL_OVER_INK: f64 = 1.0;

/// Between a caption and the ink under or above it [H].
pub const CAPTION: f64 = 0.9;
/// What a diagram keeps more, for its digits are not to be read with the letters below [H].
pub const UNDER_DIAGRAM: f64 = 0.6;
/// Between two captions side by side [H].
pub const CAPTION_SIDE: f64 = 0.8;

/// The clear space that a digit keeps to ink of a kind, its own note's or not.
pub fn of_digit(kind: Kind, own: bool) -> f64 {
    match kind {
        Kind::Head if own => OWN_HEAD,
        // A digit is never a grace note's.
        Kind::Head | Kind::GraceHead => FOREIGN_HEAD,
        Kind::Accidental | Kind::GraceAccidental => ACCIDENTAL,
        Kind::LedgerLine | Kind::GraceLedgerLine => LEDGER,
        Kind::BarLine => BAR_LINE,
        Kind::Stem | Kind::Flag | Kind::Beam | Kind::Tie | Kind::Slur | Kind::Tuplet => STROKE,
        Kind::GraceStem | Kind::Glissando => STROKE,
        _ => OTHER,
    }
}
