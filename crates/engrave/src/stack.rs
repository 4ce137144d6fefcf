//! Systems one below the other, as one drawing.

use crate::drawing::{Drawing, Ink, Kind, StaffSpaces};

/// Clear space between the ink of two systems at least. House value.
const CLEAR: f64 = 1.5;

impl Drawing {
    /// Height of the highest and of the lowest staff line; `None` without any.
    #[must_use]
    pub fn staves(&self) -> Option<(StaffSpaces, StaffSpaces)> {
        let of_a_staff = |kind| matches!(kind, Kind::StaffLine | Kind::TabLine);
        let lines = self.stains.iter().filter(|stain| of_a_staff(stain.kind));
        let heights = lines.filter_map(|stain| match &stain.ink {
            Ink::Line { from, .. } => Some(from.y.0),
            _ => None,
        });
        let (low, high) = heights
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| (low.min(y), high.max(y)));
        (low <= high).then_some((StaffSpaces(high), StaffSpaces(low)))
    }

    /// Height of the highest and of the lowest staff line, or of the edges of a drawing
    /// without any: what the distance to other drawings is measured from.
    #[must_use]
    pub fn staves_or_edges(&self) -> (StaffSpaces, StaffSpaces) {
        self.staves().unwrap_or((self.above, StaffSpaces(-self.below.0)))
    }
}

/// Drawings one below the other, `gap` from the lowest staff line of one to the
/// highest of the next, more where their ink would come near. The origin is that of
/// the first.
#[must_use]
pub fn stacked<'a>(drawings: impl IntoIterator<Item = &'a Drawing>, gap: StaffSpaces) -> Drawing {
    let mut whole = Drawing::default();
    // Where the lowest staff line and the lower edge of the last one are.
    let mut last: Option<(f64, f64)> = None;
    let mut said: Vec<&str> = Vec::new();
    for drawing in drawings {
        let (StaffSpaces(high), StaffSpaces(low)) = drawing.staves_or_edges();
        let origin = last.map_or(0.0, |(staff, edge)| {
            (staff - gap.0 - high).min(edge - CLEAR - drawing.above.0)
        });
        if last.is_none() {
            whole.above = drawing.above;
        }
        let stains = drawing.stains.iter().cloned();
        whole.stains.extend(stains.map(|stain| stain.moved(0.0, origin)));
        whole.width = whole.width.max(drawing.width);
        whole.below = StaffSpaces(drawing.below.0 - origin);
        last = Some((origin + low, origin - drawing.below.0));
        said.push(&drawing.description);
    }
    whole.description = said.join(" ");
    whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Owner, Point, Stain};

    fn system(above: f64, below: f64) -> Drawing {
        let line = |y: f64| Stain {
            ink: Ink::Line {
                from: Point::new(0.0, y),
                to: Point::new(10.0, y),
                thickness: StaffSpaces(0.13),
                dash: None,
            },
            kind: Kind::StaffLine,
            owner: Owner::System,
        };
        Drawing {
            stains: [-2.0, -1.0, 0.0, 1.0, 2.0].map(line).to_vec(),
            width: StaffSpaces(10.0),
            above: StaffSpaces(above),
            below: StaffSpaces(below),
            description: "line".to_owned(),
        }
    }

    #[test]
    fn staves_stand_apart_as_asked_and_ink_keeps_clear() {
        let [plain, deep] = [system(3.0, 3.0), system(3.0, 9.0)];
        let two = stacked([&plain, &plain], StaffSpaces(9.0));
        // 2 + 4 + 9 + 3 from the first origin down to the edge.
        assert_eq!((two.above.0, two.below.0), (3.0, 16.0));
        assert_eq!(two.staves().map(|(high, low)| (high.0, low.0)), Some((2.0, -15.0)));
        let deep = stacked([&deep, &plain], StaffSpaces(9.0));
        assert_eq!(deep.below.0, 9.0 + CLEAR + 3.0 + 3.0);
        assert_eq!(deep.description, "line line");
        assert_eq!(stacked([], StaffSpaces(9.0)), Drawing::default());
    }
}
