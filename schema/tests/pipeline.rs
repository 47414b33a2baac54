//! The ordered pipeline: order, buffers that are used again, errors and panics.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread::sleep;
use std::time::Duration;

use oar_schema::pipeline::{PIECES, run};

/// Counts how many of it were made.
static MADE: AtomicUsize = AtomicUsize::new(0);

struct Buffer {
    number: u64,
    bytes: Vec<u8>,
}

impl Default for Buffer {
    fn default() -> Self {
        MADE.fetch_add(1, Ordering::Relaxed);
        Self { number: 0, bytes: Vec::new() }
    }
}

fn numbers(to: u64) -> impl FnMut(&mut u64) -> bool {
    let mut next = 0;
    move |piece| {
        *piece = next;
        next += 1;
        *piece < to
    }
}

#[test]
fn the_order_is_that_of_the_input_whoever_is_first() {
    for threads in [0, 1, 2, 7] {
        let mut printed = Vec::new();
        let slow = |sum: &mut u64, piece: &mut u64| {
            // Every fifth piece comes back long after those behind it.
            sleep(Duration::from_micros(if piece.is_multiple_of(5) { 2000 } else { 10 }));
            *sum += *piece;
        };
        let workers = run(
            threads,
            numbers(60),
            || 0,
            slow,
            |piece| {
                printed.push(*piece);
                Ok::<(), ()>(())
            },
        );
        assert!(printed.iter().copied().eq(0..60), "{threads} threads: {printed:?}");
        let sums = workers.unwrap();
        assert_eq!(sums.len(), threads.max(1));
        assert_eq!(sums.iter().sum::<u64>(), 59 * 60 / 2, "each piece is worked on once");
    }
}

#[test]
fn buffers_are_bounded_and_used_again() {
    let (mut next, mut kept) = (0, 0);
    let fill = |buffer: &mut Buffer| {
        kept += usize::from(buffer.bytes.capacity() >= 100);
        buffer.number = next;
        buffer.bytes.clear();
        next += 1;
        next <= 500
    };
    let work = |(): &mut (), buffer: &mut Buffer| buffer.bytes.resize(100, 0);
    run(3, fill, || (), work, |_| Ok::<(), ()>(())).unwrap();
    let made = MADE.load(Ordering::Relaxed);
    assert_eq!(made, 3 * PIECES);
    assert!(kept >= 500 - made, "{kept} of 500 pieces were filled into a buffer that was there");
}

#[test]
fn an_error_ends_the_run() {
    for threads in [1, 4] {
        let worked = AtomicUsize::new(0);
        let work = |(): &mut (), _: &mut u64| {
            worked.fetch_add(1, Ordering::Relaxed);
        };
        let tell = |piece: &mut u64| if *piece == 10 { Err("full") } else { Ok(()) };
        assert_eq!(run(threads, numbers(1_000_000), || (), work, tell), Err("full"));
        assert!(worked.into_inner() <= 11 + threads * PIECES);
    }
}

#[test]
fn a_panic_of_a_worker_comes_out_instead_of_a_wait() {
    let printed = Mutex::new(0);
    let work = |(): &mut (), piece: &mut u64| assert_ne!(*piece, 20, "the piece that panics");
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        run(
            2,
            numbers(1_000),
            || (),
            work,
            |_| {
                *printed.lock().unwrap() += 1;
                Ok::<(), ()>(())
            },
        )
    }));
    assert!(outcome.is_err());
    assert!(*printed.lock().unwrap() <= 20);
}
