//! `giveway window`: the torque window of one scenario, its confidence, its fragility and what would open it.

use std::path::Path;

use giveway_report::study_figures::{
    WindowPicture, directions_figure, fragility_figure, window_figure,
};
use giveway_report::{FigureFile, ReportError, WindowFacts, window_text};
use giveway_scenario::model::Scenario;
use giveway_study::analysis::ColumnLimit;
use giveway_study::window::{CaseRequest, ImpactCase, cases};
use giveway_study::{StudyError, WindowAnswer, WindowAsked, window_answer};
use giveway_units::Dimension;

use crate::arguments::{Format, Window};
use crate::exit::Exit;
use crate::input::{self, Refusal};
use crate::output;
use crate::people;
use crate::rendering;
use crate::terminal::{complain, print};

/// The answer, and what the figures need besides.
struct Told {
    answer: WindowAnswer,
    design: Scenario,
}

/// Computes and prints the window.
pub fn window(arguments: &Window) -> Exit {
    match told(arguments).and_then(|told| give(arguments, &told)) {
        Ok(()) => Exit::Done,
        Err(refusal) => {
            complain(&refusal.text);
            refusal.exit
        }
    }
}

fn told(arguments: &Window) -> Result<Told, Refusal> {
    let file = &arguments.file;
    let request = request(arguments)?;
    let accepted = input::load(file, &arguments.set)?;
    complain(&accepted.warnings);
    let design = accepted.loaded.scenario;
    let (text, name) = (&accepted.text, file.display().to_string());
    let list = cases(text, &name, &accepted.changes, &request).map_err(|diagnostics| Refusal {
        exit: Exit::Scenario,
        text: rendering::diagnostics(&diagnostics, text),
        diagnostics,
    })?;
    honoured(arguments, &design, &list)?;
    let asked = WindowAsked {
        confidence: arguments.confidence,
        fragility: arguments.fragility,
        realisations: arguments.realisations,
        seed: arguments.seed,
        openings: arguments.changes,
        directions: arguments.directions.map(usize::from),
    };
    match window_answer(&design, &list, &asked) {
        Ok(answer) => Ok(Told { answer, design }),
        Err(problem) => {
            let exit = match problem {
                StudyError::Window(_) | StudyError::Sampling(_) => Exit::Usage,
                _ => Exit::Compute,
            };
            Err(Refusal::of_file(exit, file, &problem.to_string()))
        }
    }
}

/// Refuses a `--set` that the impacts of the window replace by values of their own: nothing that is asked is passed over.
fn honoured(arguments: &Window, design: &Scenario, list: &[ImpactCase]) -> Result<(), Refusal> {
    let wanted = &design.impact;
    for (path, _) in &arguments.set {
        let advice = if path == "impact.offset" {
            list.iter()
                .any(|c| c.scenario.impact.offset_m != wanted.offset_m)
                .then_some("each impact of a window has a place on the front of its own; `giveway run` computes one")
        } else if path == "impact.speed" {
            list.iter()
                .all(|c| (c.scenario.impact.speed_mps - wanted.speed_mps).abs() > 1.0e-6)
                .then_some("no impact of the window has this speed; say --speed")
        } else if path.starts_with("vehicle.") {
            list.iter()
                .all(|c| c.scenario.vehicle.class != design.vehicle.class)
                .then_some("no impact of the window has this vehicle; say --vehicle")
        } else {
            None
        };
        if let Some(advice) = advice {
            return Err(Refusal {
                exit: Exit::Usage,
                text: format!("--set {path}: error: {advice}\n"),
                diagnostics: Vec::new(),
            });
        }
    }
    Ok(())
}

