//! The book folder: plan, pieces, prose
