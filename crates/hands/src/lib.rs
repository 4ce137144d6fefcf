//! The exact search for both hands
