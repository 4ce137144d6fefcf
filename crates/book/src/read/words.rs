//! The words that a plan may use for values.

use apoyando_fingering::{BarreLimit, HandSize, Stroke};
use apoyando_music::{Base, NoteValue};

use crate::node::Choice;
use crate::plan::{Density, Language, Minor, Paper, PrintedParts};

impl Choice for Paper {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("a4", Self::A4), ("letter", Self::Letter), ("9x12", Self::NineByTwelve)];
}

impl Choice for PrintedParts {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("score", Self::Score), ("student", Self::Student), ("teacher", Self::Teacher)];
}

impl Choice for Language {
    const CHOICES: &'static [(&'static str, Self)] = &[("en", Self::English)];
}

impl Choice for Density {
    const CHOICES: &'static [(&'static str, Self)] = &[
        ("every-note", Self::EveryNote),
        ("where-needed", Self::WhereNeeded),
        ("none", Self::None),
    ];
}

impl Choice for Stroke {
    const CHOICES: &'static [(&'static str, Self)] = &[("rest", Self::Rest), ("free", Self::Free)];
}

impl Choice for BarreLimit {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("none", Self::None), ("small", Self::Small), ("half", Self::Half), ("full", Self::Full)];
}

impl Choice for HandSize {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("small", Self::Small), ("medium", Self::Medium), ("large", Self::Large)];
}

impl Choice for Minor {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("natural", Self::Natural), ("harmonic", Self::Harmonic), ("melodic", Self::Melodic)];
}

impl Choice for NoteValue {
    const CHOICES: &'static [(&'static str, Self)] = &[
        ("whole", Self::plain(Base::Whole)),
        ("half", Self::plain(Base::Half)),
        ("dotted-half", Self::dotted(Base::Half)),
        ("quarter", Self::plain(Base::Quarter)),
        ("dotted-quarter", Self::dotted(Base::Quarter)),
        ("eighth", Self::plain(Base::Eighth)),
        ("sixteenth", Self::plain(Base::N16)),
    ];
}

/// The word of an item.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Kind {
    Scale,
    PositionScale,
    Arpeggio,
    Triads,
    Progression,
    Solo,
    Duet,
    Text,
}

impl Choice for Kind {
    const CHOICES: &'static [(&'static str, Self)] = &[
        ("scale", Self::Scale),
        ("position-scale", Self::PositionScale),
        ("arpeggio", Self::Arpeggio),
        ("triads", Self::Triads),
        ("progression", Self::Progression),
        ("solo", Self::Solo),
        ("duet", Self::Duet),
        ("text", Self::Text),
    ];
}

/// Levels that have a name of their own.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum KnownLevel {
    First,
    Open,
}

impl Choice for KnownLevel {
    const CHOICES: &'static [(&'static str, Self)] =
        &[("first", Self::First), ("open", Self::Open)];
}
