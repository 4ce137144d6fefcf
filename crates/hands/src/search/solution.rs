//! The search as a whole: laid out, priced, and its best way.

use std::sync::OnceLock;

use apoyando_fingering::Price;

use crate::hand::Played;

use super::cost::TooLarge;
use super::from_start::{self, FromStart};
use super::grips::Faults;
use super::ground::Ground;
use super::known::Known;
use super::layout::{GaveUp, lay_again, lay_out};
use super::meets::Places;
use super::seams::Fixed;
use super::settle::{self, Settled};
use super::sheets::Sheets;
use super::stage::{Choice, Stage};
use super::{to_end, walk};

/// A left hand searched for, with all that was weighed.
#[derive(Clone, Debug)]
pub(crate) struct Search {
    pub ground: Ground,
    pub sheets: Sheets,
    pub stages: Vec<Stage>,
    /// How the hand begins at the ends of seams.
    pub fixed: Fixed,
    /// The best way.
    pub way: Vec<Choice>,
    /// The effort of it.
    pub effort: i64,
    tables: OnceLock<Tables>,
    /// The stages priced with nothing assumed of seams, and their tables.
    unassumed: OnceLock<Box<(Vec<Stage>, Tables)>>,
}

/// What prices the best way through any state.
#[derive(Clone, Debug)]
pub(crate) struct Tables {
    pub from_start: Vec<FromStart>,
    /// By layer, the least cost from any of its states to the end.
    pub least_to_end: Vec<i64>,
}

impl Search {
    /// Searches from the beginning.
    pub fn new(ground: Ground) -> Result<Self, GaveUp> {
        let mut sheets = Sheets::default();
        let mut stages = lay_out(&ground, &mut sheets)?;
        let Settled { fixed, way, effort } =
            settle::settle((&ground, &sheets.places), &mut stages, None);

        Ok(Self {
            ground,
            sheets,
            stages,
            fixed,
            way,
            effort,
            tables: OnceLock::new(),
            unassumed: OnceLock::new(),
        })
    }

    /// Searches again after the rules of some layers were read anew.
    ///
    /// A layer's postures depend on its rules and on what comes in from before,
    /// so that only these layers are laid out again, and those after them while
    /// something else comes in. Costs to the end are kept above the least of
    /// their layer: where those of a layer come out as they were, so do all before it.
    pub fn again(&mut self, layers: &[usize]) -> Result<(), GaveUp> {
        self.tables = OnceLock::new();
        self.unassumed = OnceLock::new();
        let laid = lay_again(&self.ground, &mut self.sheets, &mut self.stages, layers)?;
        let Some(last) = laid.last() else { return Ok(()) };
        if !self.ground.music.order.seams.is_empty() {
            let settled =
                settle::settle((&self.ground, &self.sheets.places), &mut self.stages, None);
            Settled { fixed: self.fixed, way: self.way, effort: self.effort } = settled;
            return Ok(());
        }
        let first = to_end::price_again(
            (&self.ground, &self.sheets.places),
            &self.fixed,
            &mut self.stages,
            &laid,
        );
        let kit = (&self.ground, &self.fixed);
        self.way = walk::again(kit, &self.stages, &self.way, (first, *last));
        self.effort = settle::effort(&self.stages, &self.way);
        Ok(())
    }

    /// The same search, to be changed and solved again.
    pub fn to_be_changed(&self) -> Self {
        Self {
            ground: self.ground.clone(),
            sheets: self.sheets.clone(),
            stages: self.stages.clone(),
            fixed: self.fixed.clone(),
            way: self.way.clone(),
            effort: self.effort,
            tables: OnceLock::new(),
            unassumed: OnceLock::new(),
        }
    }

    /// What pricing stages needs besides them.
    pub const fn kit(&self) -> (&Ground, &Places) {
        (&self.ground, &self.sheets.places)
    }

    /// What prices ways through any state, worked out when it is first asked for.
    pub fn tables(&self) -> &Tables {
        self.tables
            .get_or_init(|| tables(self.kit(), &self.fixed, &self.stages, &mut Known::default()))
    }

    /// The same where nothing is assumed of seams and they cost nothing.
    pub fn unassumed(&self) -> &(Vec<Stage>, Tables) {
        self.unassumed.get_or_init(|| {
            let (mut stages, fixed) = (self.stages.clone(), Fixed::default());
            let kit = (&self.ground, &self.sheets.places);
            to_end::price_all(kit, &fixed, &mut stages, &mut Known::default());
            let tables = tables(kit, &fixed, &stages, &mut Known::default());
            Box::new((stages, tables))
        })
    }

    /// The least faults of every layer.
    pub fn faults(&self) -> impl Iterator<Item = Faults> + '_ {
        self.stages.iter().map(|stage| stage.faults)
    }

    /// The price of the best way.
    pub fn price(&self) -> Price {
        Price {
            escapes: self.faults().map(|f| u32::from(f.0)).sum(),
            broken: self.faults().map(|f| u32::from(f.1)).sum(),
            effort: u64::try_from(self.effort).unwrap_or(0),
        }
    }

    /// How a sound struck at a layer is played in a state.
    pub fn played(&self, layer: usize, index: usize, choice: Choice) -> Played {
        let struck = self.ground.music.layers[layer].struck().len();
        let stage = &self.stages[layer];
        stage.played(stage.stand(choice).shape, struck)[index]
    }

    /// The effort of the best way through a state.
    pub fn effort_through(&self, tables: &Tables, layer: usize, choice: Choice) -> Option<i64> {
        through(tables, &self.stages, layer, choice)
    }
}

/// The effort of the best way through a state, by the tables of some stages.
pub(crate) fn through(
    tables: &Tables,
    stages: &[Stage],
    layer: usize,
    choice: Choice,
) -> Option<i64> {
    let stage = &stages[layer];
    let to_end = stage.to_end(choice);
    let from_start = tables.from_start[layer].to(stage, choice)?;
    (to_end != super::sheet::NEVER)
        .then(|| from_start + i64::from(to_end) + tables.least_to_end[layer])
}

/// The tables of stages that are priced to their ends.
pub(crate) fn tables(
    (ground, places): (&Ground, &Places),
    fixed: &Fixed,
    stages: &[Stage],
    known: &mut Known,
) -> Tables {
    let mut sum = 0;
    let mut least_to_end: Vec<i64> = Vec::with_capacity(stages.len());
    for stage in stages.iter().rev() {
        sum += stage.rise;
        least_to_end.push(sum);
    }
    least_to_end.reverse();
    let from_start = from_start::price_all::<i16>((ground, places), fixed, stages, known)
        .or_else(|TooLarge| from_start::price_all::<i32>((ground, places), fixed, stages, known))
        .unwrap_or_default();
    Tables { from_start, least_to_end }
}
