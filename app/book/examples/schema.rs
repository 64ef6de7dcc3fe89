//! Writes the schema of records anew, from their declarations: `cargo run -p book --example schema`. A field may come;
//! none may go or hold something else, since what was stored stays.

#[path = "../tests/format/mod.rs"]
mod format;

use std::path::Path;

fn main() -> std::io::Result<()> {
    let to = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../public/format/records.schema.json");
    std::fs::write(to, format::schema())
}
