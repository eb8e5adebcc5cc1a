//! Reads a request body a piece at a time, and gives it up when its reader does nothing with it.

use axum::body::{Body, Bytes, HttpBody};
use hyper::body::Frame;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::task::{Context, Poll, ready};

/// More than this before the next part or piece is not a head of a part.
const MOST: usize = 1 << 20;

/// How much of a body was read since its reader last got somewhere.
#[derive(Clone, Default)]
pub struct Meter(Arc<AtomicUsize>);

impl Meter {
    /// The reader has got somewhere.
    pub fn reset(&self) {
        self.0.store(0, Ordering::Relaxed);
    }
}

/// A body whose reader would keep all that is there. It is given one piece a turn, and an error where it asks for ever more.
pub struct Metered {
    body: Body,
    meter: Meter,
    is_turn_over: bool,
}

impl Metered {
    pub fn new(body: Body) -> (Self, Meter) {
        let meter = Meter::default();
        (Self { body, meter: meter.clone(), is_turn_over: false }, meter)
    }
}

impl HttpBody for Metered {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        if std::mem::take(&mut self.is_turn_over) {
            context.waker().wake_by_ref();
            return Poll::Pending;
        }
        let next = ready!(Pin::new(&mut self.body).poll_frame(context));
        self.is_turn_over = true;
        let octets = next.as_ref().and_then(|frame| frame.as_ref().ok()?.data_ref()).map_or(0, Bytes::len);
        if self.meter.0.fetch_add(octets, Ordering::Relaxed) + octets > MOST {
            return Poll::Ready(Some(Err(axum::Error::new("the head of a part of the form has no end"))));
        }
        Poll::Ready(next)
    }
}
