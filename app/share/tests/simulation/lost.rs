//! What a head lists and the store has no more: how long it is waited for, and how it comes back.

use crate::stories::barn;
use share::{Notice, Status};

#[test]
fn what_nobody_has_any_more_is_told_and_not_waited_for() {
    let mut world = barn(2, 13);
    world.seats[1].kill();
    let mut older = None;
    for _ in 0..3 {
        world.acts(0, 3);
        world.wait(1);
        older = older.or(Some(world.seats[0].disk.clone()));
    }
    // Its writer forgets lines 4 to 9, and goes on under another name; of these, 4 to 6 are harmed.
    world.seats[0].kill();
    world.seats[0].disk = older.expect("acts");
    world.seats[0].fold = world.seats[0].disk.fold();
    let path = world.path("00000004-");
    let whole = world.store.objects.remove(&path).expect("there");
    (0..2).for_each(|seat| world.open(seat));
    world.wait(20);
    let told = |notice: &Notice| *notice == Notice::Withheld { path: path.clone(), why: None };
    for seat in 0..2 {
        assert!(world.told(seat, told));
        assert_eq!(world.status(seat), Status::Busy { to_send: 0, to_come: 6 });
    }
    world.wait(20);
    assert!(world.in_step(0) && world.in_step(1), "{:?} {:?}", world.status(0), world.status(1));
    let before = world.store.requests;
    world.wait(240);
    assert!(world.store.requests - before <= 2 * 241, "{} requests", world.store.requests - before);
    assert!(world.in_step(0) && world.in_step(1) && world.alike());
    // Another program may carry it there late.
    world.store.objects.insert(path.clone(), whole);
    world.wait(70);
    assert!(world.in_step(0) && world.in_step(1) && world.alike());
    assert_eq!(world.seats[0].fold.waiting().count(), 0);
    assert_eq!([world.holds(0), world.holds(1)], [9, 9]);
}

#[test]
fn who_comes_back_late_puts_there_again_what_was_lost() {
    let mut world = barn(2, 14);
    world.seats[1].kill();
    world.acts(0, 3);
    world.wait(1);
    world.seats[0].kill();
    let path = world.path("00000001-");
    world.store.objects.remove(&path);
    world.open(1);
    world.wait(60 * 24);
    assert!(world.in_step(1) && world.holds(1) == 0);
    world.open(0);
    world.wait(10);
    assert!(world.in_step(0) && world.in_step(1) && world.alike() && world.holds(1) == 3);
}
