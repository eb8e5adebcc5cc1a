//! Gives up a connection once its peer has read nothing for a while.

use std::future::Future;
use std::io::{self, ErrorKind};
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;
use tokio::time::{Sleep, sleep};

/// A stream whose writing fails once nothing could be written for as long as its patience lasts. What waits to be written
/// is memory, so whoever asks and does not read must not hold it for ever.
pub struct Patient {
    stream: TcpStream,
    patience: Duration,
    waiting: Option<Pin<Box<Sleep>>>,
}

impl Patient {
    pub fn new(stream: TcpStream, patience: Duration) -> Self {
        Self { stream, patience, waiting: None }
    }

    /// Passes on what writing came to, unless it has been waited for too long.
    fn watch<T>(&mut self, written: Poll<io::Result<T>>, context: &mut Context<'_>) -> Poll<io::Result<T>> {
        if written.is_ready() {
            self.waiting = None;
            return written;
        }
        let patience = self.patience;
        let waiting = self.waiting.get_or_insert_with(|| Box::pin(sleep(patience)));
        waiting.as_mut().poll(context).map(|()| Err(ErrorKind::TimedOut.into()))
    }
}

impl AsyncRead for Patient {
    fn poll_read(mut self: Pin<&mut Self>, context: &mut Context<'_>, into: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, into)
    }
}

impl AsyncWrite for Patient {
    fn poll_write(mut self: Pin<&mut Self>, context: &mut Context<'_>, octets: &[u8]) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(context, octets);
        self.watch(written, context)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let flushed = Pin::new(&mut self.stream).poll_flush(context);
        self.watch(flushed, context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}
