//! Takes the place of Parquet if the program is built without it.

use super::{Batch, Columns};
use std::convert::Infallible;
use std::io::{self, Write};
use std::marker::PhantomData;
use std::sync::Arc;

/// A writer that there never is.
pub struct Writer<W: Write + Send>(Infallible, PhantomData<W>);

impl<W: Write + Send> Writer<W> {
    /// Says that it cannot be had.
    ///
    /// # Errors
    /// Always.
    pub fn new(_: W, _: Arc<Columns>, _: usize) -> io::Result<Self> {
        let message = "this program was built without Parquet; build it with the feature \"parquet\" \
                       (cargo build --release --features parquet), or take --format csv";
        Err(io::Error::new(io::ErrorKind::Unsupported, message))
    }

    /// Never called.
    ///
    /// # Errors
    /// None.
    pub fn push(&mut self, _: &Batch) -> io::Result<()> {
        match self.0 {}
    }

    /// Never called.
    pub fn octets(&self) -> usize {
        match self.0 {}
    }

    /// Never called.
    pub fn rows(&self) -> u64 {
        match self.0 {}
    }

    /// Never called.
    ///
    /// # Errors
    /// None.
    pub fn end_group(&mut self) -> io::Result<()> {
        match self.0 {}
    }

    /// Never called.
    pub fn note(&mut self, _: &str, _: &str) {
        match self.0 {}
    }

    /// Never called.
    ///
    /// # Errors
    /// None.
    pub fn close(self) -> io::Result<W> {
        match self.0 {}
    }
}
