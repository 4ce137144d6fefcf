//! Reading and writing, from small files of our own.

mod bad_input;
mod dump;
mod files;
mod round_trip;
mod writing;
