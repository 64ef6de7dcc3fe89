//! Drawn codes come back as the texts they were drawn from; anything else is answered in bounded work.

use proptest::prelude::*;
use qrcode::bits::Bits;
use qrcode::{Color, EcLevel, QrCode, Version};
use scan::{Read, Reader, luma};

const WIDTH: usize = 640;
const HEIGHT: usize = 480;
const TEXT: &str = "HTTPS://BARN.EXAMPLE/#/B/7K3QX2M9.260609.0801-0807.12";
const OTHER: &str = "HTTPS://BARN.EXAMPLE/#/B/M0SS2ABE.260614.0806-0812.07";

/// Where a pixel lies on the label, in modules from the code's middle.
type Look = fn(x: f32, y: f32) -> (f32, f32);

/// Across, down, radius, grey.
type Spot = (f32, f32, f32, f32);

struct Frame {
    grey: Vec<f32>,
}

impl Frame {
    fn new() -> Frame {
        let grey = (0..WIDTH * HEIGHT).map(|i| 110.0 + 20.0 * ((i % WIDTH) as f32 / 90.0).sin()).collect();
        Frame { grey }
    }

    /// Draws a label with a code; `spots` are discs, in modules from the middle with a radius, of a
    /// grey value.
    fn code(mut self, text: &str, level: EcLevel, dark: f32, light: f32, look: Look, spots: &[Spot]) -> Frame {
        let code = QrCode::with_error_correction_level(text, level).expect("fits");
        let n = code.width() as i32;
        let colours = code.to_colors();
        for y in 0..HEIGHT {
            for x in 0..WIDTH {
                let mut sum = 0.0;
                for (dx, dy) in [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)] {
                    let (u, v) = look(x as f32 + dx, y as f32 + dy);
                    let (mx, my) = ((u + n as f32 / 2.0).floor() as i32, (v + n as f32 / 2.0).floor() as i32);
                    let inside = |m: i32, edge: i32| m >= -edge && m < n + edge;
                    sum += if let Some(spot) = spots.iter().find(|(cx, cy, r, _)| (u - cx).hypot(v - cy) < *r) {
                        spot.3
                    } else if inside(mx, 0) && inside(my, 0) {
                        if colours[(my * n + mx) as usize] == Color::Dark { dark } else { light }
                    } else if inside(mx, 4) && inside(my, 4) {
                        light
                    } else {
                        self.grey[y * WIDTH + x]
                    };
                }
                self.grey[y * WIDTH + x] = sum / 4.0;
            }
        }
        self
    }

    /// Blurs by boxes of 2 × `radius` + 1 pixels, twice each way: about a Gaussian.
    fn blur(mut self, radius: usize) -> Frame {
        for _ in 0..2 {
            for (step, count, length, stride) in [(1, HEIGHT, WIDTH, WIDTH), (WIDTH, WIDTH, HEIGHT, 1)] {
                for line in 0..count {
                    let old: Vec<f32> = (0..length).map(|i| self.grey[line * stride + i * step]).collect();
                    for i in 0..length {
                        let window = &old[i.saturating_sub(radius)..(i + radius + 1).min(length)];
                        self.grey[line * stride + i * step] = window.iter().sum::<f32>() / window.len() as f32;
                    }
                }
            }
        }
        self
    }

    /// Adds noise of about this spread; the same for the same seed.
    fn noise(mut self, spread: f32, mut seed: u32) -> Frame {
        for g in &mut self.grey {
            let mut sum = 0.0;
            for _ in 0..4 {
                seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                sum += (seed >> 8) as f32 / (1 << 24) as f32 - 0.5;
            }
            *g += sum * 1.73 * spread;
        }
        self
    }

    /// A shadow over the right part: light falls to a third within 60 pixels.
    fn shadow(mut self) -> Frame {
        for (i, g) in self.grey.iter_mut().enumerate() {
            *g *= 1.0 - 0.66 * (((i % WIDTH) as f32 - 290.0) / 60.0).clamp(0.0, 1.0);
        }
        self
    }

    fn bytes(&self) -> Vec<u8> {
        self.grey.iter().map(|g| g.clamp(0.0, 255.0) as u8).collect()
    }

    fn read(&self) -> Option<Read> {
        Reader::new().read(&self.bytes(), WIDTH, HEIGHT)
    }
}

fn turned(x: f32, y: f32, size: f32, degrees: f32) -> (f32, f32) {
    let (s, c) = degrees.to_radians().sin_cos();
    let (x, y) = ((x - 320.0) / size, (y - 240.0) / size);
    (c * x + s * y, c * y - s * x)
}

fn straight(x: f32, y: f32) -> (f32, f32) {
    turned(x, y, 6.0, 0.0)
}

fn small(x: f32, y: f32) -> (f32, f32) {
    turned(x, y, 2.4, 12.0)
}

