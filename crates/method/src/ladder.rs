//! A scale in a position, checked against what the level allows, and the
//! runs that exercises make of it.

use apoyando_music::{Direction, NoteName, Pitch, Scale, ScaleKind};

use crate::advice::positions_where;
use crate::error::MethodError;
use crate::ground::{Ground, Rung, octaves};
use crate::setting::Setting;

/// The notes of a scale in a position, both ways.
pub(crate) struct Ladder<'a> {
    setting: &'a Setting<'a>,
    ground: Ground<'a>,
    scale: Scale,
    up: Vec<Rung>,
    down: Vec<Rung>,
}

impl<'a> Ladder<'a> {
    pub(crate) fn new(setting: &'a Setting<'a>, kind: ScaleKind) -> Result<Self, MethodError> {
        let scale = Scale::new(setting.key, kind)
            .ok_or(MethodError::ScaleOfOtherMode { key: setting.key, kind })?;
        let ground = ground(setting)?;
        let rungs = |direction| ground.rungs(&scale.notes(direction));
        let (up, down) = (rungs(Direction::Up), rungs(Direction::Down));
        Ok(Self { setting, ground, scale, up, down })
    }

    fn tonic(&self) -> NoteName {
        self.setting.key.tonic()
    }

    /// The lower tonics of the octaves that lie in the position both ways.
    pub(crate) fn octaves(&self) -> Vec<Pitch> {
        let down = octaves(&self.down, self.tonic());
        octaves(&self.up, self.tonic()).into_iter().filter(|low| down.contains(low)).collect()
    }

    /// What to say if the position holds no tonic octave.
    pub(crate) fn no_octave(&self) -> MethodError {
        let tonic = self.tonic();
        let others = positions_where(&self.ground, &self.scale.notes(Direction::Up), |rungs| {
            !octaves(rungs, tonic).is_empty()
        });
        MethodError::NoTonicOctave {
            key: self.setting.key,
            position: self.setting.position,
            others,
        }
    }

    /// From one note up to another. The melodic sixth and seventh are raised
    /// only on the way from the fifth to the tonic.
    pub(crate) fn ascend(&self, from: Pitch, to: Pitch) -> Result<Vec<Pitch>, MethodError> {
        let mut run: Vec<Pitch> = Vec::new();
        let steps = to.staff_step() - from.staff_step();
        for step in 0..=steps.max(0) {
            let at = from.staff_step() + step;
            let raised = self.scale.kind() != ScaleKind::MelodicMinor
                || self.is_between_fifth_and_tonic(at, from, to);
            let names = self.scale.notes(if raised { Direction::Up } else { Direction::Down });
            run.push(pitch_at(&names, at));
        }
        self.check(&run, &self.up, &self.down)?;
        Ok(run)
    }

    /// From one note down to another.
    pub(crate) fn descend(&self, from: Pitch, to: Pitch) -> Result<Vec<Pitch>, MethodError> {
        let names = self.scale.notes(Direction::Down);
        let run: Vec<Pitch> =
            (to.staff_step()..=from.staff_step()).rev().map(|at| pitch_at(&names, at)).collect();
        self.check(&run, &self.down, &self.up)?;
        Ok(run)
    }

    /// Whether a sixth or seventh stands in a run that passes the fifth below
    /// and the tonic above it; always so for other degrees.
    fn is_between_fifth_and_tonic(&self, at: i32, from: Pitch, to: Pitch) -> bool {
        let degree = (at - self.tonic().step.index()).rem_euclid(7) + 1;
        if degree < 6 {
            return true;
        }
        let fifth = at - (degree - 5);
        let tonic = at + (8 - degree);
        from.staff_step() <= fifth && tonic <= to.staff_step()
    }

    /// The lowest and the highest note of the position. The sixth and seventh
    /// at either end do not lead to the tonic, so melodic minor has them
    /// natural there.
    pub(crate) fn ends(&self) -> Option<(Pitch, Pitch)> {
        Some((self.down.first()?.pitch, self.down.last()?.pitch))
    }

    fn check(&self, run: &[Pitch], first: &[Rung], second: &[Rung]) -> Result<(), MethodError> {
        for pitch in run {
            let rung = first.iter().chain(second).find(|rung| rung.pitch == *pitch);
            let place = match rung {
                Some(Rung { extension: None, .. }) => continue,
                Some(Rung { extension: Some(_), .. }) if self.setting.level.extension > 0 => {
                    continue;
                }
                Some(Rung { extension: Some(place), .. }) => *place,
                None => return Err(self.no_octave()),
            };
            let names = self.scale.notes(Direction::Up);
            let others = positions_where(&self.ground, &names, |rungs| {
                rungs.iter().all(|rung| rung.extension.is_none())
                    && !octaves(rungs, self.tonic()).is_empty()
            });
            return Err(MethodError::NeedsExtension {
                note: pitch.up_octaves(1),
                position: self.setting.position,
                place,
                others,
            });
        }
        Ok(())
    }
}

/// The ground under the setting's position, if the level allows it.
pub(crate) fn ground<'a>(setting: &Setting<'a>) -> Result<Ground<'a>, MethodError> {
    let ground = Ground::new(setting.instrument, setting.level, setting.position);
    if ground.is_allowed() {
        return Ok(ground);
    }
    let others = Ground::all(setting.instrument, setting.level).map(|g| g.position).collect();
    Err(MethodError::PositionNotAllowed { position: setting.position, others })
}

/// The note of a scale on a step of the staff.
fn pitch_at(names: &[NoteName; 7], staff_step: i32) -> Pitch {
    let letter = apoyando_music::Step::from_index(staff_step);
    let name = names.iter().find(|name| name.step == letter).copied().unwrap_or(names[0]);
    name.in_octave(i8::try_from(staff_step.div_euclid(7)).unwrap_or(0))
}
