//! Starts the threads that work on answers, all before the first question, so that one that cannot be started later
//! does not end the server.

use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use tokio::sync::oneshot;

type Job = Box<dyn FnOnce() + Send>;

/// The threads, and the way to them.
pub struct Workers {
    jobs: Sender<Job>,
    /// How many there are: fewer than were wanted where the system gives no more.
    pub count: usize,
}

impl Workers {
    /// Starts at most this many.
    ///
    /// # Errors
    /// If the system gives not even one.
    pub fn start(most: usize) -> io::Result<Self> {
        Self::start_with(most, |waiting| thread::Builder::new().spawn(move || work(&waiting)).map(drop))
    }

    fn start_with(most: usize, start: impl Fn(Arc<Mutex<Receiver<Job>>>) -> io::Result<()>) -> io::Result<Self> {
        let (jobs, waiting) = channel();
        let waiting = Arc::new(Mutex::new(waiting));
        let mut count = 0;
        while count < most {
            match start(Arc::clone(&waiting)) {
                Ok(()) => count += 1,
                Err(error) if count == 0 => return Err(error),
                Err(_) => break,
            }
        }
        Ok(Self { jobs, count })
    }

    /// What a job comes to; `None` if it failed.
    pub async fn run<T: Send + 'static>(&self, job: impl FnOnce() -> T + Send + 'static) -> Option<T> {
        let (done, answer) = oneshot::channel();
        let job = move || {
            if let Ok(made) = catch_unwind(AssertUnwindSafe(job)) {
                // Nobody may wait any more.
                let _ = done.send(made);
            }
        };
        self.jobs.send(Box::new(job)).ok()?;
        answer.await.ok()
    }
}

fn work(waiting: &Mutex<Receiver<Job>>) {
    loop {
        let job = waiting.lock().unwrap_or_else(PoisonError::into_inner).recv();
        match job {
            Ok(job) => job(),
            Err(_) => return,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Workers, work};
    use std::cell::Cell;
    use std::io;

    #[test]
    fn as_many_as_the_system_gives() {
        for gives in 0..5 {
            let left = Cell::new(gives);
            let started = Workers::start_with(3, |waiting| {
                if left.get() == 0 {
                    return Err(io::ErrorKind::WouldBlock.into());
                }
                left.set(left.get() - 1);
                std::thread::spawn(move || work(&waiting));
                Ok(())
            });
            match started {
                Err(_) => assert_eq!(gives, 0),
                Ok(workers) => {
                    assert_eq!(workers.count, gives.min(3));
                    let runtime = tokio::runtime::Builder::new_current_thread().build().expect("a runtime");
                    let failed: Option<()> = runtime.block_on(workers.run(|| panic!("a job that fails")));
                    assert_eq!(failed, None);
                    assert_eq!(runtime.block_on(workers.run(|| 6 * 7)), Some(42), "and the others go on");
                }
            }
        }
    }
}
