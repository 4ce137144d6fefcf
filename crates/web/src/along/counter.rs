//! The counter: what is being made and what can be fetched.
//!
//! A few things are made at once, some more wait, and what is over that is refused. What is
//! made is kept in memory until it is put away, or until newer things need the room. What is
//! cancelled is off the counter at once; whoever works on it finds that out before the next
//! step, and nothing of it is left.

use std::ops::ControlFlow;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::body::Bytes;
use serde::Serialize;
use tokio::sync::{Semaphore, watch};

use super::AtHand;
use super::order::{Commission, Order, Work};
use super::work::{Stage, WorkError, made};

/// So many things are made at once.
const AT_ONCE: usize = 2;
/// So many at most are being made or wait for it.
pub const MOST: usize = 6;
/// So many finished things are kept.
pub const KEPT: usize = 8;
/// So many bytes of finished things are kept, and no single one is larger.
pub const KEPT_BYTES: usize = 64 << 20;

/// Something on the counter.
struct Job {
    id: u64,
    order: Order,
    /// Of the book at which moment it is made.
    turn: u64,
    title: String,
    file: String,
    media_type: &'static str,
    state: State,
}

/// How far it is.
enum State {
    Waiting,
    Making(Stage),
    Ready(Bytes),
    Failed(String),
}

impl State {
    const fn finished(&self) -> bool {
        matches!(self, Self::Ready(_) | Self::Failed(_))
    }

    fn bytes(&self) -> usize {
        if let Self::Ready(bytes) = self { bytes.len() } else { 0 }
    }
}

/// What is told of something on the counter.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Told {
    /// Its number.
    pub id: u64,
    /// What it is, in words.
    pub title: String,
    /// The name of its file.
    pub file: String,
    /// `waiting`, `making`, `ready` or `failed`.
    pub state: &'static str,
    /// How far it has come.
    pub stage: Stage,
    /// How many bytes it has.
    pub bytes: usize,
    /// Why it could not be made.
    pub fault: Option<String>,
}

impl Job {
    fn told(&self) -> Told {
        let (state, stage, fault) = match &self.state {
            State::Waiting => ("waiting", Stage::default(), None),
            State::Making(stage) => ("making", stage.clone(), None),
            State::Ready(_) => ("ready", Stage::default(), None),
            State::Failed(fault) => ("failed", Stage::default(), Some(fault.clone())),
        };
        let Self { id, title, file, .. } = self;
        let (title, file, bytes) = (title.clone(), file.clone(), self.state.bytes());
        Told { id: *id, title, file, state, stage, bytes, fault }
    }
}

/// A file that can be fetched.
pub struct Fetched {
    /// Its name.
    pub file: String,
    /// What is in it, as a media type.
    pub media_type: &'static str,
    /// Its bytes.
    pub bytes: Bytes,
}

/// Why something is not to be had at the counter.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum CounterError {
    /// Too much is being made.
    #[error("{MOST} files are being made already. Wait for one of them, or cancel one.")]
    Full,
    /// There is no such thing.
    #[error("This file is not kept any more. Have it made again.")]
    Gone,
    /// It is not finished.
    #[error("This file is not ready yet. Wait until it is.")]
    NotYet,
    /// It could not be made.
    #[error("{0}")]
    Failed(String),
}

#[derive(Default)]
struct Jobs {
    last: u64,
    list: Vec<Job>,
}

impl Jobs {
    fn told(&self) -> Vec<Told> {
        self.list.iter().map(Job::told).collect()
    }

    fn job(&mut self, id: u64) -> Option<&mut Job> {
        self.list.iter_mut().find(|job| job.id == id)
    }

    /// Takes the oldest finished things away until the others have room.
    fn make_room(&mut self) {
        loop {
            let finished = || self.list.iter().filter(|job| job.state.finished());
            let bytes: usize = finished().map(|job| job.state.bytes()).sum();
            if finished().count() <= KEPT && bytes <= KEPT_BYTES {
                return;
            }
            let Some(oldest) = self.list.iter().position(|job| job.state.finished()) else {
                return;
            };
            self.list.remove(oldest);
        }
    }
}

/// The counter.
pub struct Counter {
    jobs: Mutex<Jobs>,
    told: watch::Sender<Vec<Told>>,
    places: Semaphore,
}

impl Default for Counter {
    fn default() -> Self {
        let (told, _) = watch::channel(Vec::new());
        Self { jobs: Mutex::default(), told, places: Semaphore::new(AT_ONCE) }
    }
}

impl Counter {
    fn jobs(&self) -> MutexGuard<'_, Jobs> {
        self.jobs.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// All that lies on it, the oldest first, whenever that changes.
    pub fn watch(&self) -> watch::Receiver<Vec<Told>> {
        self.told.subscribe()
    }

    /// All that lies on it, the oldest first.
    pub fn told(&self) -> Vec<Told> {
        self.jobs().told()
    }

    /// Changes what lies on it and tells everyone.
    fn change<T>(&self, what: impl FnOnce(&mut Jobs) -> T) -> T {
        let mut jobs = self.jobs();
        let done = what(&mut jobs);
        // Told while nobody can change it, so that what is told last is how it is.
        self.told.send_replace(jobs.told());
        done
    }

