//! Which fingering marks are printed
