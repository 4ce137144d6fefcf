//! What is paid for lines and pages. `docs/casting.md` gives the reasons; all
//! prices are house values, in points of which a page that is as it should be
//! costs ten.

/// A page at all.
const PAGE: f64 = 10.0;
/// Gaps grown as far as they can, by the square of the share.
const GROWN: f64 = 20.0;
/// Gaps shrunk as far as they can, by the square of the share.
const SHRUNK: f64 = 30.0;
/// White at the foot beyond what gaps can take up, by its share of the page
/// and by the square of that.
const WHITE: f64 = 300.0;
const MUCH_WHITE: f64 = 600.0;
/// White before a piece of so large a share of the page that blank staves fill it, and
/// what it costs at most below music that does not look lost.
pub const HOLE: f64 = 0.3;
const FILLED: f64 = 40.0;
/// The same before an exercise: it might have stood there.
const FILLED_EXERCISE: f64 = 200.0;
/// A page that ends though what comes next would have found room on it, whole: an
/// exercise, and a piece, which may have a page of its own.
const EARLY: f64 = 100.0;
const EARLY_PIECE: f64 = 10.0;
/// A last page of a run with nothing on it, and the share of the page from
/// which on it does not look lost.
const LOST: f64 = 60.0;
const NOT_LOST: f64 = 0.3;
/// Music that goes on on the next page.
const TORN: f64 = 25.0;
/// The same where a page would hold it whole.
const WHOLE: f64 = 100.0;
/// A single system of it left alone.
const ALONE: f64 = 60.0;
/// An exercise that goes on on the next page, beyond what a piece costs.
const EXERCISE: f64 = 40.0;
/// The same of one of no more systems than this: it is seen at once, or not at all.
const SHORT: f64 = 300.0;
const FEW: usize = 3;
/// Turning the page while playing: in an exercise, and in a piece, where it is more than two
/// pages more and the blank staves on them.
const TURN: f64 = 200.0;
const TURN_PIECE: f64 = 600.0;
/// Beats in which a page can be turned.
const BEATS_TO_TURN: f64 = 2.0;
/// A page of blank staves.
const NOTES: f64 = 120.0;
/// The same where it comes of itself: a lesson ends on a right-hand page.
const FACING: f64 = 80.0;
/// Lines that cost 1 more than the best: in squared logarithms of stretches.
const LINES: f64 = 150.0;

/// The price of lines that cost so much, where the best cost `best`.
pub fn lines(cost: f64, best: f64) -> f64 {
    LINES * (cost - best).max(0.0)
}

/// A page break before a system of some music.
#[derive(Clone, Copy, Debug)]
pub struct Tear {
    /// How many systems stand before it.
    pub index: usize,
    /// How many the music has.
    pub count: usize,
    /// A page would hold the music whole.
    pub held_whole: bool,
    /// This page has room for the system.
    pub has_room: bool,
    /// The music is a piece, no exercise.
    pub piece: bool,
}

/// The price of a page break within music. Room for the next system makes it worse, but
/// where the last would be left alone for it.
pub fn torn(Tear { index, count, held_whole, has_room, piece }: Tear) -> f64 {
    let alone = |index| index == 1 || index + 1 == count;
    let spared = !alone(index) && alone(index + 1);
    let alone = alone(index);
    TORN + if alone { ALONE } else { 0.0 }
        + if held_whole { WHOLE } else { 0.0 }
        + if has_room && !spared { EARLY } else { 0.0 }
        + match (piece, count) {
            (true, _) => 0.0,
            (false, ..=FEW) => SHORT,
            (false, _) => EXERCISE,
        }
}

/// The price of turning over where the left hand is free for so many beats.
pub fn turn(free_beats: f64, piece: bool) -> f64 {
    let turn = if piece { TURN_PIECE } else { TURN };
    // One beat of two is not half a turn.
    turn * (1.0 - (free_beats.clamp(0.0, BEATS_TO_TURN) / BEATS_TO_TURN).powi(2))
}

/// The price of ending a page before music for which it has room.
pub const fn early(piece: bool) -> f64 {
    if piece { EARLY_PIECE } else { EARLY }
}

/// The price of a page of blank staves.
pub const fn notes() -> f64 {
    NOTES
}

/// The price of one that comes of itself, before a right-hand page.
pub const fn facing() -> f64 {
    FACING
}

/// The price of a page with so much free and so much room for gaps to grow.
pub fn white(free: f64, room: f64, height: f64) -> f64 {
    if free <= room {
        let share = if room > 0.0 { free / room } else { 0.0 };
        PAGE + GROWN * share * share
    } else {
        let white = (free - room) / height;
        PAGE + GROWN + WHITE * white + MUCH_WHITE * white * white
    }
}

/// The price of a page with so much too much on it, and so much room for gaps to shrink.
pub fn shrunk(over: f64, give: f64) -> f64 {
    let share = if give > 0.0 { (over / give).min(1.0) } else { 0.0 };
    PAGE + SHRUNK * share * share
}

/// The price of white where blank staves may fill a hole before a piece or an exercise,
/// but not below next to nothing of a piece that goes on here.
pub fn filled(free: f64, room: f64, height: f64, goes_on: bool, piece: bool) -> f64 {
    let plain = white(free, room, height);
    let lost = goes_on && height - free < NOT_LOST * height;
    let most = PAGE + if piece { FILLED } else { FILLED_EXERCISE };
    if free - room > HOLE * height && !lost { plain.min(most) } else { plain }
}

/// The price of a last page with so much used: next to nothing looks lost.
pub fn last_page(used: f64, height: f64) -> f64 {
    PAGE + LOST * (1.0 - used / (NOT_LOST * height)).max(0.0)
}
