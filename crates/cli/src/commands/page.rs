//! `giveway page`: one offline page with the engine in it, on which a scenario answers while sliders are moved.

use giveway_report::{LivePage, live_page};
use giveway_results::Replay;
use giveway_study::compute_with_conditions;

use crate::arguments::Page;
use crate::exit::Exit;
use crate::input::{self, Refusal};
use crate::output;
use crate::people;
use crate::terminal::ended;

/// Writes the page.
pub fn page(arguments: &Page) -> Exit {
    ended(written(arguments), arguments.quiet)
}

fn written(arguments: &Page) -> Result<String, Refusal> {
    let file = &arguments.file;
    let mut accepted = input::load(file, &arguments.set)?;
    let loaded = &mut accepted.loaded;
    // Pictures and replay need the histories, whatever the scenario says.
    loaded.scenario.output.history = true;
    loaded.scenario.output.figures = true;
    let failed = |problem: String| Refusal::of_file(Exit::Compute, file, &problem);
    let computed = compute_with_conditions(&loaded.scenario, loaded.assumptions.len())
        .map_err(|e| failed(e.to_string()))?;
    let (engagement, summary) = (&computed.engagement, &computed.summary);
    let figures = giveway_report::draw_all(&loaded.scenario, engagement, summary)
        .map_err(|e| failed(e.to_string()))?;
    let stills: Vec<_> = (figures.into_iter())
        .filter(|figure| figure.name == "storyboard")
        .collect();
    let replay = if engagement.frames.is_empty() {
        None
    } else {
        let bytes = Replay::of(&loaded.scenario, engagement, summary, &loaded.resolved_text)
            .and_then(|replay| replay.to_bytes())
            .map_err(|e| failed(e.to_string()))?;
        Some(String::from_utf8(bytes).map_err(|e| failed(e.to_string()))?)
    };
    let page = live_page(&LivePage {
        text: &accepted.text,
        changes: &accepted.changes,
        scenario: &loaded.scenario,
        summary,
        replay: replay.as_deref(),
        stills: &stills,
        system: people::system(&accepted.profile),
    });
    let out = match &arguments.out {
        Some(out) => out.clone(),
        None => file.with_extension("html"),
    };
    output::write_file(&out, page.as_bytes()).map_err(|e| Refusal::of_file(Exit::Io, &out, &e))?;
    Ok(format!(
        "{}: {:.1} MB, opens from disk without a network\n",
        out.display(),
        page.len() as f64 / 1e6
    ))
}
