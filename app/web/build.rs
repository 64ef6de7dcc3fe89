//! Keeps the linker's notes of what calls what in the app's wasm: `cargo xtask finish` cuts it into parts by them.

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    if std::env::var("CARGO_CFG_TARGET_FAMILY").is_ok_and(|family| family == "wasm") {
        println!("cargo:rustc-link-arg-bins=--emit-relocs");
    }
}
