//! Spreads work over threads and returns the results in the order of the input.

use std::iter;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

/// How many threads work at once unless the caller asks for more. More only cost memory: input and output are one stream.
pub const MOST_THREADS: usize = 8;

/// As many threads as there are cores, up to [`MOST_THREADS`].
pub fn threads() -> usize {
    thread::available_parallelism().map_or(1, usize::from).min(MOST_THREADS)
}

/// Does work on everything that `input` gives, on `threads` threads, and hands the results out in order. Each thread has a
/// `worker` of its own, which may keep state, but whose results must not depend on the items before: then they are
/// those of `input.map(worker())`, which it is for one thread.
///
/// Each thread takes the next item itself, so what it works on is still at hand, and at most two items a thread are under
/// way, so memory is bounded. If the system has fewer threads to give, fewer do the work. Nothing more is taken once the
/// iterator is dropped. A panic on any of the threads goes on here.
///
/// ```
/// use squitterlab::capture::ordered_pool;
/// let squares: Vec<u32> = ordered_pool(3, 0..1000, || |n| n * n).collect();
/// assert_eq!(squares, (0..1000).map(|n| n * n).collect::<Vec<_>>());
/// ```
pub fn ordered_pool<T: Send + 'static, U: Send + 'static, W: FnMut(T) -> U + 'static>(
    threads: usize,
    input: impl Iterator<Item = T> + Send + 'static,
    worker: impl Fn() -> W + Send + Sync + 'static,
) -> Box<dyn Iterator<Item = U>> {
    if threads <= 1 {
        return Box::new(input.map(worker()));
    }
    let (to_reader, results) = sync_channel(2 * threads);
    let feed = Arc::new(Mutex::new(Some(Feed { input, to_reader })));
    let worker = Arc::new(worker);
    let mut is_alone = true;
    for _ in 0..threads {
        let of_thread = (Arc::clone(&feed), Arc::clone(&worker));
        let started = thread::Builder::new().spawn(move || {
            let (feed, worker) = of_thread;
            let mut work = None;
            while let Some((item, back)) = Feed::next(&feed) {
                // Nobody may be waiting any more.
                let _ = back.send(catch_unwind(AssertUnwindSafe(|| work.get_or_insert_with(|| worker())(item))));
            }
        });
        // The system may have no more threads to give: those that there are do the work.
        if started.is_err() {
            break;
        }
        is_alone = false;
    }
    if is_alone {
        let feed = feed.lock().unwrap_or_else(PoisonError::into_inner).take();
        return Box::new(feed.into_iter().flat_map(|feed| feed.input).map(worker()));
    }
    // The input has ended where the last way back leads nowhere.
    Box::new(iter::from_fn(move || match results.recv().ok()?.recv().ok()? {
        Ok(result) => Some(result),
        Err(panic) => resume_unwind(panic),
    }))
}

/// Does work on all of these on `threads` threads, in any order. If the system has fewer threads to give, fewer do it.
///
/// ```
/// use squitterlab::capture::share;
/// let mut numbers = vec![1, 2, 3];
/// share(2, numbers.iter_mut().collect(), |number| *number *= 10);
/// assert_eq!(numbers, [10, 20, 30]);
/// ```
pub fn share<T: Send>(threads: usize, all: Vec<T>, work: impl Fn(T) + Sync) {
    let helpers = threads.min(all.len()).saturating_sub(1);
    let all = Mutex::new(all.into_iter());
    let next = || all.lock().unwrap_or_else(PoisonError::into_inner).next();
    let some = || std::iter::from_fn(next).for_each(&work);
    thread::scope(|scope| {
        for _ in 0..helpers {
            if thread::Builder::new().spawn_scoped(scope, some).is_err() {
                break;
            }
        }
        some();
    });
}

type Back<U> = SyncSender<thread::Result<U>>;

/// Where the threads take their items, one at a time. The ways back for the results queue up in the order of the items.
struct Feed<I, U> {
    input: I,
    to_reader: SyncSender<Receiver<thread::Result<U>>>,
}

impl<I: Iterator, U> Feed<I, U> {
    /// The next item, with the way back for its result; the feed is gone once there is none, or nobody reads it.
    fn next(feed: &Mutex<Option<Self>>) -> Option<(I::Item, Back<U>)> {
        let mut feed = feed.lock().unwrap_or_else(PoisonError::into_inner);
        let Self { input, to_reader } = feed.as_mut()?;
        let (back, result) = sync_channel(1);
        if to_reader.send(result).is_ok() {
            match catch_unwind(AssertUnwindSafe(|| input.next())) {
                Ok(Some(item)) => return Some((item, back)),
                Ok(None) => {}
                Err(panic) => drop(back.send(Err(panic))),
            }
        }
        *feed = None;
        None
    }
}
