//! Registration marks, the addresses that States derive from them, and the blocks that they derive them in. The State's
//! register decides; this is a cross-check.

pub mod address_mistake;
mod blocks;
mod confirmed;
mod lookup;
mod nationality;
mod notation;
mod united_states;

pub(crate) use blocks::reserve_of_address;
pub use blocks::{BLOCKS, Block, RESERVES, RESERVES_SOURCE, Reserve, TABLE, block_next_to, block_of_address};
pub use confirmed::{Confirmation, belongs, confirmed};
pub use lookup::{Found, PRIVACY, REGISTER_DECIDES, look_up};
pub use nationality::{Nationality, nationalities, nationality_of_mark};
pub use notation::{Meant, Notation, Unreadable, WrittenAddress, read_address, readings};
pub use united_states::{MARKS, MarkError, address_of_mark, mark_of_address};
