//! Types of the fingering layer: placements, positions, barres, pins, level, effort table, findings
