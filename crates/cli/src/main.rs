//! The command `apoyando`.

fn main() {}
