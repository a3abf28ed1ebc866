//! What ends the program from outside.

use std::io;

/// An interrupt or a request to end removes what is half written, then ends the program with 128 and the signal's number.
/// A file that grows over its limit is an error of writing, not the end of the program.
#[cfg(unix)]
pub fn clear_up_on_end() -> io::Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    errors_of_writing()?;
    let mut signals = signal_hook::iterator::Signals::new([SIGINT, SIGTERM, SIGHUP])?;
    std::thread::Builder::new().spawn(move || {
        if let Some(signal) = signals.forever().next() {
            giveway_results::give_up();
            signal_hook::low_level::exit(128 + signal);
        }
    })?;
    Ok(())
}

/// Elsewhere the system's own way stays.
#[cfg(not(unix))]
pub fn clear_up_on_end() -> io::Result<()> {
    Ok(())
}

/// A file that grows over its limit is an error of writing.
pub fn errors_of_writing() -> io::Result<()> {
    #[cfg(unix)]
    signal_hook::flag::register(signal_hook::consts::SIGXFSZ, std::sync::Arc::default())?;
    Ok(())
}
