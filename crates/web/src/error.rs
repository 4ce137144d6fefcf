//! Why a book could not be opened in the browser.

use std::io;
use std::path::PathBuf;

use apoyando_book::journal::JournalError;

/// Why a book could not be opened in the browser.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// There is no such folder.
    #[error("{path}: there is no such folder; make a book with “apoyando new”", path = .0.display())]
    NoFolder(PathBuf),
    /// The journal of its edits cannot be read.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// The port cannot be had.
    #[error("port {port} of this computer cannot be had: {error}; name another with --port")]
    Port {
        /// The port.
        port: u16,
        /// What the system says.
        error: io::Error,
    },
    /// The system gives no threads.
    #[error("the pages cannot be served: {0}")]
    System(io::Error),
}
