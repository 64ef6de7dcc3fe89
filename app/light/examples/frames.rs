//! How many frames a receiver needs: `cargo run --release -p light --example frames`. Loss is drawn, ten tries each; last, what a
//! frame costs the receiver.

use journal::Id;
use light::{HEADER, Pace, Receiver, Seen, Sender, Took, read};
use std::time::{Duration, Instant};

fn main() {
    let mut state = 1_u64;
    let mut chance = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / (1_u64 << 31) as f64
    };
    println!(
        "{:>7} {:>7} {:>5} {:>12} {:>12} {:>9} {:>9}",
        "bytes", "blocks", "lost", "shown, mean", "most", "% more", "ms each"
    );
    for (capacity, bytes) in [8_000, 30_000, 80_000, 500_000, 4_000_000].map(|bytes| (Pace::Usual.capacity(), bytes)) {
        let content: Vec<u8> = (0..bytes).map(|_| (chance() * 256.0) as u8).collect();
        let sender = Sender::new(content.clone(), Id::mint([0; 5]), [0; 4], 0, capacity).expect("small enough");
        for lost in [0.0, 0.1, 0.3, 0.4] {
            let (mut shown, mut most, mut took, mut taken) = (0, 0, Duration::ZERO, 0_u32);
            let tries = if lost == 0.0 || bytes > 1_000_000 { 1 } else { 10 };
            for _ in 0..tries {
                let mut receiver = Receiver::new();
                for n in 0.. {
                    if chance() < lost {
                        continue;
                    }
                    let frame = sender.frame(n);
                    let begun = Instant::now();
                    let Some(Seen::Moving(seen)) = read(&frame) else { panic!("a frame") };
                    let answer = receiver.take(&seen);
                    took += begun.elapsed();
                    taken += 1;
                    if let Took::Whole(whole) = answer {
                        assert!(whole == content);
                        shown += n + 1;
                        most = most.max(n + 1);
                        break;
                    }
                }
            }
            let (mean, least) = (f64::from(shown) / f64::from(tries), sender.least());
            println!(
                "{bytes:>7} {least:>7} {:>4.0}% {mean:>12.1} {most:>12} {:>8.1}% {:>9.3}",
                lost * 100.0,
                100.0 * (mean / least as f64 - 1.0),
                took.as_secs_f64() * 1e3 / f64::from(taken)
            );
        }
    }
    println!("{HEADER} bytes of each frame are its header");
}
