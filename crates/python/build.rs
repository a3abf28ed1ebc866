//! The interpreter that loads the module brings Python's own functions: the linker of macOS must be told not to miss them.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    if std::env::var("CARGO_CFG_TARGET_OS").is_ok_and(|os| os == "macos") {
        for argument in ["-undefined", "dynamic_lookup"] {
            println!("cargo::rustc-link-arg-cdylib={argument}");
        }
    }
}
