//! Work that is done once in a run, however often it is asked for.

use std::collections::HashMap;
use std::fmt::Debug;
use std::hash::Hash;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use siphasher::sip128::{Hasher128, SipHasher13};

/// For how many rounds a result is kept that nobody asks for. A book with all
/// its editions takes a round for each.
const KEPT: u64 = 16;

/// Results by the hash of everything they depend on.
pub struct Memo<T> {
    results: Mutex<HashMap<u128, Entry<T>>>,
    round: AtomicU64,
}

/// A result, and the round in which it was asked for last.
struct Entry<T> {
    cell: Arc<OnceLock<T>>,
    asked: u64,
}

impl<T> Default for Memo<T> {
    fn default() -> Self {
        Self { results: Mutex::default(), round: AtomicU64::default() }
    }
}

impl<T: Clone> Clone for Memo<T> {
    /// With the results that are there; nobody waits for what another is working out.
    fn clone(&self) -> Self {
        let results = self.results.lock().unwrap_or_else(PoisonError::into_inner);
        let there = results.iter().filter(|(_, entry)| entry.cell.get().is_some());
        let entry = |entry: &Entry<T>| Entry { cell: Arc::clone(&entry.cell), asked: entry.asked };
        let results = there.map(|(key, own)| (*key, entry(own))).collect();
        let round = AtomicU64::new(self.round.load(Ordering::Relaxed));
        Self { results: Mutex::new(results), round }
    }
}

impl<T: Clone> Memo<T> {
    /// The result for a key; worked out by the first who asks. Whoever asks
    /// while it is being worked out waits for it.
    pub fn get(&self, key: u128, work: impl FnOnce() -> T) -> T {
        let asked = self.round.load(Ordering::Relaxed);
        let cell = {
            // A map of finished results is whole even if another thread died.
            let mut results = self.results.lock().unwrap_or_else(PoisonError::into_inner);
            let entry = results.entry(key).or_insert_with(|| Entry { cell: Arc::default(), asked });
            entry.asked = asked;
            Arc::clone(&entry.cell)
        };
        cell.get_or_init(work).clone()
    }

    /// Keeps the result for a key as if it were asked for.
    pub fn keep(&self, key: u128) {
        let asked = self.round.load(Ordering::Relaxed);
        let mut results = self.results.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(entry) = results.get_mut(&key) {
            entry.asked = asked;
        }
    }

    /// Ends a round: what nobody has asked for in a long time is forgotten.
    pub fn end_round(&self) {
        let round = self.round.fetch_add(1, Ordering::Relaxed) + 1;
        let mut results = self.results.lock().unwrap_or_else(PoisonError::into_inner);
        results.retain(|_, entry| entry.asked + KEPT >= round);
    }
}

/// Hash of content: of what can be hashed, and of the printed form of what
/// holds lengths in floating point.
pub fn content_hash(hashed: impl Hash, printed: impl Debug) -> u128 {
    let mut hasher = SipHasher13::new();
    hashed.hash(&mut hasher);
    format!("{printed:?}").hash(&mut hasher);
    hasher.finish128().as_u128()
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    #[test]
    fn equal_questions_are_answered_once() {
        let memo = Memo::default();
        let times = Cell::new(0);
        let ask = |key| {
            memo.get(key, || {
                times.set(times.get() + 1);
                key * 2
            })
        };
        assert_eq!([ask(1), ask(2), ask(1)], [2, 4, 2]);
        assert_eq!(times.get(), 2);
    }

    #[test]
    fn a_clone_knows_what_is_known_and_goes_its_own_way() {
        let memo = Memo::default();
        let times = Cell::new(0);
        let ask = |memo: &Memo<()>, key: u128| memo.get(key, || times.set(times.get() + 1));
        ask(&memo, 1);
        let other = memo.clone();
        ask(&other, 1);
        assert_eq!(times.get(), 1);
        ask(&other, 2);
        ask(&memo, 2);
        assert_eq!(times.get(), 3);
    }

    #[test]
    fn what_is_kept_is_not_forgotten() {
        let memo = Memo::default();
        memo.get(1, || 1);
        for _ in 0..=KEPT {
            memo.keep(1);
            memo.end_round();
        }
        assert_eq!(memo.get(1, || 2), 1);
    }

    #[test]
    fn what_nobody_asks_for_is_forgotten() {
        let memo = Memo::default();
        let times = Cell::new(0);
        let ask = |key: u128| memo.get(key, || times.set(times.get() + 1));
        ask(1);
        for _ in 0..KEPT {
            ask(2);
            memo.end_round();
        }
        ask(1);
        assert_eq!(times.get(), 2, "kept so long");
        for _ in 0..=KEPT {
            ask(2);
            memo.end_round();
        }
        ask(1);
        assert_eq!(times.get(), 3, "forgotten");
        ask(2);
        assert_eq!(times.get(), 3, "asked for in every round");
    }

    #[test]
    fn contents_are_told_apart() {
        assert_eq!(content_hash(1, 0.5), content_hash(1, 0.5));
        assert_ne!(content_hash(1, 0.5), content_hash(1, 0.25));
        assert_ne!(content_hash(1, 0.5), content_hash(2, 0.5));
    }
}
