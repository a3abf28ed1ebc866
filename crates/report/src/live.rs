//! The page that answers: one offline file with the engine in it. Sliders change the scenario, the engine computes it in the
//! browser, and picture, bolt section, numbers and torque bar follow.
//!
//! The engine is `assets/engine.wasm.gz`, built from `crates/page` by `xtask engine`; it is the program's own code.

use std::f64::consts::TAU;

use giveway_results::Summary;
use giveway_scenario::Diagnostic;
use giveway_scenario::classes::{CLASSES, Class};
use giveway_scenario::model::{Anchorage, RoundWashers, Scenario};
use giveway_units::{Dimension, System, in_unit, spoken};
use serde_json::{Value, json};

use crate::FigureFile;
use crate::dossier::in_script;
use crate::dossier::picture::base64;
use crate::dossier::words::word;
use crate::printed::escaped;

const CSS: &str = include_str!("../assets/live/live.css");
const JS: &str = include_str!("../assets/live/live.js");
const WORKER: &str = include_str!("../assets/live/worker.js");
const PLAYER: &str = include_str!("../assets/player.js");
const ENGINE: &[u8] = include_bytes!("../assets/engine.wasm.gz");

/// What the page begins with.
#[derive(Debug)]
pub struct LivePage<'a> {
    /// The scenario's file.
    pub text: &'a str,
    /// Changes to it, as after `--set`: of the profile and of the command line.
    pub changes: &'a [(String, String)],
    /// The scenario that both give.
    pub scenario: &'a Scenario,
    /// Its results.
    pub summary: &'a Summary,
    /// Content of its `replay.json`.
    pub replay: Option<&'a str>,
    /// Still pictures for browsers that cannot compute or draw.
    pub stills: &'a [FigureFile],
    /// Units.
    pub system: System,
    /// What the engine warns of in the scenario.
    pub warnings: &'a [Diagnostic],
    /// States that can be opened on the page.
    pub cases: &'a [LiveCase],
}

/// A case of a lesson, which the page can open in the place of its scenario.
#[derive(Debug)]
pub struct LiveCase {
    /// What it is, a few words.
    pub name: String,
    /// View of the moving picture that it is looked at in.
    pub view: String,
    /// The scenario's file.
    pub text: String,
    /// Changes to it, as after `--set`.
    pub changes: Vec<(String, String)>,
    /// The scenario that both give.
    pub scenario: Scenario,
}

