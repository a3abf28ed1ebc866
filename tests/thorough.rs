//! How long the tests search at random: a quarter of the cases, and all of them where `GIVEWAY_THOROUGH` is set, as `.ci/run`
//! sets it.

/// Cases of a search that has `all` of them in `.ci/run`.
pub fn of(all: u32) -> u32 {
    if std::env::var_os("GIVEWAY_THOROUGH").is_some() {
        all
    } else {
        all.div_ceil(4)
    }
}
