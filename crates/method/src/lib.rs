//! Position advice and the writers of exercises
