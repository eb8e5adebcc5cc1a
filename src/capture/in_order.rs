//! Work spread over threads, its results in the order of the input.

use std::iter;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

/// How many threads work at once unless somebody wants more. More only cost memory: input and output are one stream.
pub const MOST_THREADS: usize = 8;

/// As many threads as there are cores, up to [`MOST_THREADS`].
pub fn threads() -> usize {
    thread::available_parallelism().map_or(1, usize::from).min(MOST_THREADS)
}

/// Does `work` on everything that `input` gives, on `threads` threads, and hands the results out in order: the same, in
/// the same order, as `input.map(work)`, which it is for one thread.
///
/// At most three items a thread are under way, so memory is bounded. The input runs on a thread of its own, and ends
/// once nobody wants more. A panic on any of the threads goes on here.
///
/// ```
/// use squitterlab::capture::in_order;
/// let squares: Vec<u32> = in_order(3, 0..1000, |n| n * n).collect();
/// assert_eq!(squares, (0..1000).map(|n| n * n).collect::<Vec<_>>());
/// ```
pub fn in_order<T: Send + 'static, U: Send + 'static>(
    threads: usize,
    input: impl Iterator<Item = T> + Send + 'static,
    work: impl Fn(T) -> U + Send + Sync + 'static,
) -> Box<dyn Iterator<Item = U>> {
    if threads <= 1 {
        return Box::new(input.map(work));
    }
    // Each item goes to the workers with the way back for its result; the ways back queue up in order.
    let (to_workers, work_queue) = sync_channel::<(T, SyncSender<thread::Result<U>>)>(threads);
    let (to_reader, results) = sync_channel::<Receiver<thread::Result<U>>>(2 * threads);
    let work_queue = Arc::new(Mutex::new(work_queue));
    let work = Arc::new(work);
    for _ in 0..threads {
        let (queue, work) = (Arc::clone(&work_queue), Arc::clone(&work));
        thread::spawn(move || {
            loop {
                let next = queue.lock().unwrap_or_else(PoisonError::into_inner).recv();
                let Ok((item, back)) = next else { return };
                // Nobody may be waiting any more.
                let _ = back.send(catch_unwind(AssertUnwindSafe(|| work(item))));
            }
        });
    }
    let feeder = thread::spawn(move || {
        for item in input {
            let (back, result) = sync_channel(1);
            if to_reader.send(result).is_err() || to_workers.send((item, back)).is_err() {
                return;
            }
        }
    });
    let mut feeder = Some(feeder);
    Box::new(iter::from_fn(move || match results.recv().map(|result| result.recv()) {
        Ok(Ok(Ok(result))) => Some(result),
        Ok(Ok(Err(panic))) => resume_unwind(panic),
        _ => match feeder.take()?.join() {
            Ok(()) => None,
            Err(panic) => resume_unwind(panic),
        },
    }))
}
