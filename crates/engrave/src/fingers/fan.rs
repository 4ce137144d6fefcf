//! Heights of the digits of a chord.

/// Heights as near as possible to those wished, from low to high, but no two
/// nearer than `pitch`: neighbours that crowd share the way they have to go.
#[must_use]
pub fn fan(wished: &[f64], pitch: f64) -> Vec<f64> {
    // Blocks of neighbours at exactly `pitch`: the mean of what each member
    // wishes for the block's lowest place, and how many there are.
    let mut blocks: Vec<(f64, usize)> = Vec::with_capacity(wished.len());
    for &wish in wished {
        let mut block = (wish, 1usize);
        while let Some(&(low, count)) = blocks.last() {
            if low + count as f64 * pitch <= block.0 {
                break;
            }
            blocks.pop();
            let shifted = block.0 - count as f64 * pitch;
            let all = count + block.1;
            let mean = (low * count as f64 + shifted * block.1 as f64) / all as f64;
            block = (mean, all);
        }
        blocks.push(block);
    }
    blocks
        .into_iter()
        .flat_map(|(low, count)| (0..count).map(move |rank| low + rank as f64 * pitch))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: &[f64], wanted: &[f64]) {
        assert_eq!(found.len(), wanted.len());
        assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-9), "{found:?}");
    }

    #[test]
    fn digits_with_room_stay_at_their_heads() {
        close(&fan(&[-2.0, 0.0, 1.5], 1.1), &[-2.0, 0.0, 1.5]);
    }

    #[test]
    fn thirds_spread_about_their_middle() {
        close(&fan(&[-1.0, 0.0, 1.0], 1.1), &[-1.1, 0.0, 1.1]);
        close(&fan(&[0.0, 0.5], 1.1), &[-0.3, 0.8]);
    }

    #[test]
    fn a_spread_that_reaches_a_neighbour_takes_it_along() {
        let found = fan(&[-1.2, 0.0, 0.5, 3.0], 1.1);
        assert!(found.windows(2).all(|pair| pair[1] - pair[0] >= 1.1 - 1e-9), "{found:?}");
        assert_eq!(found[3], 3.0);
        // The sum of the moves of those that moved is nothing.
        let moved: f64 = found.iter().zip([-1.2, 0.0, 0.5]).map(|(a, b)| a - b).sum();
        assert!(moved.abs() < 1e-9);
    }
}
