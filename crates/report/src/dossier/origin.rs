//! Where the numbers come from: what a reviewer needs to get them again.

use giveway_results::{Manifest, RunContents};

/// Title of the chapter.
pub const TITLE: &str = "Where the numbers come from";

use super::markup::Markup;

/// Provenance of one run.
pub fn of_run(m: &mut Markup, run: &RunContents) {
    let a = &run.manifest;
    let mut facts = vec![("Folder".to_owned(), run.folder.clone())];
    facts.extend(shared(a, "Hash of the resolved scenario (BLAKE3)"));
    facts.push((
        "Random numbers".to_owned(),
        "none: equal input and model version give equal digits".to_owned(),
    ));
    m.facts("rows", &facts);
    m.paragraph(
        "The folder holds the resolved scenario; running it with the same version of the model gives the same digits again.",
    );
}

/// What a manifest says of a run or a study.
pub fn shared(a: &Manifest, hash: &str) -> Vec<(String, String)> {
    let features = if a.features.is_empty() {
        "none".to_owned()
    } else {
        a.features.join(", ")
    };
    let (version, profile) = (&a.version, &a.profile);
    let program = format!("giveway {version}, {profile} build, features: {features}");
    let started = format!("{} (took {:.1} s)", a.started, a.wall_time_s);
    [
        (hash, a.input_blake3.clone()),
        ("Model version", a.model_version.to_string()),
        ("Program", program),
        ("Platform", format!("{}, {} threads", a.platform, a.threads)),
        ("Started", started),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .to_vec()
}
