//! The word an author probably meant.

/// Fewest insertions, deletions, changes and swaps of neighbours that turn one
/// word into another.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let change = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = change.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(before[j - 2] + 1);
            }
            row.push(best);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

/// The candidate closest to `read`, if a third of its letters or fewer differ.
pub(crate) fn nearest<'a>(
    read: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let read = read.to_lowercase().replace(['_', ' '], "-");
    candidates
        .into_iter()
        .map(|candidate| (distance(&read, &candidate.to_lowercase()), candidate))
        .filter(|(distance, candidate)| *distance <= candidate.chars().count().max(3) / 3)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_recognised_and_other_words_are_not() {
        let words = ["highest-fret", "positions", "fingers", "barre", "title"];
        assert_eq!(nearest("highest_fret", words), Some("highest-fret"));
        assert_eq!(nearest("postions", words), Some("positions"));
        assert_eq!(nearest("tilte", words), Some("title"));
        assert_eq!(nearest("barree", words), Some("barre"));
        assert_eq!(nearest("colour", words), None);
    }
}
