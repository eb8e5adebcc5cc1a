//! Computes the SHA-256 of what was read: of the octets as they are in the file, compressed or not.

use super::{Accounting, Source};
use sha2::{Digest, Sha256};
use std::io::{self, Read};
use std::sync::{Arc, Mutex, PoisonError};

/// The SHA-256 of some octets, in hexadecimal.
///
/// ```
/// use squitterlab::capture::sha256;
/// // FIPS 180-2, appendix B.1
/// assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
/// ```
pub fn sha256(octets: &[u8]) -> String {
    faster_hex::hex_string(&Sha256::digest(octets))
}

/// A file that was read, as a record names it.
#[derive(Clone, Debug, Default)]
pub struct Captured {
    /// The file.
    pub name: String,
    /// SHA-256 of its octets and their number, where they can be read again or were all read.
    pub digest: Option<(String, u64)>,
    /// The account of its lines.
    pub accounting: Accounting,
    /// Why reading stopped, where it did.
    pub trouble: Option<String>,
}

impl Captured {
    /// A file of which nothing is known yet.
    pub(crate) fn named(name: &str) -> Self {
        Self { name: name.to_owned(), ..Self::default() }
    }

    /// Reads the file once more for its digest. Standard input has none, since it is read only once, and neither has
    /// what was not read whole.
    pub(crate) fn take_digest(&mut self, source: &Source) {
        let Source::File(path) = source else { return };
        if self.trouble.is_none() {
            self.digest = std::fs::File::open(path).and_then(digest).ok();
        }
    }
}

fn digest(input: impl Read) -> io::Result<(String, u64)> {
    let (mut input, running) = Digested::new(input);
    io::copy(&mut input, &mut io::sink())?;
    Ok(running.so_far())
}

/// The state of a digest while its input is being read elsewhere.
#[derive(Clone, Debug, Default)]
pub struct Running(Arc<Mutex<(Sha256, u64)>>);

impl Running {
    /// Adds octets, as they come.
    pub(crate) fn add(&self, octets: &[u8]) {
        let mut state = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        state.0.update(octets);
        state.1 += octets.len() as u64;
    }

    /// The digest of what was read so far, and how many octets that was.
    pub(crate) fn so_far(&self) -> (String, u64) {
        let state = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        (faster_hex::hex_string(&state.0.clone().finalize()), state.1)
    }
}

/// An input whose digest is taken as it is read.
#[derive(Debug)]
pub struct Digested<R> {
    inner: R,
    running: Running,
}

impl<R: Read> Digested<R> {
    /// The same input, with its digest.
    pub(crate) fn new(inner: R) -> (Self, Running) {
        let running = Running::default();
        (Self { inner, running: running.clone() }, running)
    }
}

impl<R: Read> Read for Digested<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let got = self.inner.read(into)?;
        self.running.add(&into[..got]);
        Ok(got)
    }
}
