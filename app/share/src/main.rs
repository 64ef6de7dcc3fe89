//! Shares in a module worker. The messages are in `wire.rs`.

#[cfg(target_arch = "wasm32")]
mod worker;

fn main() {
    #[cfg(target_arch = "wasm32")]
    worker::start();
    #[cfg(not(target_arch = "wasm32"))]
    eprintln!("share-worker runs in a browser's worker only; what it does is tested in this crate.");
}
