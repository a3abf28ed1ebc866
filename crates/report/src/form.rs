//! The form of one pole: an offline page for phone and tablet on which an inspector enters what was measured, and which saves
//! a record that `giveway inspect` reads. Everything comes from the table of requirements.

use giveway_site::requirements::{Item, Measure, REQUIREMENTS};
use giveway_site::{PoleType, limit_words};
use giveway_units::{Dimension, System};
use serde_json::{Value, json};

use crate::printed::escaped;

const CSS: &str = include_str!("../assets/form.css");
const JS: &str = include_str!("../assets/form.js");

/// Units that the form offers, the SI one first.
fn units(item: &Item) -> Vec<&'static str> {
    match item.measure {
        Measure::Quantity(Dimension::Angle, _) => vec!["deg", "in/ft", "mm/m"],
        Measure::Quantity(Dimension::Length, "m") => vec!["m", "ft"],
        Measure::Quantity(dimension, usual) => {
            let us = dimension.units().iter().map(|u| u.name);
            let wanted = System::Us.unit(dimension, usual);
            let mut list = vec![usual];
            list.extend(us.filter(|name| *name == wanted && *name != usual));
            list
        }
        _ => Vec::new(),
    }
}

fn entry(item: &Item, title: &str, limit: [String; 2], bolts: usize, details: Vec<Value>) -> Value {
    let kind = match item.measure {
        Measure::None => "word",
        Measure::Date => "date",
        Measure::Bolts => "bolts",
        _ => "number",
    };
    let listed = item.path.is_some_and(|path| path.contains("[]"));
    let (count, each) = match (item.several, listed) {
        (true, false) => (bolts, "bolt"),
        (true, true) => (4, "bar"),
        _ => (1, ""),
    };
    let words: Vec<[&str; 2]> = item.words.iter().map(|w| [w.word, w.meaning]).collect();
    json!({
        "key": item.key,
        "title": title,
        "measured": item.measured,
        "tool": item.tool.words(),
        "kind": kind,
        "units": units(item),
        "words": words,
        "count": count,
        "each": each,
        "limit": limit,
        "details": details,
    })
}

/// The page for a type; records name it `type_path`, a path from their folder.
pub fn form_page(pole_type: &PoleType, type_path: &str, system: System) -> String {
    let bolts = pole_type.design.base.bolt_count;
    let items: Vec<Value> = REQUIREMENTS
        .iter()
        .map(|row| {
            let detail =
                |item: &Item| entry(item, item.measured, Default::default(), bolts, Vec::new());
            let details = row.details.iter().map(|d| detail(&d.item)).collect();
            let limit = System::ALL.map(|s| limit_words(row, pole_type.basis(), s));
            entry(&row.item, row.title, limit, bolts, details)
        })
        .collect();
    let data = json!({ "type": type_path, "units": system.name(), "items": items });
    // No text of the data can end the script.
    let data = data.to_string().replace('<', "\\u003c");
    let checked = |s: System| if s == system { " checked" } else { "" };
    let title = escaped(&pole_type.design.title);
    let profile = escaped(&pole_type.profile.title());
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; \
         script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n\
         <title>Inspection form: {title}</title>\n<style>\n{CSS}</style>\n</head>\n<body>\n<main>\n\
         <h1>Inspection: {title}</h1>\n<p class=\"soft\">Limits: {profile}. What is entered stays on this device until it is saved.</p>\n\
         <form>\n<fieldset>\n<legend>Pole</legend>\n\
         <label for=\"pole\">Number of the pole</label><input type=\"text\" id=\"pole\" name=\"pole\" autocomplete=\"off\">\n\
         <label for=\"date\">Date</label><input type=\"date\" id=\"date\" name=\"date\">\n\
         <label for=\"inspector\">Inspector</label><input type=\"text\" id=\"inspector\" name=\"inspector\">\n\
         <label for=\"position\">Position, latitude and longitude in degrees</label>\
         <input type=\"text\" id=\"position\" name=\"position\" autocomplete=\"off\">\
         <button type=\"button\" id=\"here\">Take this device's position</button>\n\
         <label for=\"photo\">Names of photos, divided by ;</label><input type=\"text\" id=\"photo\" name=\"photo\" autocomplete=\"off\">\n\
         <label for=\"wrench\">Number of the torque wrench</label><input type=\"text\" id=\"wrench\" name=\"wrench\">\n\
         <label for=\"remark\">Place and remarks</label><input type=\"text\" id=\"remark\" name=\"remark\" autocomplete=\"off\">\n\
         </fieldset>\n<fieldset>\n<legend>Units</legend>\n<div class=\"choices\">\
         <label class=\"choice\"><input type=\"radio\" name=\"units\" value=\"si\"{}><span>mm, N.m</span></label>\
         <label class=\"choice\"><input type=\"radio\" name=\"units\" value=\"us\"{}><span>in, lbf.ft</span></label></div>\n</fieldset>\n\
         <div id=\"form\"></div>\n</form>\n<div role=\"alert\" id=\"problems\"></div>\n\
         <label for=\"out\">The record, to copy where saving is not possible</label>\n\
         <textarea id=\"out\" name=\"out\" readonly></textarea>\n\
         <button type=\"button\" id=\"clear\">Empty the form for the next pole</button>\n\
         <p class=\"soft\">{}</p>\n</main>\n\
         <div class=\"foot\"><div><span id=\"count\"></span><button type=\"button\" class=\"go\" id=\"save\">Save record</button></div></div>\n\
         <script type=\"application/json\" id=\"items\">{data}</script>\n<script>\n{JS}</script>\n</body>\n</html>\n",
        checked(System::Si),
        checked(System::Us),
        escaped(giveway_occupant::CAUTION),
    )
}
