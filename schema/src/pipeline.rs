//! An ordered pipeline: pieces are read in order, worked on by several threads, and told in order.
//!
//! The calling thread fills pieces and tells them; workers do what is between. There are [`PIECES`] buffers for each worker,
//! and each is filled again once its piece was reported, so memory does not grow with the input. What is reported does not
//! depend on the number of threads. The system may refuse a thread for its limits of processes or of memory: fewer
//! work then, and with none the calling thread does everything.

use std::collections::VecDeque;
use std::panic::resume_unwind;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Mutex, PoisonError};
use std::thread::{Builder, Scope, ScopedJoinHandle, panicking, scope};

/// Buffers for each worker: one under work, and two waiting so that no worker waits for the calling thread.
pub const PIECES: usize = 3;

/// Runs a pipeline on up to `threads` workers; 1 or 0 is the calling thread alone. Gives back the workers.
///
/// - `fill` puts the next piece into a buffer, which may hold an earlier piece still; false when there is no other.
/// - `worker` makes what one thread needs, and `work` uses it on a piece.
/// - `tell` is given each piece after `work`, in the order in which they were filled.
///
/// ```
/// let (mut next, mut told) = (0_u64, Vec::new());
/// let fill = |piece: &mut u64| {
///     next += 1;
///     *piece = next;
///     next <= 5
/// };
/// let tell = |piece: &mut u64| {
///     told.push(*piece);
///     Ok::<(), std::io::Error>(())
/// };
/// oar_schema::pipeline::run(2, fill, || (), |(), piece| *piece *= 10, tell)?;
/// assert_eq!(told, [10, 20, 30, 40, 50]);
/// # Ok::<(), std::io::Error>(())
/// ```
///
/// # Errors
/// The first of `tell`; it ends the run.
pub fn run<P, W, E>(
    threads: usize,
    mut fill: impl FnMut(&mut P) -> bool,
    worker: impl Fn() -> W + Sync,
    work: impl Fn(&mut W, &mut P) + Sync,
    mut tell: impl FnMut(&mut P) -> Result<(), E>,
) -> Result<Vec<W>, E>
where
    P: Default + Send,
    W: Send,
{
    if threads <= 1 {
        return alone(fill, worker(), work, tell);
    }
    let (to_do, waiting) = sync_channel(threads * PIECES);
    // One place more for each worker, which it has when it panics: no worker ever waits to hand back.
    let (handed_back, done) = sync_channel(threads * (PIECES + 1));
    let waiting = &Mutex::new(waiting);
    let (worker, work) = (&worker, &work);
    scope(|scope| {
        let workers = start(scope, threads, || {
            let back = HandBack(handed_back.clone());
            move || each(waiting, worker(), work, &back)
        });
        drop(handed_back);
        if workers.is_empty() {
            return alone(fill, worker(), work, tell);
        }
        let flow = Flow::new(threads * PIECES, to_do, done);
        let told = flow.run(&mut fill, &mut tell);
        let join = |worker: ScopedJoinHandle<'_, W>| worker.join().unwrap_or_else(|panic| resume_unwind(panic));
        let workers = workers.into_iter().map(join).collect();
        told.map(|()| workers)
    })
}

/// A piece, and its place among the pieces.
type Numbered<P> = (u64, P);

/// One thread does everything, with one buffer.
fn alone<P: Default, W, E>(
    mut fill: impl FnMut(&mut P) -> bool,
    mut worker: W,
    work: impl Fn(&mut W, &mut P),
    mut tell: impl FnMut(&mut P) -> Result<(), E>,
) -> Result<Vec<W>, E> {
    let mut piece = P::default();
    while fill(&mut piece) {
        work(&mut worker, &mut piece);
        tell(&mut piece)?;
    }
    Ok(vec![worker])
}

/// Starts up to a number of threads; fewer or none when the system refuses one.
fn start<'scope, T, F>(
    scope: &'scope Scope<'scope, '_>,
    most: usize,
    mut work: impl FnMut() -> F,
) -> Vec<ScopedJoinHandle<'scope, T>>
where
    F: FnOnce() -> T + Send + 'scope,
    T: Send + 'scope,
{
    (0..most).map_while(|_| Builder::new().spawn_scoped(scope, work()).ok()).collect()
}

/// A worker: takes pieces until there are none.
fn each<P, W>(
    waiting: &Mutex<Receiver<Numbered<P>>>,
    mut worker: W,
    work: &impl Fn(&mut W, &mut P),
    back: &HandBack<P>,
) -> W {
    loop {
        let next = waiting.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok((number, mut piece)) = next else { return worker };
        work(&mut worker, &mut piece);
        if back.0.send(Some((number, piece))).is_err() {
            return worker;
        }
    }
}

/// Where a worker hands pieces back. One that panics hands back nothing, which ends the run instead of letting it wait.
struct HandBack<P>(SyncSender<Option<Numbered<P>>>);

impl<P> Drop for HandBack<P> {
    fn drop(&mut self) {
        if panicking() {
            drop(self.0.send(None));
        }
    }
}

/// The calling thread's side: what was filled, what came back, and the buffers that are free.
struct Flow<P> {
    to_do: SyncSender<Numbered<P>>,
    done: Receiver<Option<Numbered<P>>>,
    free: Vec<P>,
    /// The pieces from the next one to tell on, so far as they came back.
    early: VecDeque<Option<P>>,
    /// The place of the next piece to tell.
    next: u64,
}

impl<P: Default> Flow<P> {
    fn new(buffers: usize, to_do: SyncSender<Numbered<P>>, done: Receiver<Option<Numbered<P>>>) -> Self {
        let free = (0..buffers).map(|_| P::default()).collect();
        Self { to_do, done, free, early: VecDeque::with_capacity(buffers), next: 0 }
    }

    /// Fills pieces and hands them out, never more than there are buffers; then waits for the rest.
    fn run<E>(
        mut self,
        fill: &mut impl FnMut(&mut P) -> bool,
        tell: &mut impl FnMut(&mut P) -> Result<(), E>,
    ) -> Result<(), E> {
        let mut filled = 0;
        loop {
            let Some(mut piece) = self.free.pop() else {
                let Ok(Some(done)) = self.done.recv() else { return Ok(()) };
                self.take(done, tell)?;
                continue;
            };
            if !fill(&mut piece) || self.to_do.send((filled, piece)).is_err() {
                break;
            }
            filled += 1;
        }
        while self.next < filled {
            let Ok(Some(done)) = self.done.recv() else { return Ok(()) };
            self.take(done, tell)?;
        }
        Ok(())
    }

    /// Takes a piece that came back, and tells those whose turn it is.
    fn take<E>(
        &mut self,
        (number, piece): Numbered<P>,
        tell: &mut impl FnMut(&mut P) -> Result<(), E>,
    ) -> Result<(), E> {
        let at = (number - self.next) as usize;
        if self.early.len() <= at {
            self.early.resize_with(at + 1, || None);
        }
        self.early[at] = Some(piece);
        while let Some(mut piece) = self.early.pop_front_if(|first| first.is_some()).flatten() {
            self.next += 1;
            tell(&mut piece)?;
            self.free.push(piece);
        }
        Ok(())
    }
}
