//! Whatever is lost, repeated, out of order or harmed: the content comes out to the byte, or nothing does.

use journal::Id;
use light::{GENERATION, HEADER, MAX_BLOCKS, MAX_CONTENT, Receiver, Seen, Sender, Took, read};
use proptest::prelude::*;

fn book() -> Id {
    Id::mint([1, 2, 3, 4, 5])
}

fn content(bytes: usize, seed: u8) -> Vec<u8> {
    let mut state = u32::from(seed) + 1;
    (0..bytes)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        })
        .collect()
}

fn sender(content: &[u8], capacity: usize) -> Sender {
    Sender::new(content.to_vec(), book(), [9; 4], 7, capacity).expect("small enough")
}

fn take(receiver: &mut Receiver, bytes: &[u8]) -> Took {
    match read(bytes) {
        Some(Seen::Moving(frame)) => receiver.take(&frame),
        _ => Took::Nothing,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn any_loss_order_repetition_and_harm(
        bytes in 1_usize..20_000,
        seed in any::<u8>(),
        capacity in 70_usize..900,
        begin in 0_u32..3000,
        fates in prop::collection::vec((0_u8..10, any::<prop::sample::Index>()), 64),
    ) {
        let sent = content(bytes, seed);
        let sender = sender(&sent, capacity);
        let stranger = Sender::new(content(bytes, seed ^ 1), book(), [9; 4], 7, capacity).expect("small enough");
        let mut receiver = Receiver::new();
        let mut late: Vec<Vec<u8>> = vec![];
        let mut fates = fates;
        // A third arrives as it is, whatever befalls the others.
        let plain = (9, fates[0].1);
        fates.extend([plain; 32]);
        let mut out: Option<Vec<u8>> = None;
        for n in 0..4 * sender.least() as u32 + 200 {
            let mut frame = sender.frame(begin + n);
            let (fate, at) = &fates[n as usize % fates.len()];
            let shown = match fate {
                0 | 1 => vec![],
                // Later, and out of order.
                2 => { late.insert(at.index(late.len() + 1), frame); vec![] }
                3 => { let place = at.index(frame.len()); frame[place] ^= 1 << (n % 8); vec![frame] }
                4 => vec![frame.clone(), frame],
                5 if receiver.progress().is_some() => vec![stranger.frame(n), frame],
                6 if !late.is_empty() => { let place = at.index(late.len()); vec![late.remove(place), frame] }
                _ => vec![frame],
            };
            for frame in shown {
                match take(&mut receiver, &frame) {
                    Took::Whole(whole) => out = out.or(Some(whole)),
                    took => prop_assert_ne!(took, Took::Broken),
                }
            }
            if out.is_some() {
                break;
            }
        }
        prop_assert_eq!(out, Some(sent));
    }

    #[test]
    fn any_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..400), kind in 0_usize..3) {
        let mut receiver = Receiver::new();
        let start: &[u8] = [&b""[..], b"CL\x01M", b"CL\x01S"][kind];
        let bytes = [start, &bytes].concat();
        take(&mut receiver, &bytes);
        // And with a sum that is right, so that what lies behind it is reached too.
        let sum: [u8; 4] = std::array::from_fn(|i| journal::Hash::of(&bytes).0[i]);
        for _ in 0..5 {
            take(&mut receiver, &[&bytes[..], &sum].concat());
        }
        prop_assert!(receiver.progress().is_none_or(|p| p.have <= 1 && p.need <= MAX_BLOCKS));
    }

    #[test]
    fn headers_that_lie_take_no_room(
        total in prop_oneof![any::<u32>(), 0_u32..9_000_000], block in 0_u16..600, index in any::<u32>(), id in any::<[u8; 5]>(),
    ) {
        let mut body = b"CL\x01M".to_vec();
        body.extend(id);
        body.extend([0; 20]);
        body.extend(total.to_be_bytes());
        body.extend(u32::MAX.to_be_bytes());
        body.extend(block.to_be_bytes());
        body.extend(index.to_be_bytes());
        body.extend(vec![5; usize::from(block)]);
        let sum: [u8; 4] = std::array::from_fn(|i| journal::Hash::of(&body).0[i]);
        body.extend(sum);
        let mut receiver = Receiver::new();
        let took = take(&mut receiver, &body);
        let (all, each) = (total as usize, usize::from(block));
        let fits = (1..=MAX_CONTENT).contains(&all) && each >= 16 && all.div_ceil(each) <= MAX_BLOCKS;
        prop_assert_eq!(took == Took::Nothing, !fits);
        prop_assert_eq!(receiver.progress().is_some(), fits && took != Took::Broken);
    }
}