    /// Puts a commission down; tells whether it is to be made. What is being made or made
    /// already of the same book is not made twice.
    ///
    /// # Errors
    /// If too much is being made already.
    pub fn enter(&self, commission: &Commission) -> Result<(Told, bool), CounterError> {
        self.change(|jobs| {
            let Commission { order, turn, title, file, media_type, .. } = commission;
            let same = |job: &&Job| {
                (&job.order, job.turn) == (order, *turn) && !matches!(job.state, State::Failed(_))
            };
            if let Some(there) = jobs.list.iter().find(same) {
                return Ok((there.told(), false));
            }
            if jobs.list.iter().filter(|job| !job.state.finished()).count() >= MOST {
                return Err(CounterError::Full);
            }
            jobs.last += 1;
            let job = Job {
                id: jobs.last,
                order: order.clone(),
                turn: *turn,
                title: title.clone(),
                file: file.clone(),
                media_type,
                state: State::Waiting,
            };
            let told = job.told();
            jobs.list.push(job);
            Ok((told, true))
        })
    }

    /// Waits for its turn and makes it.
    pub async fn fill(self: Arc<Self>, id: u64, work: Work, at_hand: AtHand) {
        // The places are never closed.
        let Ok(_place) = self.places.acquire().await else { return };
        let counter = Arc::clone(&self);
        let done = tokio::task::spawn_blocking(move || counter.make(id, &work, &at_hand)).await;
        if done.is_err() {
            let fault = "The program has lost its way while making this; that is a fault of ours. \
                         Try it again.";
            self.settle(id, State::Failed(fault.to_owned()));
        }
    }

    /// Makes it with hands of its own: the bench has the others.
    pub(super) fn make(&self, id: u64, work: &Work, at_hand: &AtHand) {
        let watch = |stage: Stage| self.came_to(id, stage);
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        let hands = rayon::ThreadPoolBuilder::new().num_threads((cores / 2).max(1)).build();
        let made = match hands {
            Ok(hands) => hands.install(|| made(work, at_hand, &watch)),
            Err(_) => made(work, at_hand, &watch),
        };
        match made {
            Ok(bytes) => self.lay(id, bytes),
            Err(WorkError::Stopped) => {}
            Err(error) => self.settle(id, State::Failed(error.to_string())),
        }
    }

    /// Lays down what was made.
    pub(super) fn lay(&self, id: u64, bytes: Vec<u8>) {
        self.settle(id, ready(bytes));
    }

    /// It has come so far; whether it is still wanted.
    fn came_to(&self, id: u64, stage: Stage) -> ControlFlow<()> {
        self.change(|jobs| match jobs.job(id) {
            Some(job) => {
                // Of things that are done side by side the one that counts least may tell last.
                let back = matches!(&job.state, State::Making(now)
                    if now.said == stage.said && now.done > stage.done);
                if !back {
                    job.state = State::Making(stage);
                }
                ControlFlow::Continue(())
            }
            None => ControlFlow::Break(()),
        })
    }

    fn settle(&self, id: u64, state: State) {
        self.change(|jobs| {
            // Finished things lie in the order in which they were finished, and of the same
            // thing the newest alone.
            let Some(at) = jobs.list.iter().position(|job| job.id == id) else { return };
            let job = jobs.list.remove(at);
            jobs.list.retain(|other| !other.state.finished() || other.order != job.order);
            jobs.list.push(Job { state, ..job });
            jobs.make_room();
        });
    }

    /// Takes something away: it is not made any further, or not kept any more.
    ///
    /// # Errors
    /// If there is no such thing.
    pub fn clear(&self, id: u64) -> Result<(), CounterError> {
        self.change(|jobs| {
            let at = jobs.list.iter().position(|job| job.id == id).ok_or(CounterError::Gone)?;
            jobs.list.remove(at);
            Ok(())
        })
    }

    /// A file that is ready.
    ///
    /// # Errors
    /// If there is no such thing, or it is not ready.
    pub fn fetch(&self, id: u64) -> Result<Fetched, CounterError> {
        let mut jobs = self.jobs();
        let job = jobs.job(id).ok_or(CounterError::Gone)?;
        match &job.state {
            State::Ready(bytes) => Ok(Fetched {
                file: job.file.clone(),
                media_type: job.media_type,
                bytes: bytes.clone(),
            }),
            State::Failed(fault) => Err(CounterError::Failed(fault.clone())),
            State::Waiting | State::Making(_) => Err(CounterError::NotYet),
        }
    }
}

/// A file that was made, if it is not larger than what is kept.
fn ready(bytes: Vec<u8>) -> State {
    if bytes.len() <= KEPT_BYTES {
        return State::Ready(bytes.into());
    }
    let megabytes = |bytes: usize| bytes.div_ceil(1 << 20);
    State::Failed(format!(
        "This file has {} MB, and the page keeps none over {} MB. Take it as FLAC or MIDI, or \
         have it made by “apoyando build”.",
        megabytes(bytes.len()),
        megabytes(KEPT_BYTES)
    ))
}
