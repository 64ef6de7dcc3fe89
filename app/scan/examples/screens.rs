//! How well and how fast codes on another device's screen are read: `cargo run --release -p scan --example screens`.
//!
//! Draws frames of 1280 × 720 as a hand-held camera may see them: each version at some pixels a module, tilted, blurred, noisy, in
//! a lens that bends straight lines. The hand holds still for five frames. Each number is of frames with contents of their own.

use qrcode::bits::Bits;
use qrcode::{Color, EcLevel, QrCode, Version};
use std::time::Instant;

const WIDTH: usize = 1280;
const HEIGHT: usize = 720;
const FRAMES: usize = 20;

struct Chance(u64);

impl Chance {
    fn next(&mut self) -> f32 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 40) as f32 / (1_u64 << 24) as f32
    }

    fn about(&mut self) -> f32 {
        (0..4).map(|_| self.next() - 0.5).sum::<f32>() * 1.7
    }
}

/// What a frame is taken under.
#[derive(Clone, Copy)]
struct Air {
    name: &'static str,
    /// Degrees about the upright axis, the level one, and the line of sight; each is drawn up to this.
    tilt: f32,
    turn: f32,
    /// Standard deviation in pixels, and in grey values.
    blur: f32,
    noise: f32,
    /// Darkest and lightest grey.
    range: (f32, f32),
    /// How far the corner of the picture is bent inwards, as a share.
    barrel: f32,
}

const PLAIN: Air =
    Air { name: "plain", tilt: 0.0, turn: 2.0, blur: 0.5, noise: 3.0, range: (25.0, 230.0), barrel: 0.0 };
const AIRS: [Air; 6] = [
    PLAIN,
    Air { name: "by hand", tilt: 10.0, turn: 8.0, blur: 0.8, noise: 5.0, ..PLAIN },
    Air { name: "tilted", tilt: 20.0, turn: 10.0, blur: 0.8, ..PLAIN },
    Air { name: "blurred", tilt: 8.0, turn: 8.0, blur: 1.6, noise: 5.0, ..PLAIN },
    Air { name: "dim", tilt: 8.0, turn: 8.0, blur: 0.9, noise: 8.0, range: (30.0, 140.0), ..PLAIN },
    Air { name: "bent", tilt: 8.0, turn: 8.0, blur: 0.8, noise: 5.0, barrel: 0.02, ..PLAIN },
];

/// The frame, by looking from each pixel back onto the screen, nine times.
fn frame(dark: &[bool], side: usize, module: f32, held: [f32; 3], air: Air, chance: &mut Chance) -> Vec<u8> {
    let up_to = |most: f32, chance: &mut Chance| (2.0 * chance.next() - 1.0) * most.to_radians();
    // As a hand holds it for a while: about the same from frame to frame.
    let [yaw, pitch, roll] = held.map(|angle| angle + up_to(1.0, chance));
    let (sx, cx) = pitch.sin_cos();
    let (sy, cy) = yaw.sin_cos();
    let (sz, cz) = roll.sin_cos();
    // Columns of the screen's axes in the camera's.
    let (ux, uy, uz) = (cy * cz, cx * sz + sx * sy * cz, sx * sz - cx * sy * cz);
    let (vx, vy, vz) = (-cy * sz, cx * cz - sx * sy * sz, sx * cz + cx * sy * sz);
    let focal = 1100.0;
    let far = focal / module;
    let shift = (chance.about() * 8.0, chance.about() * 8.0);
    let n = side as f32;
    let white = |x: f32, y: f32| -> f32 {
        // A ray through the pixel meets the screen's plane.
        let (px, py) = (x - WIDTH as f32 / 2.0 - shift.0, y - HEIGHT as f32 / 2.0 - shift.1);
        let r2 = (px * px + py * py) / (640.0 * 640.0 + 360.0 * 360.0);
        let (px, py) = (px * (1.0 + air.barrel * r2) / focal, py * (1.0 + air.barrel * r2) / focal);
        // px = (u ux + v vx) / (far + u uz + v vz), likewise py: two equations for u and v.
        let (a, b, c) = (ux - px * uz, vx - px * vz, px * far);
        let (d, e, f) = (uy - py * uz, vy - py * vz, py * far);
        let det = a * e - b * d;
        let (u, v) = ((c * e - b * f) / det + n / 2.0, (a * f - c * d) / det + n / 2.0);
        if u < -4.0 || v < -4.0 || u > n + 4.0 || v > n + 4.0 {
            return 0.45;
        }
        let inside = u >= 0.0 && v >= 0.0 && u < n && v < n;
        f32::from(!(inside && dark[v as usize * side + u as usize]))
    };
    let mut sharp = vec![0.0_f32; WIDTH * HEIGHT];
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            let mut sum = 0.0;
            for i in 0..9 {
                sum += white(x as f32 + (i % 3) as f32 / 3.0 + 0.17, y as f32 + (i / 3) as f32 / 3.0 + 0.17);
            }
            sharp[y * WIDTH + x] = sum / 9.0;
        }
    }
    let reach = (air.blur * 3.0).ceil() as isize;
    let weights: Vec<f32> = (-reach..=reach).map(|d| (-(d * d) as f32 / (2.0 * air.blur * air.blur)).exp()).collect();
    let all: f32 = weights.iter().sum();
    let blur = |from: &[f32], step: usize, count: usize| -> Vec<f32> {
        (0..from.len())
            .map(|i| {
                let at = (i / step % count) as isize;
                let place = |d: isize| i + ((at + d).clamp(0, count as isize - 1) as usize) * step - at as usize * step;
                weights.iter().zip(-reach..).map(|(w, d)| w * from[place(d)]).sum::<f32>() / all
            })
            .collect()
    };
    let soft = blur(&blur(&sharp, 1, WIDTH), WIDTH, HEIGHT);
    let (low, high) = air.range;
    soft.iter().map(|v| (low + (high - low) * v + air.noise * chance.about()).clamp(0.0, 255.0) as u8).collect()
}

