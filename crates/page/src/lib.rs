//! The engine of the offline page: text in, text out, no file, no clock, no thread. `xtask engine` compiles it to
//! WebAssembly; the page calls it in a worker. The digits are those of the program.
//!
//! A request is JSON; [`Engine::answer`] tells what it may hold. An answer is JSON too: results, or the diagnostics of the
//! scenario, or the reason why there is none. A request never ends the engine.

mod abi;
mod engine;

pub use engine::Engine;
