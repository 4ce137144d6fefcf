//! The command as it is typed, on small books and scores.

mod bad_input;
mod book;
mod demo;
mod finger;
mod front;
mod placed;
mod proofs;
mod question;
mod scratch;
mod standing;
