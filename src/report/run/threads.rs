//! Threads, as many as the system gives: it may refuse one because of its limits of processes or memory.

use std::thread::{Builder, Scope, ScopedJoinHandle};

/// Starts up to a number of threads; fewer or none when the system refuses one.
pub(crate) fn start<'scope, T, F>(
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
