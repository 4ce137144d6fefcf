//! An upright rectangle.

/// An upright rectangle, in staff spaces.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Rect {
    /// Left side.
    pub left: f64,
    /// Lower side.
    pub low: f64,
    /// Right side.
    pub right: f64,
    /// Upper side.
    pub high: f64,
}

impl Rect {
    /// From its four sides.
    #[must_use]
    pub const fn new(left: f64, low: f64, right: f64, high: f64) -> Self {
        Self { left, low, right, high }
    }

    /// The rectangle that holds nothing; joining it to another gives the other.
    pub const EMPTY: Self = Self { left: f64::MAX, low: f64::MAX, right: f64::MIN, high: f64::MIN };

    /// The smallest rectangle that holds both.
    #[must_use]
    pub const fn join(self, other: Self) -> Self {
        Self {
            left: self.left.min(other.left),
            low: self.low.min(other.low),
            right: self.right.max(other.right),
            high: self.high.max(other.high),
        }
    }

    /// Grown by `by` on all sides.
    #[must_use]
    pub const fn grown(self, by: f64) -> Self {
        Self {
            left: self.left - by,
            low: self.low - by,
            right: self.right + by,
            high: self.high + by,
        }
    }

    /// Moved.
    #[must_use]
    pub const fn moved(self, x: f64, y: f64) -> Self {
        Self { left: self.left + x, low: self.low + y, right: self.right + x, high: self.high + y }
    }

    /// Whether the two share more than an edge.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.low < other.high
            && other.low < self.high
    }

    /// Distance of the nearest points of the two; 0 where they meet.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        let x = (other.left - self.right).max(self.left - other.right).max(0.0);
        let y = (other.low - self.high).max(self.low - other.high).max(0.0);
        x.hypot(y)
    }

    /// Width.
    #[must_use]
    pub const fn width(self) -> f64 {
        self.right - self.left
    }

    /// Height.
    #[must_use]
    pub const fn height(self) -> f64 {
        self.high - self.low
    }
}
