//! Calendar dates as written, and the days between them. No clock: what "today" is, the record says.
//!
//! References
//! - ISO 8601: year-month-day.
//! - Days are counted in eras of 400 years (146 097 days), years beginning on 1 March (derived).

use std::fmt;

/// A day of the Gregorian calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    year: i64,
    month: i64,
    day: i64,
}

impl Date {
    /// Reads `2025-09-12`; none where the text is not written so or the calendar has no such day.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let digits = |part: &str, length: usize| -> Option<i64> {
            (part.len() == length && part.bytes().all(|b| b.is_ascii_digit()))
                .then(|| part.parse().ok())?
        };
        let mut parts = text.split('-');
        let date = Self {
            year: digits(parts.next()?, 4)?,
            month: digits(parts.next()?, 2)?,
            day: digits(parts.next()?, 2)?,
        };
        let real = parts.next().is_none()
            && (1..=12).contains(&date.month)
            && (1..=date.days_of_month()).contains(&date.day);
        real.then_some(date)
    }

    /// What to write for a text that is no date: each day that it may mean, where it is three numbers such as `11/20/2026`.
    pub fn meant(key: &str, text: &str) -> String {
        const MONTHS: [&str; 12] = [
            "January",
            "February",
            "March",
            "April",
            "May",
            "June",
            "July",
            "August",
            "September",
            "October",
            "November",
            "December",
        ];
        let parts: Vec<i64> = text
            .trim()
            .split(['/', '.', '-', ' '])
            .filter_map(|part| part.parse().ok())
            .collect();
        let days: Vec<Self> = match parts.as_slice() {
            &[a, b, year] if (1000..=9999).contains(&year) => [(a, b), (b, a)]
                .into_iter()
                .filter_map(|(month, day)| Self::parse(&format!("{year:04}-{month:02}-{day:02}")))
                .collect(),
            _ => Vec::new(),
        };
        let said = |date: &Self| {
            let month = MONTHS[(date.month - 1) as usize];
            format!("{key} = {date} for {} {month} {}", date.day, date.year)
        };
        match days.as_slice() {
            [] => format!("{key} = 2025-09-12"),
            [one] => said(one),
            [one, other, ..] if one == other => said(one),
            [one, other, ..] => format!("{}, or {}", said(one), said(other)),
        }
    }

    /// Whether a slip base can have been inspected then: not before 1950, not after 2100. There is no clock to tell
    /// whether a day is still to come.
    pub fn is_likely(self) -> bool {
        (1950..=2100).contains(&self.year)
    }

    fn days_of_month(self) -> i64 {
        let leap = self.year % 4 == 0 && (self.year % 100 != 0 || self.year % 400 == 0);
        match self.month {
            2 if leap => 29,
            2 => 28,
            4 | 6 | 9 | 11 => 30,
            _ => 31,
        }
    }

    /// Days since 1 March of the year 0.
    fn days(self) -> i64 {
        let (year, month) = if self.month > 2 {
            (self.year, self.month - 3)
        } else {
            (self.year - 1, self.month + 9)
        };
        let era = year.div_euclid(400);
        let year_of_era = year.rem_euclid(400);
        let day_of_year = (153 * month + 2) / 5 + self.day - 1;
        era * 146_097 + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year
    }

    /// Days from this date to a later one; negative where that lies before.
    pub fn days_to(self, later: Self) -> i64 {
        later.days() - self.days()
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// A span of days as a crew says it, never longer than it is: "2 years", "7 months", "6 weeks", "9 days". A day or two more
/// than whole years are whole years.
pub fn span_of_days(days: f64) -> String {
    const YEAR: f64 = 365.25;
    const MONTH: f64 = YEAR / 12.0;
    let years = libm::round(days / YEAR);
    let (count, unit) = if years >= 1.0 && (-0.5..=2.0).contains(&(days - YEAR * years)) {
        (years, "year")
    } else if days >= 2.0 * MONTH {
        (libm::floor(days / MONTH), "month")
    } else if days >= 14.0 {
        (libm::floor(days / 7.0), "week")
    } else {
        (libm::floor(days), "day")
    };
    let many = if count == 1.0 { "" } else { "s" };
    format!("{count:.0} {unit}{many}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> Date {
        Date::parse(text).unwrap_or_else(|| panic!("{text}"))
    }

    #[test]
    fn days_between_known_dates() {
        // Unix day numbers: 1970-01-01 is 0, 2000-02-29 is 11 016 (951 782 400 s), 2001-09-09 is 11 574.
        let zero = date("1970-01-01");
        assert_eq!(zero.days_to(date("2000-02-29")), 11_016);
        assert_eq!(zero.days_to(date("2001-09-09")), 11_574);
        assert_eq!(date("2024-02-28").days_to(date("2024-03-01")), 2);
        assert_eq!(date("2023-02-28").days_to(date("2023-03-01")), 1);
        assert_eq!(date("2025-01-01").days_to(date("2024-12-31")), -1);
    }

    #[test]
    fn days_of_other_centuries_are_not_likely() {
        for (text, likely) in [
            ("1949-12-31", false),
            ("1950-01-01", true),
            ("2100-12-31", true),
            ("2101-01-01", false),
            ("0025-09-12", false),
        ] {
            assert_eq!(date(text).is_likely(), likely, "{text}");
        }
    }

    #[test]
    fn a_date_with_strokes_is_asked_back_with_both_readings() {
        assert_eq!(
            Date::meant("date", "11/20/2026"),
            "date = 2026-11-20 for 20 November 2026"
        );
        assert_eq!(
            Date::meant("date", "11/12/2026"),
            "date = 2026-11-12 for 12 November 2026, or date = 2026-12-11 for 11 December 2026"
        );
        assert_eq!(
            Date::meant("date", "5.5.2026"),
            "date = 2026-05-05 for 5 May 2026"
        );
        assert_eq!(Date::meant("date", "yesterday"), "date = 2025-09-12");
    }

    #[test]
    fn only_days_of_the_calendar() {
        for wrong in [
            "",
            "2025",
            "2025-02-29",
            "2025-13-01",
            "2025-00-10",
            "2025-1-1",
            "12.09.2025",
            "2025-09-12-1",
            "2025-09-31",
            "20x5-01-01",
            "2100-02-29",
        ] {
            assert_eq!(Date::parse(wrong), None, "{wrong}");
        }
        assert_eq!(date(" 2024-02-29 ").to_string(), "2024-02-29");
        assert_eq!(date("2000-02-29").to_string(), "2000-02-29");
    }

    /// The sheet said "every 731 days" for the interval of the torque. Expected: a crew's words, never a longer time.
    #[test]
    fn spans_are_said_as_a_crew_says_them() {
        for (days, said) in [
            (731.0, "2 years"),
            (730.5, "2 years"),
            (366.0, "1 year"),
            (365.0, "1 year"),
            (1461.0, "4 years"),
            (300.0, "9 months"),
            (61.0, "2 months"),
            (45.7, "6 weeks"),
            (14.0, "2 weeks"),
            (9.9, "9 days"),
            (1.0, "1 day"),
        ] {
            assert_eq!(span_of_days(days), said, "{days}");
        }
    }
}
