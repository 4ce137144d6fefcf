//! What is to be prepared in a piece.

mod facts;
mod kit;
mod rounds;