/// Tipped by about 45°, seen from some hundred modules away: one side a fifth larger than the other.
fn tilted(x: f32, y: f32) -> (f32, f32) {
    let (x, y) = turned(x, y, 6.0, 25.0);
    let depth = 1.0 / (1.0 - y / 150.0);
    (x * depth, y * 1.4 * depth)
}

/// Round a tub of the code's own width in radius, seen from above the middle.
fn round(x: f32, y: f32) -> (f32, f32) {
    let radius = 33.0;
    let (x, y) = turned(x, y, 7.0, 0.0);
    let angle = (x / radius).clamp(-1.0, 1.0).asin();
    (angle * radius, y - 0.35 * radius * (1.0 - angle.cos()))
}

fn left(x: f32, y: f32) -> (f32, f32) {
    turned(x + 190.0, y, 4.0, 5.0)
}

fn nearer_the_middle(x: f32, y: f32) -> (f32, f32) {
    turned(x - 70.0, y, 4.0, -80.0)
}

#[test]
fn codes_as_a_camera_sees_them_are_read() {
    let plain = |look: Look| Frame::new().code(TEXT, EcLevel::M, 30.0, 220.0, look, &[]);
    let dirty = |spot: Spot| Frame::new().code(TEXT, EcLevel::Q, 30.0, 220.0, straight, &[spot]);
    let rows = [
        ("straight on", plain(straight)),
        ("small", plain(small).blur(0).noise(3.0, 1)),
        ("tilted and turned", plain(tilted).noise(3.0, 2)),
        ("round a tub", plain(round).noise(3.0, 3)),
        ("blurred by half a module", plain(straight).blur(3).noise(2.0, 4)),
        ("in shadow", plain(straight).shadow().noise(2.0, 5)),
        ("dim and noisy", Frame::new().code(TEXT, EcLevel::M, 20.0, 70.0, straight, &[]).noise(9.0, 6)),
        ("light on dark", Frame::new().code(TEXT, EcLevel::M, 220.0, 30.0, tilted, &[]).noise(3.0, 7)),
        ("a spot on the data", dirty((4.0, 5.0, 3.2, 90.0))),
        ("one finder covered", dirty((-14.0, 14.0, 4.5, 90.0))),
        ("top left finder covered", dirty((-14.0, -14.0, 4.5, 90.0))),
    ];
    for (name, frame) in rows {
        assert_eq!(frame.read().map(|r| r.text()).as_deref(), Some(TEXT), "{name}");
    }
}

#[test]
fn every_size_and_level_is_read() {
    for level in [EcLevel::L, EcLevel::M, EcLevel::Q, EcLevel::H] {
        for length in [5, 20, 60, 110] {
            let text: String = TEXT.chars().cycle().take(length).collect();
            let frame = Frame::new().code(&text, level, 30.0, 220.0, straight, &[]);
            assert_eq!(frame.read().map(|r| r.text()), Some(text), "{length} characters, level {level:?}");
        }
    }
}

#[test]
fn of_several_codes_the_one_nearest_the_middle_is_read() {
    let near = |near: &str, far: &str| {
        Frame::new()
            .code(far, EcLevel::M, 30.0, 220.0, left, &[])
            .code(near, EcLevel::M, 30.0, 220.0, nearer_the_middle, &[])
            .read()
            .map(|r| r.text())
    };
    assert_eq!(near(TEXT, OTHER).as_deref(), Some(TEXT));
    assert_eq!(near(OTHER, TEXT).as_deref(), Some(OTHER));
}

#[test]
fn corners_are_the_codes_own_in_its_own_order() {
    // 33 modules of 4 pixels, turned by 80° against the clock about (390, 240).
    let read = Frame::new().code(TEXT, EcLevel::Q, 30.0, 220.0, nearer_the_middle, &[]).read().expect("read");
    let (s, c) = (-80.0_f32).to_radians().sin_cos();
    let half = 66.0;
    for (got, (u, v)) in read.corners.iter().zip([(-half, -half), (half, -half), (half, half), (-half, half)]) {
        let want = (390.0 + c * u - s * v, 240.0 + s * u + c * v);
        assert!((got.0 - want.0).hypot(got.1 - want.1) < 2.0, "{got:?} is not {want:?}");
    }
}

#[test]
fn frames_blinded_in_different_places_are_read_together() {
    let glare = |text: &str, x: f32, y: f32| {
        let spot = (x, y, 8.5, 255.0);
        Frame::new().code(text, EcLevel::M, 30.0, 200.0, straight, &[spot]).noise(3.0, 9).bytes()
    };
    let frames = [glare(TEXT, 8.0, 8.0), glare(TEXT, -2.0, -2.0), glare(OTHER, -2.0, -2.0)];
    for frame in &frames {
        assert_eq!(Reader::new().read(frame, WIDTH, HEIGHT), None);
    }
    let mut reader = Reader::new();
    assert_eq!(reader.read(&frames[0], WIDTH, HEIGHT), None);
    assert_eq!(reader.read(&frames[1], WIDTH, HEIGHT).map(|r| r.text()).as_deref(), Some(TEXT));
    assert_eq!(reader.read(&frames[0], WIDTH, HEIGHT), None, "a code that was read is not kept");
    assert_eq!(reader.read(&frames[2], WIDTH, HEIGHT), None, "another label is not mixed in");
    assert_eq!(reader.read(&frames[1], WIDTH, HEIGHT), None, "the other label has taken the place");
    reader.forget();
    assert_eq!(reader.read(&frames[0], WIDTH, HEIGHT), None, "what was forgotten does not help");
}

