//! Question in, answer out, for a page that has the library inside as WebAssembly.
//!
//! The page asks for room, writes the name of the question and the question there, and asks. Nothing else passes between
//! them, so nothing has to write the other side.

use squitterlab::page::Lab;
use std::cell::RefCell;

thread_local! {
    static LAB: RefCell<Lab> = RefCell::default();
    /// What passes between the two: a question, then its answer.
    static ROOM: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
}

/// Where this many octets can be written.
#[unsafe(no_mangle)]
pub extern "C" fn room(octets: usize) -> *mut u8 {
    ROOM.with_borrow_mut(|room| {
        room.clear();
        room.resize(octets, 0);
        room.as_mut_ptr()
    })
}

/// Answers what is in the room, whose first octets are the name of the question; `now` is in seconds since 1970-01-01 UTC.
/// Gives where the answer is: its length in four octets, the least first, and then the answer.
#[unsafe(no_mangle)]
pub extern "C" fn answer(name: usize, now: f64) -> *const u8 {
    ROOM.with_borrow_mut(|room| {
        let (name, question) = room.split_at_checked(name).unwrap_or((room, &[]));
        let name = String::from_utf8_lossy(name);
        let answer = LAB.with_borrow(|lab| lab.answer(&name, question, now as i64));
        let length = answer.len() as u32;
        room.clear();
        room.extend_from_slice(&length.to_le_bytes());
        room.extend_from_slice(answer.as_bytes());
        room.as_ptr()
    })
}
