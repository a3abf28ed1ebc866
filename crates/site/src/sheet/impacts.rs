//! Whether the design that the sheet describes passes the tests of its governing document at the torque of the sheet. A torque
//! at which it does not is told before everything else.

use giveway_occupant::Blow;
use giveway_scenario::Diagnostic;
use giveway_scenario::model::{AsFound, Scenario};
use giveway_study::{Supports, governing, with_vehicle};
use giveway_units::spoken;

use super::facts::InstallationSheet;
use crate::solver::solve;

impl InstallationSheet {
    /// Computes both tests of the first document that the design is judged by, and puts a remark before the others for each
    /// that it does not pass. A design without a document has none. `text` is the scenario with nothing left out.
    ///
    /// # Errors
    /// What the scenario says against the vehicle of a test.
    pub fn tell_tests(
        &mut self,
        text: &str,
        design: &Scenario,
        supports: &Supports,
    ) -> Result<(), Vec<Diagnostic>> {
        let Some(&set) = design.criteria.sets.first() else {
            return Ok(());
        };
        let mut told = Vec::new();
        for test in governing(set, design.impact.speed_mps) {
            let heading = design.impact.velocity_direction_rad;
            let own = &design.vehicle.class;
            let mut scenario = with_vehicle(text, "scenario.toml", &[], own, test.class, heading)?;
            test.apply(&mut scenario);
            scenario.as_found = AsFound::default();
            let run = solve(&scenario, supports);
            let verdict = match run.blow {
                Blow::Fail => "does not pass",
                Blow::NotEvaluated => "could not be judged by",
                Blow::Pass | Blow::Marginal | Blow::Undecided => continue,
            };
            let speed = run
                .velocity_change_mps
                .map_or_else(String::new, |v| format!("velocity change {v:.1} m/s. "));
            told.push(format!(
                "At this torque the base as designed {verdict} test {} ({:.0} kg at {:.0} km/h): {speed}{} Settle the torque \
                 with the designer first; the torque window tells which torques serve.",
                test.name, scenario.vehicle.mass_kg, test.speed_kmph, run.sentence
            ));
        }
        let system = self.system();
        let mut remarks: Vec<String> = told.iter().map(|t| spoken(t, system)).collect();
        remarks.append(&mut self.remarks);
        self.remarks = remarks;
        Ok(())
    }
}