/// What the command line says of the impacts.
fn request(arguments: &Window) -> Result<CaseRequest, Refusal> {
    let all = |texts: &[String], dimension, option: &str| -> Result<Vec<f64>, Refusal> {
        texts
            .iter()
            .map(|text| {
                giveway_units::parse(text, dimension)
                    .map(|q| q.si)
                    .map_err(|e| Refusal {
                        exit: Exit::Usage,
                        text: format!("{option} {text}: error: {e}\n"),
                        diagnostics: Vec::new(),
                    })
            })
            .collect()
    };
    let speeds_mps = all(&arguments.speed, Dimension::Speed, "--speed")?;
    if let Some(text) = (speeds_mps.iter().zip(&arguments.speed))
        .find_map(|(v, text)| (!(*v > 0.0 && v.is_finite())).then_some(text))
    {
        return Err(Refusal {
            exit: Exit::Usage,
            text: format!("--speed {text}: error: a speed must be above zero\n"),
            diagnostics: Vec::new(),
        });
    }
    Ok(CaseRequest {
        classes: arguments.vehicle.clone(),
        speeds_mps,
        headings_rad: all(&arguments.heading, Dimension::Angle, "--heading")?,
    })
}

fn give(arguments: &Window, told: &Told) -> Result<(), Refusal> {
    let facts = WindowFacts {
        title: &told.answer.title,
        window: &told.answer.window,
        confident: told.answer.confident.as_ref(),
        fragility: &told.answer.fragility,
        openings: &told.answer.changes,
        caution: told.answer.caution,
    };
    let text = window_text(&facts);
    let mut json = serde_json::to_string_pretty(&told.answer)
        .map_err(|e| Refusal::of_file(Exit::Compute, &arguments.file, &e.to_string()))?;
    json.push('\n');
    if let Some(folder) = &arguments.out {
        let problem = |path: &Path, e: String| Refusal::of_file(Exit::Io, path, &e);
        std::fs::create_dir_all(folder).map_err(|e| problem(folder, e.to_string()))?;
        for (name, content) in [("window.json", &json), ("window.txt", &text)] {
            let path = folder.join(name);
            output::write_file(&path, content.as_bytes()).map_err(|e| problem(&path, e))?;
        }
        let figures = figures(told)
            .map_err(|e| Refusal::of_file(Exit::Compute, &arguments.file, &e.to_string()))?;
        for f in &figures {
            let kinds: [(&str, &[u8]); 3] = [
                ("svg", f.svg.as_bytes()),
                ("png", &f.png),
                ("txt", f.alt_text.as_bytes()),
            ];
            for (ending, bytes) in kinds {
                // window.txt is the text of the whole.
                let ending = if ending == "txt" {
                    "figure.txt"
                } else {
                    ending
                };
                let path = folder.join(format!("{}.{ending}", f.name));
                output::write_file(&path, bytes).map_err(|e| problem(&path, e))?;
            }
        }
    }
    let spoken = people::said(&text);
    print(match arguments.format {
        Format::Text => &spoken,
        Format::Json => &json,
    });
    Ok(())
}

/// The window, a curve for each impact, the base from all sides: what was computed of these.
fn figures(told: &Told) -> Result<Vec<FigureFile>, ReportError> {
    let set = told.design.criteria.sets.first();
    let set = set.map(|set| set.name());
    let limit = ColumnLimit::of("velocity_change_mps", set);
    let picture = WindowPicture {
        title: &told.answer.title,
        window: &told.answer.window,
        confident: told.answer.confident.as_ref(),
        velocity_limit: limit.as_ref(),
        caution: told.answer.caution,
    };
    let mut list = vec![window_figure("window", &picture)?];
    for (i, curve) in told.answer.fragility.iter().enumerate() {
        let name = format!("fragility-{}", i + 1);
        list.push(fragility_figure(
            &name,
            &told.answer.title,
            curve,
            told.answer.caution,
        )?);
    }
    if !told.answer.directions.is_empty() {
        list.push(directions_figure(
            "directions",
            &told.answer.title,
            &told.design.base,
            &told.answer.directions,
            limit.as_ref(),
            told.answer.caution,
        )?);
    }
    Ok(list)
}
