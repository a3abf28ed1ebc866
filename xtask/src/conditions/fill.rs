//! Fills in the places of the page's text.
//!
//! A place is `{{command}}` or `{{command arguments}}`; arguments of ladders are divided by `|`:
//! heading, path of the scenario, then the values.

use giveway_occupant::CAUTION;
use giveway_scenario::model::Threads;

use super::cases::{Case, Cases};
use super::{pictures, tables, words};

/// A picture: its name and its SVG.
pub type Picture = (String, String);

/// The page with every place filled, and its pictures in the order of the page.
pub fn page(
    template: &str,
    cases: &Cases,
    definitions: &str,
) -> Result<(String, Vec<Picture>), String> {
    let mut pictures = Vec::new();
    let mut shown: Vec<String> = Vec::new();
    let text = filled(template, |place| {
        let (command, rest) = place.split_once(' ').unwrap_or((place, ""));
        let parts: Vec<&str> = rest.split('|').map(str::trim).collect();
        let stem = parts[0];
        let case = || cases.get(stem);
        Ok(match command {
            "caution" => CAUTION.to_owned(),
            "say" => say(cases, stem)?,
            "file" => case()?.link(),
            "finding" => tables::finding(case()?),
            "outcome" => {
                shown.push(stem.to_owned());
                tables::outcome(case()?)?
            }
            "put_right" => tables::put_right(case()?),
            "ranking" => tables::ranking(cases)?,
            "flags" => tables::flag_words(cases, definitions)?,
            "shares" => tables::shares(case()?)?,
            "nut_factors" => nut_factors(),
            "ladder" | "clamp_ladder" => {
                let [_, heading, path, values @ ..] = parts.as_slice() else {
                    return Err("a ladder needs a heading, a path and values".to_owned());
                };
                let with_clamp = command == "clamp_ladder";
                tables::ladder(case()?, (heading, path), values, with_clamp)?
            }
            "picture" => {
                let case = case()?;
                let (svg, text) = pictures::beside_the_sound_base(case)?;
                pictures.push((case.stem.clone(), svg));
                text
            }
            _ => return Err(format!("there is no command `{command}`")),
        })
    })?;
    let hidden = cases.all().iter().find(|c| !shown.contains(&c.stem));
    match hidden {
        Some(case) => Err(format!("the page does not show {}", case.stem)),
        None => Ok((text, pictures)),
    }
}

/// Replaces every place by what `fill` says; blank lines at the end of a block are those of the text.
fn filled(
    template: &str,
    mut fill: impl FnMut(&str) -> Result<String, String>,
) -> Result<String, String> {
    let mut text = String::new();
    let mut rest = template;
    while let Some((before, after)) = rest.split_once("{{") {
        let (place, after) = after
            .split_once("}}")
            .ok_or_else(|| format!("a place without end: {{{{{}", &after[..after.len().min(40)]))?;
        text.push_str(before);
        let filling = fill(place).map_err(|e| format!("{{{{{place}}}}}: {e}"))?;
        text.push_str(filling.trim_end());
        rest = after;
    }
    text.push_str(rest);
    Ok(text)
}

/// One value in words: `case.scenario.field`, `case.found.field` or `case.right.field`.
fn say(cases: &Cases, path: &str) -> Result<String, String> {
    let mut names = path.split('.');
    let (Some(stem), Some(part), Some(field), None) =
        (names.next(), names.next(), names.next(), names.next())
    else {
        return Err("a value is named by case.part.field".to_owned());
    };
    let case = cases.get(stem)?;
    let said = match part {
        "scenario" => of_scenario(case, field),
        "found" => of_run(&case.found.summary, field),
        "right" => of_run(&case.right.summary, field),
        _ => None,
    };
    said.ok_or_else(|| format!("nothing is known of `{path}`"))
}

fn of_scenario(case: &Case, field: &str) -> Option<String> {
    let s = &case.scenario;
    Some(match field {
        "length" => format!("{:.0} m", s.support.pole_length_m),
        "car" => format!("{:.0} kg", s.vehicle.mass_kg),
        "speed" => format!("{:.0} km/h", 3.6 * s.impact.speed_mps),
        "wind" => format!("{:.0} km/h", 3.6 * s.site.wind_speed_mps),
        "torque" => format!("{:.0} N.m", s.base.torque_nm?),
        "nut_factor" => format!("{:.2}", s.base.nut_factor),
        _ => return None,
    })
}

fn of_run(s: &giveway_results::Summary, field: &str) -> Option<String> {
    let speed = |mps: f64| format!("{} ({mps:.2} m/s)", words::kmph(mps));
    let check = |key: &str| {
        let checks = &s.verdicts.first()?.checks;
        checks.iter().find(|c| c.key.starts_with(key))
    };
    Some(match field {
        "mass" => format!("{:.0} kg", s.support.mass_kg),
        "document" => s.headline.document.clone()?,
        "preferred" => speed(check("oiv_longitudinal")?.limit_preferred?),
        "maximum" => speed(check("oiv_longitudinal")?.limit_max?),
        "loss" => words::loss(s).ok()?,
        "held" => {
            let forces = s.joint.bolts.iter().map(|b| b.held_lower_n);
            format!("up to {}", words::kn(forces.fold(0.0, f64::max)))
        }
        "failing" => {
            let all: Vec<String> = words::failing(s)
                .map(|c| match (c.value, c.unit.as_str()) {
                    (Some(v), "m") => {
                        format!("{}, {}", c.name(), words::mm(v))
                    }
                    _ => c.name(),
                })
                .collect();
            all.join(", ")
        }
        "contact_end" => words::ms(s.times.contact_end_s?),
        "stub_limit" => words::mm(check("stub_height")?.limit_max?),
        _ => return None,
    })
}

fn nut_factors() -> String {
    let states = [
        ("waxed", Threads::Waxed),
        ("lubricated", Threads::Lubricated),
        ("dry", Threads::Dry),
        ("reused", Threads::Reused),
    ];
    let all: Vec<String> = states
        .iter()
        .filter_map(|(name, state)| Some(format!("{:.2} {name}", state.nut_factor()?)))
        .collect();
    all.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_filled_and_the_rest_stays() {
        let text = filled("a {{one}}\n\n{{two x | y}}\nz", |place| {
            Ok(format!("<{place}>\n\n"))
        });
        assert_eq!(text.unwrap(), "a <one>\n\n<two x | y>\nz");
    }

    #[test]
    fn a_place_without_end_or_meaning_is_refused() {
        assert!(filled("a {{one", |_| Ok(String::new())).is_err());
        let refused = filled("{{x}}", |_| Err("why".to_owned()));
        assert_eq!(refused.unwrap_err(), "{{x}}: why");
    }
}