#[test]
fn a_colour_picture_becomes_grey_by_brightness() {
    let mut grey = vec![];
    luma(&[255, 255, 255, 255, 0, 0, 0, 255, 255, 0, 0, 0, 0, 255, 0, 9, 0, 0, 255, 9, 1, 2], &mut grey);
    assert_eq!(grey, [255, 0, 76, 149, 28]);
}

#[test]
fn impossible_pictures_read_as_nothing() {
    let mut reader = Reader::new();
    for (length, width, height) in
        [(0, 0, 0), (99, 10, 10), (100, 10, 10), (440, 21, 21), (442, 21, 21), (9000, 9000, 1), (0, usize::MAX, 2)]
    {
        assert_eq!(reader.read(&vec![128; length], width, height), None, "{width} × {height} with {length} bytes");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_picture_is_answered_in_bounded_work(
        width in 21_usize..260,
        height in 21_usize..260,
        cell in 1_usize..9,
        seed in any::<u32>(),
        contrast in 1_u32..256,
        stripes in any::<bool>(),
    ) {
        let grey: Vec<u8> = (0..width * height)
            .map(|i| {
                let (x, y) = (i % width / cell, if stripes { 0 } else { i / width / cell });
                let mixed = (x as u32).wrapping_mul(0x9e37_79b9) ^ (y as u32).wrapping_mul(0x85eb_ca6b) ^ seed;
                let mixed = (mixed ^ mixed >> 15).wrapping_mul(0x2c1b_3c6d);
                ((mixed ^ mixed >> 13) % contrast) as u8
            })
            .collect();
        let mut reader = Reader::new();
        prop_assert_eq!(reader.read(&grey, width, height), None);
        prop_assert!(reader.fits() <= 32);
    }

    #[test]
    fn a_code_with_bytes_overwritten_reads_as_itself_or_as_nothing(
        seed in any::<u32>(),
        bands in prop::collection::vec((0_usize..HEIGHT, 0_usize..WIDTH, 1_usize..60, any::<u8>()), 0..12),
    ) {
        let mut grey = Frame::new().code(TEXT, EcLevel::Q, 30.0, 220.0, tilted, &[]).noise(6.0, seed).bytes();
        for (y, x, size, value) in bands {
            for row in y..(y + size).min(HEIGHT) {
                grey[row * WIDTH + x..row * WIDTH + (x + 2 * size).min(WIDTH)].fill(value);
            }
        }
        let mut reader = Reader::new();
        if let Some(read) = reader.read(&grey, WIDTH, HEIGHT) {
            prop_assert_eq!(read.text(), TEXT);
        }
        prop_assert!(reader.fits() <= 32);
    }
}

/// Bytes of every value, as another device's screen shows them, come back as they are; a label is none of them.
#[test]
fn codes_of_screens_come_back_byte_for_byte() {
    // Bytes by level L and M (ISO/IEC 18004, table 7).
    for (version, at_most) in [(10, [271, 213]), (15, [520, 412]), (20, [858, 666]), (25, [1273, 997])] {
        for (level, count) in [EcLevel::L, EcLevel::M].into_iter().zip(at_most) {
            let data: Vec<u8> = (0..count).map(|i| (i * i + i / 256) as u8).collect();
            let mut bits = Bits::new(Version::Normal(version));
            bits.push_byte_data(&data).and_then(|()| bits.push_terminator(level)).expect("fits");
            let code = QrCode::with_bits(bits, level).expect("fits");
            let (side, module, margin) = (code.width(), 5, 60);
            let (width, height) = (side * module + 3 * margin, side * module + 2 * margin);
            let mut grey = vec![200_u8; width * height];
            for (i, colour) in code.to_colors().into_iter().enumerate() {
                for (dx, dy) in (0..module * module).map(|k| (k % module, k / module)) {
                    let (x, y) = (margin + i % side * module + dx, margin + i / side * module + dy);
                    grey[y * width + x] = if colour == Color::Dark { 30 } else { 220 };
                }
            }
            let mut reader = Reader::of_screens();
            let read = reader.read(&grey, width, height).map(|read| read.bytes);
            assert!(read == Some(data), "version {version}, level {level:?}");
            // The next frame has nothing of this one.
            assert_eq!(reader.read(&vec![200; width * height], width, height), None);
        }
    }
    let label = Frame::new().code(TEXT, EcLevel::M, 30.0, 220.0, straight, &[]).bytes();
    assert_eq!(Reader::of_screens().read(&label, WIDTH, HEIGHT), None);
}
