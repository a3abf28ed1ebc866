//! Solved supports, kept for the next run: the eigenproblem of pole and arms is solved once for all runs on
//! the same support, whatever else differs. The same body struck at another height keeps its modes.

use std::sync::{Arc, PoisonError, RwLock};

use giveway_impact::{ImpactError, Prepared, SupportSolution};
use giveway_scenario::model::Scenario;

/// Most solutions that are kept; the oldest leaves first. A run tries them one after the other.
const MOST: usize = 32;

/// Solved supports. It may be shared between threads; a support that two threads need at the same moment may be
/// solved twice, with the same digits.
#[derive(Debug, Default)]
pub struct Supports {
    known: RwLock<Vec<Arc<SupportSolution>>>,
}

impl Supports {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Makes a scenario ready on a kept solution, or solves its support and keeps it.
    ///
    /// # Errors
    /// As [`Prepared::new`].
    pub fn prepare(&self, scenario: &Scenario) -> Result<Prepared, ImpactError> {
        // A lock that a panic left behind still holds whole solutions.
        let known = self
            .known
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .clone();
        for solution in known.iter().rev() {
            match Prepared::with_support(scenario, Arc::clone(solution)) {
                Err(ImpactError::ForeignSupport) => {}
                outcome => return outcome,
            }
        }
        let struck_elsewhere = known.iter().rev().find_map(|s| s.struck_as(scenario));
        let solution = match struck_elsewhere {
            Some(solution) => solution,
            None => SupportSolution::solve(scenario)?,
        };
        let prepared = Prepared::with_support(scenario, solution)?;
        let mut known = self.known.write().unwrap_or_else(PoisonError::into_inner);
        if known.len() == MOST {
            known.remove(0);
        }
        known.push(prepared.solution());
        Ok(prepared)
    }

    /// How many solutions are kept.
    pub fn len(&self) -> usize {
        self.known
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .len()
    }

    /// Whether none is kept yet.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}
