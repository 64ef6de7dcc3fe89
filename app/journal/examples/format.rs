//! Writes what the format page shows, anew: `cargo run -p journal --example format`. Do so only together with a new
//! form of bundle: what is there is what others have built upon.

#[path = "../tests/parcel/mod.rs"]
mod parcel;
#[path = "../tests/world/mod.rs"]
mod world;

use std::path::Path;

fn main() -> std::io::Result<()> {
    let to = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../public/format");
    std::fs::write(to.join("vectors.json"), parcel::told::vectors())?;
    std::fs::write(to.join("example.zip"), parcel::told::example())
}
