//! `giveway scene`: the motion of a computed run as an animated 3-D scene, binary glTF 2.0.

use giveway_results::read_replay;

use crate::arguments::Scene;
use crate::exit::Exit;
use crate::input::{OrRefuse, Refusal, altered_or_io};
use crate::output;
use crate::terminal::ended;

/// Writes the file.
pub fn scene(arguments: &Scene) -> Exit {
    ended(written(arguments), arguments.quiet)
}

fn written(arguments: &Scene) -> Result<String, Refusal> {
    let folder = &arguments.result;
    let replay = read_replay(folder).map_err(|e| altered_or_io(folder, &e))?;
    let bytes = replay.to_glb().or_refuse(Exit::Compute, folder)?;
    let out = arguments
        .out
        .clone()
        .unwrap_or_else(|| folder.with_extension("glb"));
    output::put(&out, &bytes)?;
    Ok(format!(
        "{}: {} bytes, glTF 2.0 with animation, metres and seconds, y up\n",
        out.display(),
        bytes.len()
    ))
}
