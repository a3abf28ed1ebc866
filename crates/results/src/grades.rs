//! The grades of the check in the wind, in words.

use giveway_mechanics::retention::{Event, Grade, SMALL_TRAVEL_M};

use crate::summary::{GradeCheck, RetentionCheck};

/// The name of a grade, as in the summary.
pub fn grade_name(grade: Grade) -> &'static str {
    match grade {
        Grade::Service => "service",
        Grade::Strength => "strength",
        Grade::Survival => "survival",
    }
}

/// What the wind of a grade is called.
pub fn wind_name(grade: Grade) -> &'static str {
    match grade {
        Grade::Service => "yearly wind",
        Grade::Strength => "design gust",
        Grade::Survival => "700-year wind",
    }
}

/// What happens to a base in the wind, for example "bolt 2 gaps".
pub fn event_words(by: Event, bolt: Option<usize>) -> String {
    let who = bolt.map_or_else(|| "a bolt".to_owned(), |b| format!("bolt {b}"));
    match by {
        Event::Gaps => format!("{who} gaps"),
        Event::Slides => format!("{who} slides in its notches"),
        Event::Travels => {
            let mm = 1e3 * SMALL_TRAVEL_M;
            format!("the plates slip by more than {mm:.0} mm")
        }
        Event::Yields => format!("{who} or its plate yields"),
        Event::Strips => format!("the threads of the nut on {who} strip"),
        Event::ComesApart => "the base comes apart".to_owned(),
    }
}

impl GradeCheck {
    /// "yearly wind of 24 m/s: holds, bears 1.35 times its pressure, then bolt 2 gaps".
    pub fn words(&self) -> String {
        let wind = format!("{} of {:.0} m/s", wind_name(self.grade), self.wind_mps);
        let ends = self.by.map(|by| event_words(by, self.bolt));
        let borne = self.margin_fraction.map(|m| {
            let times = 1.0 + m;
            format!("bears {times:.2} times its pressure, then ")
        });
        match (self.holds, ends, borne) {
            (true, Some(ends), Some(borne)) => format!("{wind}: holds, {borne}{ends}"),
            (true, ..) => format!("{wind}: holds"),
            (false, Some(ends), _) => format!("{wind}: DOES NOT HOLD, {ends}"),
            (false, None, _) => format!("{wind}: DOES NOT HOLD, a bolt without clamp"),
        }
    }
}

impl RetentionCheck {
    /// The grades one after the other: "service (yearly wind of 24 m/s: holds); strength (...); survival (...)".
    pub fn words(&self) -> String {
        let told = |g: &GradeCheck| format!("{} ({})", grade_name(g.grade), g.words());
        let list: Vec<String> = self.grades.iter().map(told).collect();
        list.join("; ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nut_that_strips_is_told_from_a_bolt_that_yields() {
        let said = |by| event_words(by, Some(2));
        assert_eq!(said(Event::Yields), "bolt 2 or its plate yields");
        assert_eq!(
            said(Event::Strips),
            "the threads of the nut on bolt 2 strip"
        );
    }
}
