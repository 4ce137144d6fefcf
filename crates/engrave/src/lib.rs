//! From a score and its marks to ink: spacing, casting off, placement, diagrams
