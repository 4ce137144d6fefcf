//! Findings: what a teacher should know before the student does.

use std::fmt;

use serde::Serialize;

use crate::remedy::Remedy;

/// How much a finding weighs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing.
    Advice,
    /// Probably not meant.
    Warning,
    /// The book must not go out like this.
    Error,
}

/// Where a finding is.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize)]
pub struct FindingPlace {
    /// The file, as the author knows it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// Line in the file, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<u32>,
    /// Number of the bar as printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bar: Option<u32>,
    /// Beat in the bar, from 1, as text: `2`, `3½`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beat: Option<String>,
    /// The part, by name or number, in scores of several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
}

/// One finding.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Serialize)]
pub struct Finding {
    /// The rule it comes from, in kebab-case: `barre-not-allowed`.
    pub rule: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// Where it is.
    pub place: FindingPlace,
    /// What is the matter, in a sentence a teacher understands.
    pub message: String,
    /// What can be done, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remedy: Option<String>,
    /// What of it the program can do when it is told to.
    #[serde(skip)]
    pub remedies: Vec<Remedy>,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Advice => "advice",
            Self::Warning => "warning",
            Self::Error => "error",
        })
    }
}

/// `file:line, part, bar, beat`, as far as known.
impl fmt::Display for FindingPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut said = Vec::new();
        match (&self.file, self.line) {
            (Some(file), Some(line)) => said.push(format!("{file}:{line}")),
            (Some(file), None) => said.push(file.clone()),
            _ => {}
        }
        said.extend(self.part.clone());
        said.extend(self.bar.map(|bar| format!("bar {bar}")));
        said.extend(self.beat.as_ref().map(|beat| format!("beat {beat}")));
        f.write_str(&said.join(", "))
    }
}

/// One line: place, weight, sentence, remedy.
impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = self.place.to_string();
        if !place.is_empty() {
            write!(f, "{place}: ")?;
        }
        write!(f, "{}: {}", self.severity, self.message)?;
        if let Some(remedy) = &self.remedy {
            write!(f, " ({remedy})")?;
        }
        write!(f, " [{}]", self.rule)
    }
}
