//! The extension module of the Python package `giveway`: functions of texts. A request is JSON, an answer is JSON, and a
//! table is a capsule that is handed out by the C interfaces of Arrow. What a caller sees - functions, classes, types - is
//! written in Python, in `python/giveway`.
//!
//! No function holds the interpreter while it computes. Nothing is printed and no program is started.

mod arrow;
mod function;
mod json;
mod many;
mod measured;
mod refusal;
mod single;
mod site;
mod watch;

use pyo3::ffi;
use pyo3::prelude::*;
use pyo3::types::PyTuple;

use function::{function, texts};

/// The module; Python calls this by its name.
#[allow(unsafe_code, non_snake_case)]
#[unsafe(no_mangle)]
pub extern "C" fn PyInit__giveway() -> *mut ffi::PyObject {
    // Python holds its own lock while it loads a module, and keeps the definition for ever.
    Python::attach(|py| {
        let definition = Box::leak(Box::new(ffi::PyModuleDef {
            m_base: ffi::PyModuleDef_HEAD_INIT,
            m_name: c"_giveway".as_ptr(),
            m_doc: std::ptr::null(),
            m_size: -1,
            m_methods: std::ptr::null_mut(),
            m_slots: std::ptr::null_mut(),
            m_traverse: None,
            m_clear: None,
            m_free: None,
        }));
        // SAFETY: the definition is whole and lives for ever; a null result is an exception that is set.
        let made = unsafe {
            let made = ffi::PyModule_Create(definition);
            Bound::from_owned_ptr_or_err(py, made)
        };
        let made = made
            .and_then(|made| Ok(made.cast_into::<PyModule>()?))
            .and_then(|module| filled(&module).map(|()| module));
        match made {
            Ok(module) => module.into_ptr(),
            Err(problem) => {
                problem.restore(py);
                std::ptr::null_mut()
            }
        }
    })
}

fn filled(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add("__version__", env!("CARGO_PKG_VERSION"))?;
    m.add("model_version", giveway_mechanics::MODEL_VERSION)?;
    m.add("caution", giveway_occupant::CAUTION)?;
    texts(m, c"read", single::read)?;
    texts(m, c"run", single::run)?;
    texts(m, c"picture", single::picture)?;
    texts(m, c"window", single::window)?;
    texts(m, c"inspect", site::inspect)?;
    texts(m, c"plan", many::plan)?;
    texts(m, c"merge", many::merged)?;
    texts(m, c"may_be_written", many::may_be_written)?;
    function(m, c"study", |args| {
        let (request, progress) = asked(args)?;
        many::study(args.py(), &request, progress.as_ref())
    })?;
    function(m, c"fit", |args| {
        let (request, progress) = asked(args)?;
        measured::fit(args.py(), &request, progress.as_ref())
    })?;
    function(m, c"record", |args| {
        let request: String = args.get_item(0)?.extract()?;
        measured::record(args.py(), &request)
    })?;
    arrow::add(m)
}

/// A request, and a callable or `None`.
fn asked<'py>(args: &Bound<'py, PyTuple>) -> PyResult<(String, Option<Bound<'py, PyAny>>)> {
    let progress = args.get_item(1)?;
    let progress = (!progress.is_none()).then_some(progress);
    Ok((args.get_item(0)?.extract()?, progress))
}