#[test]
fn with_nothing_lost_each_block_is_shown_once() {
    for bytes in [1, 100, 9_000, 1_000_000] {
        let sent = content(bytes, 3);
        let sender = sender(&sent, 858);
        let mut receiver = Receiver::new();
        for n in 0..sender.least() as u32 - 1 {
            assert_eq!(take(&mut receiver, &sender.frame(n)), Took::More);
        }
        let last = sender.least() as u32 - 1;
        assert_eq!(take(&mut receiver, &sender.frame(last)), Took::Whole(sent));
        assert_eq!(receiver.progress(), None);
    }
}

#[test]
fn who_comes_late_needs_no_more_frames() {
    let sent = content(300 * 800, 4);
    let sender = sender(&sent, 800 + HEADER);
    let mut receiver = Receiver::new();
    let (mut n, mut out) = (5000, None);
    while out.is_none() {
        if let Took::Whole(whole) = take(&mut receiver, &sender.frame(n)) {
            out = Some(whole);
        }
        n += 1;
    }
    assert_eq!(out, Some(sent));
    assert!(n - 5000 <= sender.least() as u32 + 2, "{}", n - 5000);
}

#[test]
fn several_generations_with_loss() {
    let sent = content(1200 * 100, 5);
    let sender = sender(&sent, 100 + HEADER);
    assert!(sender.least() > 2 * GENERATION);
    let mut receiver = Receiver::new();
    let whole = (0..).filter(|n| n % 10 > 2).find_map(|n| match take(&mut receiver, &sender.frame(n)) {
        Took::Whole(whole) => Some((n, whole)),
        _ => None,
    });
    let (n, whole) = whole.expect("without end");
    assert_eq!(whole, sent);
    assert!(f64::from(n) < 1.45 * sender.least() as f64, "{n} frames");
}

/// Somebody who forges one frame gets nothing in: the whole is not what was promised, and the next try is.
#[test]
fn a_forged_frame_is_found_out_and_the_next_round_is_whole() {
    let sent = content(5000, 6);
    let sender = sender(&sent, 500);
    let mut forged = sender.frame(2);
    let end = forged.len() - 4;
    forged[end - 1] ^= 1;
    let sum: [u8; 4] = std::array::from_fn(|i| journal::Hash::of(&forged[..end]).0[i]);
    forged[end..].copy_from_slice(&sum);
    let mut receiver = Receiver::new();
    let mut took = vec![take(&mut receiver, &forged)];
    took.extend((0..2 * sender.least() as u32 + 2).map(|n| take(&mut receiver, &sender.frame(n))));
    assert!(took.contains(&Took::Broken));
    assert!(took.contains(&Took::Whole(sent)));
}

#[test]
fn a_device_that_begins_anew_is_followed_and_one_stray_code_is_not() {
    let (one, two) = (content(9000, 7), content(9000, 8));
    let (first, second) = (sender(&one, 500), sender(&two, 500));
    let mut receiver = Receiver::new();
    for n in 0..10 {
        take(&mut receiver, &first.frame(n));
        take(&mut receiver, &second.frame(n));
    }
    assert_eq!(receiver.progress().map(|p| p.have), Some(10));
    let whole = (0..).find_map(|n| match take(&mut receiver, &second.frame(n)) {
        Took::Whole(whole) => Some(whole),
        _ => None,
    });
    assert_eq!(whole, Some(two));
}

#[test]
fn what_is_empty_or_too_large_is_not_sent() {
    assert!(Sender::new(vec![], book(), [0; 4], 0, 858).is_err());
    assert!(Sender::new(vec![0; MAX_CONTENT + 1], book(), [0; 4], 0, 858).is_err());
    assert!(Sender::new(vec![0; 10], book(), [0; 4], 0, HEADER).is_err());
    assert!(Sender::new(vec![0; 10], book(), [0; 4], 0, HEADER + 16).is_ok());
}
