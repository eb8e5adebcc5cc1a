//! Finds Comm-B replies whose parity may carry a register number besides the address.

use crate::code::RegisterNumber;
use crate::downlink::Decoded;
use crate::frame::Address;
use crate::register::inference;

/// A Comm-B reply whose parity may be overlaid with a register number besides the address: on request its top eight
/// bits are (handbook, Mode S part, chapter 1).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DataOverlay {
    /// An address heard in the clear.
    pub address: Address,
    /// The register number that makes it the recovered one.
    pub register: RegisterNumber,
    /// How many other addresses heard in the clear would fit too, with another register.
    pub others: u8,
}

/// The known address from which the recovered one differs by a register number in its top eight bits. Among several,
/// one whose register can be what the payload holds comes first.
pub(super) fn find(decoded: &Decoded, recovered: Address, is_known: impl Fn(Address) -> bool) -> Option<DataOverlay> {
    let (20 | 21, Some(payload)) = (decoded.frame.downlink_format(), decoded.payload) else { return None };
    let fits = |number: &RegisterNumber| inference::obeys(*number, payload.bits).unwrap_or(false);
    let mut found: Option<DataOverlay> = None;
    for number in 1..=u8::MAX {
        let address = Address::new(recovered.bits() ^ u32::from(number) << 16);
        if !is_known(address) {
            continue;
        }
        let register = RegisterNumber::new(number);
        found = Some(match found {
            None => DataOverlay { address, register, others: 0 },
            Some(first) if fits(&register) && !fits(&first.register) => {
                DataOverlay { address, register, others: first.others + 1 }
            }
            Some(first) => DataOverlay { others: first.others + 1, ..first },
        });
    }
    found
}
