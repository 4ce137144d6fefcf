//! What is under way, and panics as faults of a piece instead of the run.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};

thread_local! {
    static LAST_PANIC: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Keeps what a panic says for the report.
pub fn keep_panics_quiet() {
    std::panic::set_hook(Box::new(|info| {
        LAST_PANIC.with(|last| *last.borrow_mut() = info.to_string().replace('\n', " "));
    }));
}

/// The result of some work, or what its panic said.
pub fn caught<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work))
        .map_err(|_| LAST_PANIC.with(|last| std::mem::take(&mut *last.borrow_mut())))
}

/// How often it says how far the run is.
const EVERY: Duration = Duration::from_secs(10);

/// A piece is named while it takes longer than this.
const LONG: Duration = Duration::from_secs(20);

#[derive(Default)]
struct State {
    done: usize,
    over: bool,
    under_way: BTreeMap<String, Instant>,
}

/// Tells on the error output how far the run is and which pieces hold it up.
pub struct Watch {
    state: Arc<(Mutex<State>, Condvar)>,
}

/// A piece under way, until it is dropped.
pub struct Entry<'a> {
    watch: &'a Watch,
    name: String,
}

impl Watch {
    /// Watches over so many pieces.
    pub fn over(total: usize) -> Self {
        let state: Arc<(Mutex<State>, Condvar)> = Arc::default();
        let watched = Arc::clone(&state);
        std::thread::spawn(move || {
            let (lock, bell) = &*watched;
            let mut state = lock.lock().unwrap_or_else(PoisonError::into_inner);
            while !state.over {
                let waited = bell.wait_timeout(state, EVERY);
                state = waited.unwrap_or_else(PoisonError::into_inner).0;
                if !state.over {
                    eprintln!("{} of {total}", state.done);
                }
                for (name, since) in &state.under_way {
                    if since.elapsed() > LONG {
                        eprintln!("  {name}: for {} s", since.elapsed().as_secs());
                    }
                }
            }
        });
        Self { state }
    }

    /// Takes note of a piece.
    pub fn begin(&self, name: &str) -> Entry<'_> {
        self.change(|state| {
            state.under_way.insert(name.to_owned(), Instant::now());
        });
        Entry { watch: self, name: name.to_owned() }
    }

    /// Nothing more will come.
    pub fn end(&self) {
        self.change(|state| state.over = true);
        self.state.1.notify_all();
    }

    fn change(&self, change: impl FnOnce(&mut State)) {
        change(&mut self.state.0.lock().unwrap_or_else(PoisonError::into_inner));
    }
}

impl Drop for Entry<'_> {
    fn drop(&mut self) {
        self.watch.change(|state| {
            state.under_way.remove(&self.name);
            state.done += 1;
        });
    }
}
