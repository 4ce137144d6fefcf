//! Levels of signs of one kind over a line of music: one for all, unless it would tear some of
//! them off from what they belong to.

/// A sign with the level that the ink under it asks for.
#[derive(Clone, Copy, Debug)]
pub struct Wanting {
    /// From where to where it reaches.
    pub left: f64,
    pub right: f64,
    /// The least level that it could have.
    pub level: f64,
}

/// The level of each sign. From the highest on, those that are no more than `apart` below one
/// stand level with it; signs closer side by side than `beside` are on one level in any case.
pub fn shared(signs: &[Wanting], beside: f64, apart: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..signs.len()).collect();
    order.sort_by(|a, b| signs[*a].left.total_cmp(&signs[*b].left));
    let mut levels: Vec<f64> = signs.iter().map(|sign| sign.level).collect();
    // Signs that run into one another, from left to right.
    let mut run: Vec<usize> = Vec::new();
    let mut right = f64::MIN;
    for at in order.iter().copied() {
        if signs[at].left >= right + beside {
            run.clear();
        }
        right = right.max(signs[at].right);
        run.push(at);
        let highest = run.iter().map(|at| levels[*at]).fold(f64::MIN, f64::max);
        run.iter().for_each(|at| levels[*at] = highest);
    }
    from_highest(levels.iter_mut().collect(), apart);
    levels
}

/// Raises levels, from the highest on, to the first that they are no more than `apart` below.
pub fn from_highest(mut levels: Vec<&mut f64>, apart: f64) {
    levels.sort_by(|a, b| b.total_cmp(a));
    let mut shared = f64::INFINITY;
    for level in levels {
        if shared - *level > apart {
            shared = *level;
        }
        *level = shared;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn levels(signs: &[(f64, f64, f64)]) -> Vec<f64> {
        let signs: Vec<Wanting> = signs
            .iter()
            .map(|(left, right, level)| Wanting { left: *left, right: *right, level: *level })
            .collect();
        shared(&signs, 0.5, 2.0)
    }

    #[test]
    fn signs_are_level_unless_one_would_be_far_from_its_ink() {
        assert_eq!(levels(&[(0.0, 1.0, 3.0), (5.0, 6.0, 4.5)]), [4.5, 4.5]);
        assert_eq!(levels(&[(0.0, 1.0, 3.0), (5.0, 6.0, 9.0), (9.0, 9.5, 4.0)]), [4.0, 9.0, 4.0]);
        assert!(levels(&[]).is_empty());
    }

    #[test]
    fn signs_that_would_run_into_one_another_are_level() {
        assert_eq!(levels(&[(0.0, 5.2, 3.0), (5.0, 6.0, 9.0)]), [9.0, 9.0]);
        assert_eq!(levels(&[(0.0, 9.0, 3.0), (1.0, 2.0, 4.0), (8.0, 8.5, 9.0)]), [9.0, 9.0, 9.0]);
    }
}