fn main() {
    let mut chance = Chance(7);
    let only = std::env::args().nth(1);
    println!(
        "{:8} {:>7} {:>7} {:>6} {:>9} {:>9} {:>9}",
        "air", "version", "px/mod", "read", "median ms", "most ms", "bytes"
    );
    for air in AIRS.into_iter().filter(|air| only.as_ref().is_none_or(|only| only == air.name)) {
        for (version, bytes) in [(10, 271), (15, 520), (20, 858), (25, 1273)] {
            for width in [400.0, 480.0, 580.0] {
                let side = 17 + 4 * version as usize;
                let module = width / (side as f32 + 8.0);
                let (mut read, mut wrong, mut ms) = (0, 0, vec![]);
                let mut reader = scan::Reader::of_screens();
                let mut held = [0.0; 3];
                for n in 0..FRAMES {
                    let data: Vec<u8> = (0..bytes).map(|_| (chance.next() * 256.0) as u8).collect();
                    let mut bits = Bits::new(Version::Normal(version));
                    bits.push_byte_data(&data).and_then(|()| bits.push_terminator(EcLevel::L)).expect("fits");
                    let code = QrCode::with_bits(bits, EcLevel::L).expect("fits");
                    let dark: Vec<bool> = code.to_colors().iter().map(|c| *c == Color::Dark).collect();
                    if n % 5 == 0 {
                        let up_to = |most: f32, chance: &mut Chance| (2.0 * chance.next() - 1.0) * most.to_radians();
                        held = [air.tilt, air.tilt, air.turn].map(|most| up_to(most, &mut chance));
                    }
                    let grey = frame(&dark, side, module, held, air, &mut chance);
                    let begun = Instant::now();
                    let seen = reader.read(&grey, WIDTH, HEIGHT);
                    ms.push(begun.elapsed().as_secs_f64() * 1e3);
                    match seen {
                        Some(seen) if seen.bytes == data => read += 1,
                        Some(_) => wrong += 1,
                        None => {}
                    }
                }
                assert_eq!(wrong, 0, "misread");
                ms.sort_by(f64::total_cmp);
                println!(
                    "{:8} {version:>7} {module:>7.1} {read:>3}/{FRAMES} {:>9.1} {:>9.1} {bytes:>9}",
                    air.name,
                    ms[FRAMES / 2],
                    ms[FRAMES - 1]
                );
            }
        }
    }
}
