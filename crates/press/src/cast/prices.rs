//! What is paid for a page. All prices are house values.

/// The price of turning the page within an exercise or piece.
pub const TURN: f64 = 200.0;

/// The price of a page break before a system of this index in music of so many.
pub fn torn(index: usize, count: usize) -> f64 {
    if index == 0 {
        return 0.0;
    }
    let alone = index == 1 || index + 1 == count;
    25.0 + if alone { 45.0 } else { 0.0 } + if count <= 3 { 20.0 } else { 0.0 }
}

/// The price of a page with so much free and so much room for gaps to grow.
pub fn white(free: f64, room: f64, height: f64) -> f64 {
    if free <= room {
        let share = if room > 0.0 { free / room } else { 0.0 };
        10.0 + 20.0 * share * share
    } else {
        let white = (free - room) / height;
        30.0 + 300.0 * white + 600.0 * white * white
    }
}

/// The price of a last page with so much used: next to nothing looks lost.
pub fn last_page(used: f64, height: f64) -> f64 {
    10.0 + 60.0 * (1.0 - used / (0.3 * height)).max(0.0)
}
