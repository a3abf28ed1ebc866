//! `giveway window`: the torque window of one scenario, its confidence, its fragility and what would open it.

use giveway_report::study_figures::{
    WindowPicture, directions_figure, fragility_figure, window_figure,
};
use giveway_report::{FigureFile, ReportError, designs_text, window_text};
use giveway_scenario::model::Scenario;
use giveway_site::Profile;
use giveway_study::analysis::ColumnLimit;
use giveway_study::window::{
    CaseRequest, CaseWords, DesignProblem, DesignRequest, Source, cases, passed_over,
    search_designs,
};
use giveway_study::{StudyError, WindowAnswer, WindowAsked, window_answer};
use giveway_units::{Dimension, System};

use crate::arguments::{Format, Window};
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal};
use crate::output;
use crate::people;
use crate::terminal::{complain, ended, print};

/// The answer, and what the figures need besides.
struct Told {
    answer: WindowAnswer,
    design: Scenario,
}

/// Computes and prints the window.
pub fn window(arguments: &Window) -> Exit {
    let done = if arguments.search {
        searched(arguments)
    } else {
        told(arguments).and_then(|told| give(arguments, &told))
    };
    ended(done.map(|()| String::new()), true)
}

fn told(arguments: &Window) -> Result<Told, Refusal> {
    let file = &arguments.file;
    let request = request(arguments)?;
    let accepted = input::load(file, &arguments.set)?;
    complain(&accepted.warnings);
    let design = accepted.loaded.scenario;
    let (text, name) = (&accepted.text, file.display().to_string());
    let list = cases(text, &name, &accepted.changes, &request)
        .map_err(|list| Refusal::of_problems(list, text))?;
    if let Some(problem) = passed_over(&arguments.set, &design, &list) {
        return Err(usage(&problem));
    }
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

/// Searches over bolt size, circle and number of bolts, and prints.
fn searched(arguments: &Window) -> Result<(), Refusal> {
    let file = &arguments.file;
    let request = request(arguments)?;
    let circle = |text: &String| {
        let found = giveway_units::parse(text, Dimension::Length).map(|q| q.si);
        match found {
            Ok(m) if m > 0.0 && m.is_finite() => Ok(m),
            Ok(_) => Err(usage(&format!(
                "--bolt-circle {text}: error: a diameter must be above zero"
            ))),
            Err(e) => Err(usage(&format!("--bolt-circle {text}: error: {e}"))),
        }
    };
    let asked = DesignRequest {
        sizes: arguments.bolt_size.clone(),
        circles_m: (arguments.bolt_circle.iter())
            .map(circle)
            .collect::<Result<_, _>>()?,
        bolts: arguments.bolts.clone(),
    };
    let accepted = input::load(file, &arguments.set)?;
    complain(&accepted.warnings);
    let name = file.display().to_string();
    let source = Source {
        text: &accepted.text,
        file: &name,
        changes: &accepted.changes,
    };
    let found = search_designs(source, &request, &asked).map_err(|problem| match problem {
        DesignProblem::Scenario(list) => Refusal::of_problems(list, &accepted.text),
        DesignProblem::PassedOver(text) => usage(&text),
        DesignProblem::Asked(text) => usage(&format!("--search: error: {text}")),
    })?;
    let json = serde_json::to_string(&found).or_refuse(Exit::Compute, file)? + "\n";
    let text = designs_text(&found, people::system(&Profile::trade()));
    if let Some(folder) = &arguments.out {
        output::make_folder(folder)?;
        output::put(&folder.join("designs.json"), json.as_bytes())?;
        output::put(&folder.join("designs.txt"), text.as_bytes())?;
    }
    print(match arguments.format {
        Format::Text => &text,
        Format::Json => &json,
    });
    if found.combinations.iter().all(|c| c.refused.is_some()) {
        let none = "--search: error: the scenario's checks refuse every combination";
        return Err(Refusal::of_file(Exit::Scenario, file, none));
    }
    Ok(())
}

/// What the command line says of the impacts.
fn request(arguments: &Window) -> Result<CaseRequest, Refusal> {
    let words = CaseWords {
        vehicles: arguments.vehicle.clone(),
        speeds: arguments.speed.clone(),
        headings: arguments.heading.clone(),
        offsets: arguments.offset.clone(),
        documents: arguments.document.clone(),
        criteria: arguments.criteria.clone(),
    };
    words.read().map_err(|e| usage(&format!("--{e}")))
}

fn usage(text: &str) -> Refusal {
    Refusal {
        exit: Exit::Usage,
        text: format!("{text}\n"),
        diagnostics: Vec::new(),
    }
}

fn give(arguments: &Window, told: &Told) -> Result<(), Refusal> {
    let text = window_text(&told.answer, System::Si);
    let file = &arguments.file;
    let json = serde_json::to_string(&told.answer).or_refuse(Exit::Compute, file)? + "\n";
    if let Some(folder) = &arguments.out {
        output::make_folder(folder)?;
        output::put(&folder.join("window.json"), json.as_bytes())?;
        output::put(&folder.join("window.txt"), text.as_bytes())?;
        let figures = figures(told).or_refuse(Exit::Compute, file)?;
        // window.txt is the text of the whole.
        output::put_figures(folder, &figures, "figure.txt")?;
    }
    match arguments.format {
        Format::Text => print(&window_text(
            &told.answer,
            people::system(&Profile::trade()),
        )),
        Format::Json => print(&json),
    }
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
        table: &told.answer.table,
        confident: told.answer.confident.as_ref(),
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