/// A slider in one system of units: unit, least, most, step, decimals.
type Scale = (&'static str, f64, f64, f64, usize);

/// A choice: what the scenario may say and what the page says for it, and which of them is the case.
type Choice = (Vec<(String, String)>, String);

/// Something that can be changed: its identifier; its key in the scenario, empty where the page writes several; its group and
/// its label. What is none is not there for this scenario.
struct Control(&'static str, &'static str, &'static str, &'static str, Kind);

enum Kind {
    /// The value in SI, its dimension, the scale in SI and in US units, what stands there instead of zero.
    Slider(
        fn(&Scenario) -> Option<f64>,
        Option<Dimension>,
        Scale,
        Scale,
        &'static str,
    ),
    Choice(fn(&Scenario) -> Option<Choice>),
}

impl Control {
    fn json(&self, s: &Scenario, system: System) -> Option<Value> {
        let Self(id, key, group, label, ref kind) = *self;
        match *kind {
            Kind::Choice(of) => of(s).map(|(mut options, value)| {
                for (_, words) in &mut options {
                    *words = spoken(words, system);
                }
                json!({ "kind": "choice", "id": id, "key": key, "group": group, "label": label, "options": options, "value": value })
            }),
            Kind::Slider(value, dimension, si, us, zero) => value(s).map(|value| {
                let (unit, min, max, step, digits) = if system == System::Us { us } else { si };
                let value = dimension.map_or(value, |d| in_unit(value, d, unit));
                // What the eye sees; the scenario's own value counts until the slider is moved.
                let value = (value * 1e6).round() / 1e6;
                json!({
                    "kind": "range", "id": id, "key": key, "group": group, "label": label, "value": value,
                    "min": min.min(value), "max": max.max(value), "step": step, "digits": digits, "unit": unit, "zero": zero,
                })
            }),
        }
    }
}

const BOLTS: &str = "Bolts";
const BLOW: &str = "The blow";
const FOUND: &str = "As found at the base";
const POLE: &str = "Pole and arm";
const LENGTH: Option<Dimension> = Some(Dimension::Length);
const NO_UNIT: Scale = ("", 0.05, 0.7, 0.01, 2);
const N_M: Scale = ("N.m", 20.0, 620.0, 5.0, 0);
const LBF_FT: Scale = ("lbf.ft", 15.0, 465.0, 5.0, 0);
const DEGREES: Scale = ("deg", -30.0, 30.0, 1.0, 0);
const HIGH_MM: Scale = ("mm", 0.0, 60.0, 1.0, 0);
const HIGH_IN: Scale = ("in", 0.0, 2.4, 0.1, 1);

/// Everything that can be changed, in the order of the page: id, key, group, label, kind.
#[rustfmt::skip]
const CONTROLS: [Control; 16] = [
    // What was measured counts before what was drawn.
    Control("torque", "as_found.torques", BOLTS, "Tightening torque", Kind::Slider(measured_torque, Some(Dimension::Torque), N_M, LBF_FT, "")),
    Control("torque", "slip_base.clamp.torque", BOLTS, "Tightening torque", Kind::Slider(drawn_torque, Some(Dimension::Torque), N_M, LBF_FT, "")),
    Control("friction", "slip_base.friction.inner", BOLTS, "Friction between the plates",
        Kind::Slider(|s| slips(s).then_some(s.base.friction_inner), None, NO_UNIT, NO_UNIT, "")),
    Control("threads", "as_found.threads", BOLTS, "Threads when tightened", Kind::Choice(threads)),
    Control("vehicle", "vehicle.class", BLOW, "Vehicle", Kind::Choice(vehicles)),
    Control("speed", "impact.speed", BLOW, "Speed",
        Kind::Slider(|s| Some(s.impact.speed_mps), Some(Dimension::Speed), ("km/h", 10.0, 110.0, 1.0, 0), ("mph", 6.0, 70.0, 1.0, 0), "")),
    Control("offset", "impact.offset", BLOW, "Offset, to the left of the middle",
        Kind::Slider(|s| Some(s.impact.offset_m), LENGTH, ("mm", -700.0, 700.0, 25.0, 0), ("in", -28.0, 28.0, 1.0, 0), "")),
    Control("heading", "impact.heading", BLOW, "Heading, turned to the left",
        Kind::Slider(|s| Some(s.impact.heading_rad), Some(Dimension::Angle), DEGREES, DEGREES, "")),
    Control("grout_depth", "", FOUND, "Grout above the underside of the heads", Kind::Slider(grout_depth, LENGTH, HIGH_MM, HIGH_IN, "none")),
    Control("grout_where", "", FOUND, "Where the grout is", Kind::Choice(grout_places)),
    Control("stub_height", "", FOUND, "Anchor bar above the lower plate", Kind::Slider(stub_height, LENGTH, HIGH_MM, HIGH_IN, "none")),
    Control("stub_where", "", FOUND, "Where the anchor bar is", Kind::Choice(stub_places)),
    Control("washers", "as_found.round_washers", FOUND, "Round washers", Kind::Choice(washers)),
    Control("pole_length", "support.pole.length", POLE, "Length of the pole",
        Kind::Slider(|s| Some(s.support.pole_length_m), LENGTH, ("m", 6.0, 16.0, 0.5, 1), ("ft", 20.0, 52.0, 1.0, 0), "")),
    Control("pole_wall", "support.pole.wall", POLE, "Wall of the pole",
        Kind::Slider(|s| Some(s.support.pole.wall_m), LENGTH, ("mm", 3.0, 8.0, 0.5, 1), ("in", 0.12, 0.32, 0.02, 2), "")),
    Control("arm_reach", "support.arm[1].reach", POLE, "Reach of the arm",
        Kind::Slider(|s| Some(s.support.arms.first()?.reach_m), LENGTH, ("m", 0.5, 6.0, 0.25, 2), ("ft", 2.0, 20.0, 1.0, 0), "")),
];

fn controls(s: &Scenario, system: System) -> Vec<Value> {
    CONTROLS.iter().filter_map(|c| c.json(s, system)).collect()
}

fn slips(s: &Scenario) -> bool {
    s.base.anchorage == Anchorage::Slip
}

fn measured_torque(s: &Scenario) -> Option<f64> {
    slips(s).then(|| s.as_found.torques_nm.first().copied())?
}

fn drawn_torque(s: &Scenario) -> Option<f64> {
    let drawn = slips(s) && s.as_found.torques_nm.is_empty();
    drawn.then(|| {
        s.base.torque_nm.unwrap_or_else(|| {
            let held = 1.0 - s.base.relaxation;
            s.base.preload_n * s.base.nut_factor * s.base.bolt.diameter_m / held
        })
    })
}

fn grout_depth(s: &Scenario) -> Option<f64> {
    let depth = (s.as_found.grout.as_ref()).map_or(0.0, |g| (-g.gap_m).max(0.0));
    slips(s).then_some(depth)
}

fn stub_height(s: &Scenario) -> Option<f64> {
    let height = s.as_found.stubs.first().map_or(0.0, |b| b.projection_m);
    slips(s).then_some(height)
}

fn words(list: &[(&str, &str)]) -> Vec<(String, String)> {
    list.iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
        .collect()
}

fn threads(s: &Scenario) -> Option<Choice> {
    let options = [
        ("as-designed", "as drawn"),
        ("waxed", "waxed"),
        ("lubricated", "lubricated"),
        ("dry", "dry"),
        ("reused", "used before, dry"),
    ];
    slips(s).then(|| (words(&options), word(&s.as_found.threads)))
}

fn vehicles(s: &Scenario) -> Option<Choice> {
    let named = |c: &Class| (c.name.clone(), c.meaning.clone());
    let options = CLASSES.iter().map(named).collect();
    Some((options, s.vehicle.class.clone()))
}

fn grout_places(s: &Scenario) -> Option<Choice> {
    let bolts = s.base.bolt_count;
    let mut places = words(&[("all", "at every bolt")]);
    for bolt in 1..=bolts {
        places.push((bolt.to_string(), format!("at bolt {bolt} only")));
    }
    let now = match s.as_found.grout.as_ref().map(|g| g.bolts.as_slice()) {
        Some([one]) => one.to_string(),
        Some(several) if !several.is_empty() && several.len() < bolts => {
            let several: Vec<String> = several.iter().map(ToString::to_string).collect();
            let key = several.join(", ");
            places.push((key.clone(), format!("at bolts {key}")));
            key
        }
        _ => "all".to_owned(),
    };
    slips(s).then_some((places, now))
}

fn stub_places(s: &Scenario) -> Option<Choice> {
    let degrees = s.as_found.stubs.first().map_or(0.0, |b| {
        (b.azimuth_rad.rem_euclid(TAU)).to_degrees().round()
    });
    let mut sides = words(&[
        ("0", "ahead, where the pole goes"),
        ("90", "to the left"),
        ("180", "behind, where the car comes from"),
        ("270", "to the right"),
    ]);
    let side = format!("{degrees:.0}");
    if !sides.iter().any(|(value, _)| *value == side) {
        sides.push((side.clone(), format!("at {side} degrees")));
    }
    slips(s).then_some((sides, side))
}

fn washers(s: &Scenario) -> Option<Choice> {
    let options = words(&[
        ("between", "between the plates, below the keeper"),
        ("above-keeper", "above the keeper"),
        ("missing", "missing"),
    ]);
    let now = match s.as_found.round_washers {
        RoundWashers::Between => "between",
        RoundWashers::AboveKeeper => "above-keeper",
        RoundWashers::Missing { .. } => "missing",
    };
    slips(s).then(|| (options, now.to_owned()))
}

/// Five steps for a trainer. They ask and do not tell: what happens is computed.
fn tour(s: &Scenario, system: System) -> Value {
    let us = system == System::Us;
    let depth = if us { 1.1 } else { 28.0 };
    let bar = if us { 1.0 } else { 25.0 };
    let tight = if us { 400.0 } else { 540.0 };
    let faster = (s.impact.speed_mps * 2.0 * if us { 3600.0 / 1609.344 } else { 3.6 })
        .round()
        .min(if us { 62.0 } else { 100.0 });
    json!([
        { "title": "The base as this scenario has it", "set": {},
          "text": "Play the picture, then step through the blow. Ask: which bolt goes first, and what does the car lose? Keep this state (Keep this one) to have it beside the next ones." },
        { "title": "Tightened too hard", "set": { "torque": tight },
          "text": "The torque stands far up. Drag it down slowly: where does the verdict change, and what does the bar say of the wind at the low end?" },
        { "title": "Grout round the bolt heads", "set": { "grout_depth": depth },
          "text": "Every head stands in hard grout. Ask before you look: can the heads still slide out of the notches? Then make the grout thinner, and try one bolt alone." },
        { "title": "An anchor bar left standing", "set": { "stub_height": bar, "stub_where": "0" },
          "text": "A bar stands up beside the upper plate. Choose ahead, left, behind and right: in which place does it matter? Cut it shorter until it does not." },
        { "title": "The same base, a faster car", "set": { "speed": faster },
          "text": "Nothing is changed but the speed. Ask: does a faster car lose more at a base that lets go? Compare with the state you kept, then write the scenario for your own notes." },
    ])
}

/// What a state of the page begins with: the file, its changes, and where the sliders stand.
fn state(
    name: &str,
    text: &str,
    changes: &[(String, String)],
    s: &Scenario,
    system: System,
) -> Value {
    json!({
        "name": spoken(name, system),
        "text": text,
        "changes": changes,
        "controls": controls(s, system),
        "grouted": s.as_found.grout.is_some(),
        "stubs": !s.as_found.stubs.is_empty(),
    })
}

/// The page as one file.
pub fn live_page(page: &LivePage) -> String {
    let s = page.scenario;
    let mut start = state("", page.text, page.changes, s, page.system);
    let cases: Vec<Value> = (page.cases.iter())
        .map(|c| {
            let mut case = state(&c.name, &c.text, &c.changes, &c.scenario, page.system);
            case["view"] = c.view.as_str().into();
            case
        })
        .collect();
    start["cases"] = cases.into();
    start["units"] = page.system.name().into();
    start["tour"] = tour(s, page.system);
    start["summary"] = json!(page.summary);
    start["warnings"] = json!(page.warnings);
    let start = in_script(&start.to_string());
    // The player on the page speaks the same units.
    let units = match page.system {
        System::Si => "",
        System::Us => " data-units=\"us\"",
    };
    let replay = page.replay.map_or_else(String::new, |replay| {
        format!(
            "<script type=\"application/json\" id=\"replay-1\">{}</script>\n",
            in_script(replay.trim())
        )
    });
    let player = if page.replay.is_some() { PLAYER } else { "" };
    let stills: String = (page.stills.iter())
        .map(|f| format!("<figure>{}</figure>\n", f.svg))
        .collect();
    let title = escaped(&s.title);
    let caution = escaped(giveway_occupant::CAUTION);
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"{units}>\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; \
         script-src 'unsafe-inline' 'wasm-unsafe-eval' blob:; worker-src blob:; img-src data: blob:; base-uri 'none'; form-action 'none'\">\n\
         <title>Try it: {title}</title>\n<style>\n{CSS}</style>\n</head>\n<body>\n\
         <header><h1 id=\"title\">{title}</h1><span id=\"state\" role=\"status\">The engine starts.</span>\
         <div class=\"acts\"><button type=\"button\" id=\"begin\" aria-expanded=\"false\" aria-controls=\"tour\">Guided tour</button>\
         <button type=\"button\" id=\"keep\" disabled>Keep this one</button><button type=\"button\" id=\"drop\" hidden>Drop the kept one</button>\
         <button type=\"button\" id=\"reset\" disabled>As at first</button>\
         <button type=\"button\" id=\"write\" disabled>Write the scenario</button></div></header>\n\
         <noscript><p class=\"notice wide\">This page computes with scripts, which are switched off here. The still pictures stay.</p></noscript>\n\
         <p class=\"notice wide\" id=\"nolive\"></p><p class=\"notice wide\" id=\"nogl\"></p>\n\
         <section class=\"tour\" id=\"tour\" aria-label=\"Guided tour\" hidden><p role=\"status\"><strong id=\"tourtitle\"></strong><span id=\"tourtext\"></span></p>\
         <button type=\"button\" id=\"back\">Back</button><button type=\"button\" class=\"go\" id=\"next\">Next</button>\
         <button type=\"button\" id=\"end\">Leave</button></section>\n\
         <main>\n<div class=\"controls\" id=\"controls\" role=\"group\" aria-label=\"What can be changed\">\
         <div id=\"cases\"></div><div id=\"sliders\"></div></div>\n\
         <div class=\"picture\"><section class=\"player\" data-replays=\"replay-1\" data-view=\"base\" data-charts=\"no\" tabindex=\"0\" aria-label=\"Moving picture\">\
         <div class=\"still\">\n{stills}</div></section></div>\n\
         <div class=\"facts\">\n<div class=\"blow\" id=\"blow\" role=\"status\"><strong id=\"outcome\"></strong><span class=\"lost\" id=\"lost\"></span>\
         <p class=\"why\" id=\"why\"></p><p class=\"caution\">{caution}</p></div>\n\
         <p class=\"notice\" id=\"trouble\" role=\"alert\"></p>\n\
         <div class=\"warned\" id=\"warned\" role=\"status\" hidden><h2>The engine warns</h2><ul id=\"warnings\"></ul></div>\n\
         <div class=\"torque\" id=\"torquebox\"><h2>Over the torque</h2><div class=\"barbox\"><b id=\"pointer\"></b>\
         <div class=\"bar\" id=\"bar\" role=\"img\" aria-label=\"not computed yet\"></div></div>\
         <div class=\"barends\"><span id=\"from\"></span><span id=\"to\"></span></div>\
         <p class=\"key\">\u{2713} blow passes, ! marginal, \u{2715} fails, ~ too loose for the design wind</p><p class=\"key\" id=\"barwords\"></p></div>\n\
         <figure><h2>Section through one bolt</h2><div id=\"section\"></div><figcaption id=\"fate\"></figcaption></figure>\n\
         <div class=\"numbers\"><h2>Numbers</h2><table><thead id=\"head\"></thead><tbody id=\"rows\"></tbody></table></div>\n\
         <div><h2>Remarks</h2><ul class=\"remarks\" id=\"remarks\"></ul></div>\n</div>\n</main>\n\
         <dialog id=\"paper\" aria-label=\"The scenario\"><h2>The scenario as a file</h2><p><code>giveway run scenario.toml</code> reads it back to the same digits.</p>\
         <textarea id=\"toml\" readonly aria-label=\"Text of the scenario\"></textarea>\
         <p><a id=\"save\" href=\"#\">Save as scenario.toml</a> <button type=\"button\" id=\"close\">Close</button></p></dialog>\n\
         <footer>{caution} The pole is computed in this browser by the engine of model version {model}, with the digits of <code>giveway run</code>; nothing leaves this device.</footer>\n\
         <script type=\"application/json\" id=\"start\">{start}</script>\n{replay}\
         <script type=\"text/plain\" id=\"worker\">{WORKER}</script>\n\
         <script type=\"text/plain\" id=\"engine\">{engine}</script>\n\
         <script>{player}</script>\n<script>\n{JS}</script>\n</body>\n</html>\n",
        model = page.summary.model_version,
        engine = base64(ENGINE),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_engine_is_the_one_of_its_checksum_and_small() {
        let told = include_str!("../assets/engine.wasm.gz.sha256");
        assert!(told.ends_with("  engine.wasm.gz\n"), "{told}");
        assert_eq!(ENGINE[..2], [0x1f, 0x8b], "not gzip");
        assert!(ENGINE.len() < 2_200_000, "{} bytes", ENGINE.len());
    }

    #[test]
    fn no_text_of_a_scenario_ends_its_script() {
        assert_eq!(
            in_script("{\"a\":\"</script>\"}"),
            "{\"a\":\"\\u003c/script\\u003e\"}"
        );
    }
}
