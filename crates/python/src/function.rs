//! Functions of the module.

use pyo3::prelude::*;
use pyo3::types::{PyCFunction, PyDict, PyTuple};

use crate::refusal::Refusal;

/// Adds a function of its arguments in their order.
pub fn function<T>(
    m: &Bound<'_, PyModule>,
    name: &'static std::ffi::CStr,
    work: impl Fn(&Bound<'_, PyTuple>) -> PyResult<T> + Send + Sync + 'static,
) -> PyResult<()>
where
    T: for<'py> IntoPyObject<'py>,
{
    let call = move |args: &Bound<'_, PyTuple>, _: Option<&Bound<'_, PyDict>>| work(args);
    m.add_function(PyCFunction::new_closure(m.py(), Some(name), None, call)?)
}

/// Adds a function of one text that gives a text.
pub fn texts(
    m: &Bound<'_, PyModule>,
    name: &'static std::ffi::CStr,
    work: fn(&str) -> Result<String, Refusal>,
) -> PyResult<()> {
    function(m, name, move |args| {
        let request: String = args.get_item(0)?.extract()?;
        let py = args.py();
        py.detach(|| work(&request)).map_err(|r| r.raised(py))
    })
}
