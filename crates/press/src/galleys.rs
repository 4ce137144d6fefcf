//! All takes of a document, measured.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use crate::cast::Galley;
use crate::document::Document;
use crate::error::PressError;
use crate::forme::{Plates, forme};
use crate::steps::{Step, Watch, step};
use crate::take::Take;
use crate::typesetter::galley;

/// What is known of a take.
#[derive(Clone)]
pub enum Known {
    /// Nothing.
    Nothing,
    /// What was measured of it before it changed.
    Before(Arc<Galley>),
    /// What was measured of it; it did not change.
    Same(Arc<Galley>),
}

/// The galleys of takes, side by side. A take that did not change since it was
/// measured brings its galley and is not measured again. Contents list the heads of
/// all takes, so that the one that holds them comes last; it is measured again if
/// they list something else.
pub fn galleys(
    document: &Document,
    takes: Vec<(Take, Known)>,
    watch: Watch<'_>,
) -> Result<Vec<Arc<Galley>>, PressError> {
    let (of, done) = (takes.len(), AtomicUsize::new(0));
    let measured =
        || step(watch, Step::Measured { takes: done.fetch_add(1, Ordering::Relaxed) + 1, of });
    let (front, rest): (Vec<_>, Vec<_>) = takes.into_iter().partition(|(take, _)| take.front);
    let rest = rest.into_par_iter().map(|(take, known)| {
        let galley = match known {
            Known::Same(known) => known,
            Known::Before(before) => Arc::new(galley(document, &take, Vec::new(), Some(&before))?),
            Known::Nothing => Arc::new(galley(document, &take, Vec::new(), None)?),
        };
        measured().map(|()| galley)
    });
    let rest: Vec<Arc<Galley>> = rest.collect::<Result<_, PressError>>()?;
    let mut all = Vec::with_capacity(front.len() + rest.len());
    for (take, known) in front {
        let mut listed = match &known {
            Known::Same(known) => known.forme.entries.clone(),
            _ => forme(document, &take, &[], Plates::Blank)?.entries,
        };
        listed.extend(rest.iter().flat_map(|galley| galley.forme.entries.iter().cloned()));
        all.push(match known {
            Known::Same(known) if known.listed == listed => known,
            _ => Arc::new(galley(document, &take, listed, None)?),
        });
        measured()?;
    }
    all.extend(rest);
    Ok(all)
}
