//! Keeps emptied lists, so that their memory is used again.

use std::sync::{Arc, Mutex, PoisonError};

/// Lists that were used and are to be used again, on any thread: fresh memory for long lists costs more than filling them.
#[derive(Debug)]
pub struct BufferPool<T>(Arc<Mutex<Vec<Vec<T>>>>);

impl<T> BufferPool<T> {
    /// A list as it was given, or an empty one.
    pub(crate) fn take(&self) -> Vec<T> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).pop().unwrap_or_default()
    }

    /// Gives a list for later use.
    pub(crate) fn give(&self, list: Vec<T>) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push(list);
    }
}

impl<T> Clone for BufferPool<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> Default for BufferPool<T> {
    fn default() -> Self {
        Self(Arc::default())
    }
}
