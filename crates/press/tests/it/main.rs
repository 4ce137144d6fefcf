//! The press from the outside: documents in, PDF and PNG out.

mod bad_input;
mod fonts;
mod opener;
mod pages;
mod picture;
mod plates;
mod proofs;
mod sample;
mod words;
