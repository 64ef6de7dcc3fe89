//! The reader as a module worker. The messages are described in the crate's documentation.

#[cfg(target_arch = "wasm32")]
mod worker;

fn main() {
    #[cfg(target_arch = "wasm32")]
    worker::start();
    #[cfg(not(target_arch = "wasm32"))]
    eprintln!("scan-worker runs in a browser's worker only; to try the reader here, use the example `corpus`.");
}
