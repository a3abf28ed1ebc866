//! `giveway form`: an offline page on which an inspector enters one pole.

use giveway_site::PoleType;

use crate::arguments::Form;
use crate::exit::Exit;
use crate::input::{self, Refusal};
use crate::output;
use crate::people;
use crate::terminal::ended;

/// Writes the form of a type.
pub fn form(arguments: &Form) -> Exit {
    ended(written(arguments), false)
}

fn written(arguments: &Form) -> Result<String, Refusal> {
    let file = &arguments.file;
    let (text, profile) = people::profile_of(file, input::text_of(file)?)?;
    let name = file.display().to_string();
    let pole_type = PoleType::read_with(&text, &name, &profile)
        .map_err(|list| Refusal::of_problems(list, &text))?;
    let out = match &arguments.out {
        Some(out) => out.clone(),
        None => file.with_extension("html"),
    };
    let type_path = arguments.type_path.clone().unwrap_or(name);
    let page = giveway_report::form_page(&pole_type, &type_path, people::system(&profile));
    output::put(&out, page.as_bytes())?;
    Ok(format!(
        "{}: form for {} (records name the type {type_path})\n",
        out.display(),
        pole_type.design.title
    ))
}
