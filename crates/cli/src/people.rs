//! What the person at the terminal wants to read: units, and whose limits count. Set once, from the command line and the
//! environment.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use giveway_site::Profile;
use giveway_site::profile::named_in;
use giveway_units::{System, spoken, spoken_page};

use crate::arguments::Arguments;
use crate::input::{Refusal, text_up_to};

/// Environment variable of the units.
const UNITS: &str = "GIVEWAY_UNITS";
/// Environment variable of the profile.
const PROFILE: &str = "GIVEWAY_PROFILE";
/// Largest profile that is read, bytes.
const LARGEST: u64 = 1024 * 1024;

#[derive(Default)]
struct Wishes {
    /// Asked for on the command line.
    units: Option<System>,
    /// Of the environment.
    usual: Option<System>,
    /// Profile of the command line.
    of_line: Option<PathBuf>,
    /// Profile of the environment.
    of_environment: Option<PathBuf>,
    /// Units of that profile, where it can be read.
    of_profile: Option<System>,
}

static WISHES: OnceLock<Wishes> = OnceLock::new();
/// Units of the first profile that a scenario of this command names.
static OF_SCENARIO: OnceLock<System> = OnceLock::new();

/// Remembers what was asked for. The text says what is wrong with the environment.
pub fn remember(arguments: &Arguments) -> Result<(), String> {
    let variable = |name: &str| {
        std::env::var(name)
            .ok()
            .filter(|text| !text.trim().is_empty())
    };
    let usual = match variable(UNITS) {
        None => None,
        Some(text) => match System::named(&text) {
            Some(system) => Some(system),
            None => return Err(format!("error: {UNITS} is `{text}`; it may be si or us\n")),
        },
    };
    let of_line = arguments.profile.clone();
    let of_environment = variable(PROFILE).map(PathBuf::from);
    let profile = of_line.as_deref().or(of_environment.as_deref());
    // A profile with faults is complained about where it is used.
    let of_profile = profile.and_then(|p| read(p).ok()).and_then(|p| p.units);
    let _ = WISHES.set(Wishes {
        units: arguments.units,
        usual,
        of_line,
        of_environment,
        of_profile,
    });
    giveway_draw::paint_in(system(&Profile::trade()));
    Ok(())
}

fn wishes() -> &'static Wishes {
    WISHES.get_or_init(Wishes::default)
}

/// The units that were asked for on the command line.
pub fn asked() -> Option<System> {
    wishes().units
}

/// The units of pages and texts: asked for, of the profile, of the environment, SI.
pub fn system(profile: &Profile) -> System {
    let w = wishes();
    let of_line = w.of_line.as_ref().and(w.of_profile);
    w.units
        .or(profile.units)
        .or(of_line)
        .or(OF_SCENARIO.get().copied())
        .or(w.of_profile)
        .or(w.usual)
        .unwrap_or_default()
}

/// A text for people, in their units.
pub fn said(text: &str) -> String {
    spoken(text, system(&Profile::trade()))
}

/// A page for people, in their units; the picture that moves in it reads them from the page's root.
pub fn page(html: &str) -> String {
    let system = system(&Profile::trade());
    let said = spoken_page(html, system);
    match system {
        System::Si => said,
        System::Us => said.replacen("<html", "<html data-units=\"us\"", 1),
    }
}

/// The profile for a scenario: of the command line, else the one that it names, else of the environment, else the trade's;
/// and the scenario without that name.
pub fn profile_of(path: &Path, text: String) -> Result<(String, Profile), Refusal> {
    let named = named_in(&text);
    let (text, own) = match named {
        Some((own, rest)) => {
            let folder = path.parent().unwrap_or(Path::new(""));
            (rest, Some(folder.join(own)))
        }
        None => (text, None),
    };
    // What stands in the scenario is nearer than what stands in the environment; the command line is nearest.
    let w = wishes();
    let names_one = own.is_some();
    let file = w
        .of_line
        .clone()
        .or(own)
        .or_else(|| w.of_environment.clone());
    let mut profile = match file {
        Some(file) => read(&file)?,
        None => Profile::trade(),
    };
    if let Some(units) = profile.units.filter(|_| names_one && w.of_line.is_none()) {
        let _ = OF_SCENARIO.set(units);
        giveway_draw::paint_in(system(&Profile::trade()));
    }
    profile.units = profile.units.or(w.usual);
    Ok((text, profile))
}

fn read(path: &Path) -> Result<Profile, Refusal> {
    let text = text_up_to(path, LARGEST, "a profile has some kilobytes")?;
    Profile::read(&text, &path.display().to_string())
        .map_err(|list| Refusal::of_problems(list, &text))
}
