//! The command as it is typed, on small books and scores.

mod bad_input;
mod book;
mod finger;
mod question;
mod scratch;
