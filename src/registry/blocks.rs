//! Finds which State, or other holder, a 24-bit address belongs to: the blocks of Annex 10 Volume III, Part I, chapter
//! 9.
//!
//! A block is a prefix of 4, 6, 9, 12 or 14 bits. Of the published table only the first page was seen; most rows are
//! from memory, each says so, and States that were added later are missing. The State's register decides.

use crate::frame::Address;

/// One row of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Block {
    /// The State, or who else holds it.
    pub holder: &'static str,
    /// The bits that all its addresses begin with, in groups of four.
    pub prefix: &'static str,
    /// How many bits that are.
    pub prefix_bits: u8,
    /// The first address.
    pub first: Address,
    /// The last address.
    pub last: Address,
    /// Where the row is from.
    pub source: &'static str,
}

/// A part of the table that no State had yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reserve {
    /// What it is kept for.
    pub kept_for: &'static str,
    /// The bits that all its addresses begin with, in groups of four.
    pub prefix: &'static str,
    /// The first address.
    pub first: Address,
    /// The last address.
    pub last: Address,
}

/// Which table this is, for a sentence on an address that it does not have.
pub const TABLE: &str = "Annex 10 Volume III, Table 9-1: most rows from memory, edition not known";
/// Where the reserves are known from.
pub const RESERVES_SOURCE: &str = MEMORY;

const MEMORY: &str = "from memory";
const ANNEX: &str = "ICAO Annex 10 Volume III (Amendment 71), Table 9-1, first page";
const PREFIX: &str = "article that quotes the ICAO address guidelines (prefix)";
const PREFIX_AND_SIZE: &str =
    "article that quotes the ICAO address guidelines (prefix); published answer on block sizes (size)";
const SIZE: &str = "from memory; published answer on block sizes (size only)";

const fn block(
    holder: &'static str,
    prefix: &'static str,
    prefix_bits: u8,
    first: u32,
    last: u32,
    source: &'static str,
) -> Block {
    Block { holder, prefix, prefix_bits, first: Address::new(first), last: Address::new(last), source }
}

const fn reserve(kept_for: &'static str, prefix: &'static str, first: u32, last: u32) -> Reserve {
    Reserve { kept_for, prefix, first: Address::new(first), last: Address::new(last) }
}

impl Block {
    /// Whether a page that was seen prints the block; else it is from memory.
    ///
    /// ```
    /// use squitterlab::registry::BLOCKS;
    /// // Some rows were seen on a page, others are from memory.
    /// assert!(BLOCKS.iter().any(|block| block.confirmed()) && !BLOCKS.iter().all(|block| block.confirmed()));
    /// ```
    pub fn confirmed(&self) -> bool {
        !self.source.starts_with(MEMORY)
    }

    /// The word for that.
    pub(crate) fn evidence(&self) -> &'static str {
        if self.confirmed() { "page seen" } else { MEMORY }
    }

    /// How many addresses it has.
    ///
    /// ```
    /// use squitterlab::registry::block_of_address;
    /// assert_eq!(block_of_address("A5C035".parse().unwrap()).unwrap().size(), 1 << 20);
    /// ```
    pub const fn size(&self) -> u32 {
        1 << (24 - self.prefix_bits)
    }
}

/// The block that an address lies in.
///
/// ```
/// use squitterlab::{frame::Address, registry::block_of_address};
/// assert_eq!(block_of_address(Address::new(0xA5C035)).unwrap().holder, "United States");
/// assert!(block_of_address(Address::new(0x22DD82)).is_none());
/// ```
pub fn block_of_address(address: Address) -> Option<&'static Block> {
    let at = BLOCKS.partition_point(|block| block.first <= address).checked_sub(1)?;
    BLOCKS.get(at).filter(|block| address <= block.last)
}

/// The block beside an address that lies in none: a State may have got more since. The address is in the aligned part of
/// twice the block's size (four times for Qatar, from memory), and nobody else holds any of that part.
///
/// ```
/// use squitterlab::{frame::Address, registry::block_next_to};
/// assert_eq!(block_next_to(Address::new(0x4D2450)).unwrap().holder, "Malta");
/// assert!(block_next_to(Address::new(0x4D2000)).is_none());
/// ```
pub fn block_next_to(address: Address) -> Option<&'static Block> {
    if block_of_address(address).is_some() {
        return None;
    }
    let grown = |block: &Block| {
        let bits = if block.holder == "Qatar" { 2 } else { 1 };
        let low = (block.size() << bits) - 1;
        (block.first.bits() & !low, block.first.bits() | low)
    };
    let alone = |block: &Block| {
        let (first, last) = grown(block);
        let apart = |other: &Block| other == block || other.last.bits() < first || last < other.first.bits();
        (first..=last).contains(&address.bits()) && BLOCKS.iter().all(apart)
    };
    BLOCKS.iter().find(|block| alone(block))
}

/// The reserve that an address lies in, also where a State has got a block of it.
pub(crate) fn reserve_of_address(address: Address) -> Option<&'static Reserve> {
    RESERVES.iter().find(|reserve| (reserve.first..=reserve.last).contains(&address))
}

/// Parts kept for later, as they were before States got blocks of them.
pub const RESERVES: &[Reserve] = &[
    reserve("Africa and Indian Ocean (AFI)", "0010 0", 0x20_0000, 0x27_FFFF),
    reserve("South America (SAM)", "0010 1", 0x28_0000, 0x2F_FFFF),
    reserve("Europe and North Atlantic (EUR/NAT)", "0101", 0x50_0000, 0x5F_FFFF),
    reserve("Middle East (MID)", "0110 0", 0x60_0000, 0x67_FFFF),
    reserve("Asia (ASIA)", "0110 1", 0x68_0000, 0x6F_FFFF),
    reserve("North America and Pacific (NAM/PAC)", "1001", 0x90_0000, 0x9F_FFFF),
    reserve("future use", "1011", 0xB0_0000, 0xBF_FFFF),
    reserve("future use", "1101", 0xD0_0000, 0xDF_FFFF),
    reserve("Caribbean (CAR)", "1110 11", 0xEC_0000, 0xEF_FFFF),
    reserve("future use", "1111", 0xF0_0000, 0xFF_FFFF),
];

/// The table: 187 States and three blocks of ICAO, in the order of their addresses.
#[rustfmt::skip]
pub const BLOCKS: &[Block] = &[
    block("Zimbabwe", "0000 0000 0100 00", 14, 0x00_4000, 0x00_43FF, MEMORY),
    block("Mozambique", "0000 0000 0110", 12, 0x00_6000, 0x00_6FFF, MEMORY),
    block("South Africa", "0000 0000 1", 9, 0x00_8000, 0x00_FFFF, MEMORY),
    block("Egypt", "0000 0001 0", 9, 0x01_0000, 0x01_7FFF, MEMORY),
    block("Libya", "0000 0001 1", 9, 0x01_8000, 0x01_FFFF, MEMORY),
    block("Morocco", "0000 0010 0", 9, 0x02_0000, 0x02_7FFF, MEMORY),
    block("Tunisia", "0000 0010 1", 9, 0x02_8000, 0x02_FFFF, MEMORY),
    block("Botswana", "0000 0011 0000 00", 14, 0x03_0000, 0x03_03FF, MEMORY),
    block("Burundi", "0000 0011 0010", 12, 0x03_2000, 0x03_2FFF, MEMORY),
    block("Cameroon", "0000 0011 0100", 12, 0x03_4000, 0x03_4FFF, MEMORY),
    block("Comoros", "0000 0011 0101 00", 14, 0x03_5000, 0x03_53FF, MEMORY),
    block("Congo", "0000 0011 0110", 12, 0x03_6000, 0x03_6FFF, MEMORY),
    block("Côte d'Ivoire", "0000 0011 1000", 12, 0x03_8000, 0x03_8FFF, MEMORY),
    block("Gabon", "0000 0011 1110", 12, 0x03_E000, 0x03_EFFF, MEMORY),
    block("Ethiopia", "0000 0100 0000", 12, 0x04_0000, 0x04_0FFF, MEMORY),
    block("Equatorial Guinea", "0000 0100 0010", 12, 0x04_2000, 0x04_2FFF, MEMORY),
    block("Ghana", "0000 0100 0100", 12, 0x04_4000, 0x04_4FFF, MEMORY),
    block("Guinea", "0000 0100 0110", 12, 0x04_6000, 0x04_6FFF, MEMORY),
    block("Guinea-Bissau", "0000 0100 1000 00", 14, 0x04_8000, 0x04_83FF, MEMORY),
    block("Lesotho", "0000 0100 1010 00", 14, 0x04_A000, 0x04_A3FF, MEMORY),
    block("Kenya", "0000 0100 1100", 12, 0x04_C000, 0x04_CFFF, MEMORY),
    block("Liberia", "0000 0101 0000", 12, 0x05_0000, 0x05_0FFF, MEMORY),
    block("Madagascar", "0000 0101 0100", 12, 0x05_4000, 0x05_4FFF, MEMORY),
    block("Malawi", "0000 0101 1000", 12, 0x05_8000, 0x05_8FFF, MEMORY),
    block("Maldives", "0000 0101 1010 00", 14, 0x05_A000, 0x05_A3FF, MEMORY),
    block("Mali", "0000 0101 1100", 12, 0x05_C000, 0x05_CFFF, MEMORY),
    block("Mauritania", "0000 0101 1110 00", 14, 0x05_E000, 0x05_E3FF, MEMORY),
    block("Mauritius", "0000 0110 0000 00", 14, 0x06_0000, 0x06_03FF, SIZE),
    block("Niger", "0000 0110 0010", 12, 0x06_2000, 0x06_2FFF, MEMORY),
    block("Nigeria", "0000 0110 0100", 12, 0x06_4000, 0x06_4FFF, MEMORY),
    block("Uganda", "0000 0110 1000", 12, 0x06_8000, 0x06_8FFF, MEMORY),
    block("Qatar", "0000 0110 1010 00", 14, 0x06_A000, 0x06_A3FF, MEMORY),
    block("Central African Republic", "0000 0110 1100", 12, 0x06_C000, 0x06_CFFF, MEMORY),
    block("Rwanda", "0000 0110 1110", 12, 0x06_E000, 0x06_EFFF, MEMORY),
    block("Senegal", "0000 0111 0000", 12, 0x07_0000, 0x07_0FFF, MEMORY),
    block("Seychelles", "0000 0111 0100 00", 14, 0x07_4000, 0x07_43FF, MEMORY),
    block("Sierra Leone", "0000 0111 0110 00", 14, 0x07_6000, 0x07_63FF, MEMORY),
    block("Somalia", "0000 0111 1000", 12, 0x07_8000, 0x07_8FFF, MEMORY),
    block("Eswatini (Swaziland)", "0000 0111 1010 00", 14, 0x07_A000, 0x07_A3FF, MEMORY),
    block("Sudan", "0000 0111 1100", 12, 0x07_C000, 0x07_CFFF, MEMORY),
    block("Tanzania (United Republic of)", "0000 1000 0000", 12, 0x08_0000, 0x08_0FFF, MEMORY),
    block("Chad", "0000 1000 0100", 12, 0x08_4000, 0x08_4FFF, MEMORY),
    block("Togo", "0000 1000 1000", 12, 0x08_8000, 0x08_8FFF, MEMORY),
    block("Zambia", "0000 1000 1010", 12, 0x08_A000, 0x08_AFFF, MEMORY),
    block("Democratic Republic of the Congo", "0000 1000 1100", 12, 0x08_C000, 0x08_CFFF, MEMORY),
    block("Angola", "0000 1001 0000", 12, 0x09_0000, 0x09_0FFF, ANNEX),
    block("Benin", "0000 1001 0100 00", 14, 0x09_4000, 0x09_43FF, MEMORY),
    block("Cabo Verde", "0000 1001 0110 00", 14, 0x09_6000, 0x09_63FF, MEMORY),
    block("Djibouti", "0000 1001 1000 00", 14, 0x09_8000, 0x09_83FF, MEMORY),
    block("Gambia", "0000 1001 1010", 12, 0x09_A000, 0x09_AFFF, MEMORY),
    block("Burkina Faso", "0000 1001 1100", 12, 0x09_C000, 0x09_CFFF, MEMORY),
    block("Sao Tome and Principe", "0000 1001 1110 00", 14, 0x09_E000, 0x09_E3FF, MEMORY),
    block("Algeria", "0000 1010 0", 9, 0x0A_0000, 0x0A_7FFF, ANNEX),
    block("Bahamas", "0000 1010 1000", 12, 0x0A_8000, 0x0A_8FFF, MEMORY),
    block("Barbados", "0000 1010 1010 00", 14, 0x0A_A000, 0x0A_A3FF, MEMORY),
    block("Belize", "0000 1010 1011 00", 14, 0x0A_B000, 0x0A_B3FF, MEMORY),
    block("Colombia", "0000 1010 1100", 12, 0x0A_C000, 0x0A_CFFF, MEMORY),
    block("Costa Rica", "0000 1010 1110", 12, 0x0A_E000, 0x0A_EFFF, MEMORY),
    block("Cuba", "0000 1011 0000", 12, 0x0B_0000, 0x0B_0FFF, MEMORY),
    block("El Salvador", "0000 1011 0010", 12, 0x0B_2000, 0x0B_2FFF, MEMORY),
    block("Guatemala", "0000 1011 0100", 12, 0x0B_4000, 0x0B_4FFF, MEMORY),
    block("Guyana", "0000 1011 0110", 12, 0x0B_6000, 0x0B_6FFF, MEMORY),
    block("Haiti", "0000 1011 1000", 12, 0x0B_8000, 0x0B_8FFF, MEMORY),
    block("Honduras", "0000 1011 1010", 12, 0x0B_A000, 0x0B_AFFF, MEMORY),
    block("Saint Vincent and the Grenadines", "0000 1011 1100 00", 14, 0x0B_C000, 0x0B_C3FF, MEMORY),
    block("Jamaica", "0000 1011 1110", 12, 0x0B_E000, 0x0B_EFFF, MEMORY),
    block("Nicaragua", "0000 1100 0000", 12, 0x0C_0000, 0x0C_0FFF, MEMORY),
    block("Panama", "0000 1100 0010", 12, 0x0C_2000, 0x0C_2FFF, MEMORY),
    block("Dominican Republic", "0000 1100 0100", 12, 0x0C_4000, 0x0C_4FFF, MEMORY),
    block("Trinidad and Tobago", "0000 1100 0110", 12, 0x0C_6000, 0x0C_6FFF, MEMORY),
    block("Suriname", "0000 1100 1000", 12, 0x0C_8000, 0x0C_8FFF, MEMORY),
    block("Antigua and Barbuda", "0000 1100 1010 00", 14, 0x0C_A000, 0x0C_A3FF, ANNEX),
    block("Grenada", "0000 1100 1100 00", 14, 0x0C_C000, 0x0C_C3FF, SIZE),
    block("Mexico", "0000 1101 0", 9, 0x0D_0000, 0x0D_7FFF, MEMORY),
    block("Venezuela", "0000 1101 1", 9, 0x0D_8000, 0x0D_FFFF, MEMORY),
    block("Russian Federation", "0001", 4, 0x10_0000, 0x1F_FFFF, PREFIX_AND_SIZE),
    block("Namibia", "0010 0000 0001 00", 14, 0x20_1000, 0x20_13FF, MEMORY),
    block("Eritrea", "0010 0000 0010 00", 14, 0x20_2000, 0x20_23FF, MEMORY),
    block("Italy", "0011 00", 6, 0x30_0000, 0x33_FFFF, MEMORY),
    block("Spain", "0011 01", 6, 0x34_0000, 0x37_FFFF, MEMORY),
    block("France", "0011 10", 6, 0x38_0000, 0x3B_FFFF, MEMORY),
    block("Germany", "0011 11", 6, 0x3C_0000, 0x3F_FFFF, MEMORY),
    block("United Kingdom", "0100 00", 6, 0x40_0000, 0x43_FFFF, PREFIX),
    block("Austria", "0100 0100 0", 9, 0x44_0000, 0x44_7FFF, MEMORY),
    block("Belgium", "0100 0100 1", 9, 0x44_8000, 0x44_FFFF, MEMORY),
    block("Bulgaria", "0100 0101 0", 9, 0x45_0000, 0x45_7FFF, MEMORY),
    block("Denmark", "0100 0101 1", 9, 0x45_8000, 0x45_FFFF, MEMORY),
    block("Finland", "0100 0110 0", 9, 0x46_0000, 0x46_7FFF, MEMORY),
    block("Greece", "0100 0110 1", 9, 0x46_8000, 0x46_FFFF, MEMORY),
    block("Hungary", "0100 0111 0", 9, 0x47_0000, 0x47_7FFF, MEMORY),
    block("Norway", "0100 0111 1", 9, 0x47_8000, 0x47_FFFF, MEMORY),
    block("Netherlands", "0100 1000 0", 9, 0x48_0000, 0x48_7FFF, MEMORY),
    block("Poland", "0100 1000 1", 9, 0x48_8000, 0x48_FFFF, MEMORY),
    block("Portugal", "0100 1001 0", 9, 0x49_0000, 0x49_7FFF, MEMORY),
    block("Czech Republic (Czechia)", "0100 1001 1", 9, 0x49_8000, 0x49_FFFF, MEMORY),
    block("Romania", "0100 1010 0", 9, 0x4A_0000, 0x4A_7FFF, MEMORY),
    block("Sweden", "0100 1010 1", 9, 0x4A_8000, 0x4A_FFFF, MEMORY),
    block("Switzerland", "0100 1011 0", 9, 0x4B_0000, 0x4B_7FFF, MEMORY),
    block("Türkiye", "0100 1011 1", 9, 0x4B_8000, 0x4B_FFFF, MEMORY),
    block("Serbia (listed as Yugoslavia in old editions)", "0100 1100 0", 9, 0x4C_0000, 0x4C_7FFF, MEMORY),
    block("Cyprus", "0100 1100 1000 00", 14, 0x4C_8000, 0x4C_83FF, MEMORY),
    block("Ireland", "0100 1100 1010", 12, 0x4C_A000, 0x4C_AFFF, MEMORY),
    block("Iceland", "0100 1100 1100", 12, 0x4C_C000, 0x4C_CFFF, MEMORY),
    block("Luxembourg", "0100 1101 0000 00", 14, 0x4D_0000, 0x4D_03FF, MEMORY),
    block("Malta", "0100 1101 0010 00", 14, 0x4D_2000, 0x4D_23FF, MEMORY),
    block("Monaco", "0100 1101 0100 00", 14, 0x4D_4000, 0x4D_43FF, MEMORY),
    block("San Marino", "0101 0000 0000 00", 14, 0x50_0000, 0x50_03FF, MEMORY),
    block("Albania", "0101 0000 0001 00", 14, 0x50_1000, 0x50_13FF, ANNEX),
    block("Croatia", "0101 0000 0001 11", 14, 0x50_1C00, 0x50_1FFF, MEMORY),
    block("Latvia", "0101 0000 0010 11", 14, 0x50_2C00, 0x50_2FFF, MEMORY),
    block("Lithuania", "0101 0000 0011 11", 14, 0x50_3C00, 0x50_3FFF, MEMORY),
    block("Republic of Moldova", "0101 0000 0100 11", 14, 0x50_4C00, 0x50_4FFF, MEMORY),
    block("Slovakia", "0101 0000 0101 11", 14, 0x50_5C00, 0x50_5FFF, MEMORY),
    block("Slovenia", "0101 0000 0110 11", 14, 0x50_6C00, 0x50_6FFF, MEMORY),
    block("Uzbekistan", "0101 0000 0111 11", 14, 0x50_7C00, 0x50_7FFF, MEMORY),
    block("Ukraine", "0101 0000 1", 9, 0x50_8000, 0x50_FFFF, MEMORY),
    block("Belarus", "0101 0001 0000 00", 14, 0x51_0000, 0x51_03FF, MEMORY),
    block("Estonia", "0101 0001 0001 00", 14, 0x51_1000, 0x51_13FF, MEMORY),
    block("North Macedonia", "0101 0001 0010 00", 14, 0x51_2000, 0x51_23FF, MEMORY),
    block("Bosnia and Herzegovina", "0101 0001 0011 00", 14, 0x51_3000, 0x51_33FF, MEMORY),
    block("Georgia", "0101 0001 0100 00", 14, 0x51_4000, 0x51_43FF, MEMORY),
    block("Tajikistan", "0101 0001 0101 00", 14, 0x51_5000, 0x51_53FF, MEMORY),
    block("Montenegro", "0101 0001 0110 00", 14, 0x51_6000, 0x51_63FF, MEMORY),
    block("Armenia", "0110 0000 0000 00", 14, 0x60_0000, 0x60_03FF, ANNEX),
    block("Azerbaijan", "0110 0000 0000 10", 14, 0x60_0800, 0x60_0BFF, MEMORY),
    block("Kyrgyzstan", "0110 0000 0001 00", 14, 0x60_1000, 0x60_13FF, MEMORY),
    block("Turkmenistan", "0110 0000 0001 10", 14, 0x60_1800, 0x60_1BFF, MEMORY),
    block("Bhutan", "0110 1000 0000 00", 14, 0x68_0000, 0x68_03FF, MEMORY),
    block("Micronesia (Federated States of)", "0110 1000 0001 00", 14, 0x68_1000, 0x68_13FF, MEMORY),
    block("Mongolia", "0110 1000 0010 00", 14, 0x68_2000, 0x68_23FF, MEMORY),
    block("Kazakhstan", "0110 1000 0011 00", 14, 0x68_3000, 0x68_33FF, MEMORY),
    block("Palau", "0110 1000 0100 00", 14, 0x68_4000, 0x68_43FF, MEMORY),
    block("Afghanistan", "0111 0000 0000", 12, 0x70_0000, 0x70_0FFF, ANNEX),
    block("Bangladesh", "0111 0000 0010", 12, 0x70_2000, 0x70_2FFF, MEMORY),
    block("Myanmar", "0111 0000 0100", 12, 0x70_4000, 0x70_4FFF, MEMORY),
    block("Kuwait", "0111 0000 0110", 12, 0x70_6000, 0x70_6FFF, MEMORY),
    block("Lao People's Democratic Republic", "0111 0000 1000", 12, 0x70_8000, 0x70_8FFF, MEMORY),
    block("Nepal", "0111 0000 1010", 12, 0x70_A000, 0x70_AFFF, MEMORY),
    block("Oman", "0111 0000 1100 00", 14, 0x70_C000, 0x70_C3FF, MEMORY),
    block("Cambodia", "0111 0000 1110", 12, 0x70_E000, 0x70_EFFF, MEMORY),
    block("Saudi Arabia", "0111 0001 0", 9, 0x71_0000, 0x71_7FFF, MEMORY),
    block("Republic of Korea", "0111 0001 1", 9, 0x71_8000, 0x71_FFFF, MEMORY),
    block("Democratic People's Republic of Korea", "0111 0010 0", 9, 0x72_0000, 0x72_7FFF, MEMORY),
    block("Iraq", "0111 0010 1", 9, 0x72_8000, 0x72_FFFF, MEMORY),
    block("Iran (Islamic Republic of)", "0111 0011 0", 9, 0x73_0000, 0x73_7FFF, MEMORY),
    block("Israel", "0111 0011 1", 9, 0x73_8000, 0x73_FFFF, MEMORY),
    block("Jordan", "0111 0100 0", 9, 0x74_0000, 0x74_7FFF, MEMORY),
    block("Lebanon", "0111 0100 1", 9, 0x74_8000, 0x74_FFFF, MEMORY),
    block("Malaysia", "0111 0101 0", 9, 0x75_0000, 0x75_7FFF, MEMORY),
    block("Philippines", "0111 0101 1", 9, 0x75_8000, 0x75_FFFF, MEMORY),
    block("Pakistan", "0111 0110 0", 9, 0x76_0000, 0x76_7FFF, MEMORY),
    block("Singapore", "0111 0110 1", 9, 0x76_8000, 0x76_FFFF, MEMORY),
    block("Sri Lanka", "0111 0111 0", 9, 0x77_0000, 0x77_7FFF, MEMORY),
    block("Syrian Arab Republic", "0111 0111 1", 9, 0x77_8000, 0x77_FFFF, MEMORY),
    block("China", "0111 10", 6, 0x78_0000, 0x7B_FFFF, MEMORY),
    block("Australia", "0111 11", 6, 0x7C_0000, 0x7F_FFFF, MEMORY),
    block("India", "1000 00", 6, 0x80_0000, 0x83_FFFF, MEMORY),
    block("Japan", "1000 01", 6, 0x84_0000, 0x87_FFFF, MEMORY),
    block("Thailand", "1000 1000 0", 9, 0x88_0000, 0x88_7FFF, MEMORY),
    block("Viet Nam", "1000 1000 1", 9, 0x88_8000, 0x88_FFFF, MEMORY),
    block("Yemen", "1000 1001 0000", 12, 0x89_0000, 0x89_0FFF, MEMORY),
    block("Bahrain", "1000 1001 0100", 12, 0x89_4000, 0x89_4FFF, MEMORY),
    block("Brunei Darussalam", "1000 1001 0101 00", 14, 0x89_5000, 0x89_53FF, MEMORY),
    block("United Arab Emirates", "1000 1001 0110", 12, 0x89_6000, 0x89_6FFF, MEMORY),
    block("Solomon Islands", "1000 1001 0111 00", 14, 0x89_7000, 0x89_73FF, MEMORY),
    block("Papua New Guinea", "1000 1001 1000", 12, 0x89_8000, 0x89_8FFF, MEMORY),
    block("ICAO, special use in the interest of flight safety; in practice aircraft registered in Taiwan", "1000 1001 1001 00", 14, 0x89_9000, 0x89_93FF, MEMORY),
    block("Indonesia", "1000 1010 0", 9, 0x8A_0000, 0x8A_7FFF, MEMORY),
    block("Marshall Islands", "1001 0000 0000 00", 14, 0x90_0000, 0x90_03FF, MEMORY),
    block("Cook Islands", "1001 0000 0001 00", 14, 0x90_1000, 0x90_13FF, MEMORY),
    block("Samoa", "1001 0000 0010 00", 14, 0x90_2000, 0x90_23FF, MEMORY),
    block("United States", "1010", 4, 0xA0_0000, 0xAF_FFFF, PREFIX_AND_SIZE),
    block("Canada", "1100 00", 6, 0xC0_0000, 0xC3_FFFF, MEMORY),
    block("New Zealand", "1100 1000 0", 9, 0xC8_0000, 0xC8_7FFF, MEMORY),
    block("Fiji", "1100 1000 1000", 12, 0xC8_8000, 0xC8_8FFF, MEMORY),
    block("Nauru", "1100 1000 1010 00", 14, 0xC8_A000, 0xC8_A3FF, MEMORY),
    block("Saint Lucia", "1100 1000 1100 00", 14, 0xC8_C000, 0xC8_C3FF, MEMORY),
    block("Tonga", "1100 1000 1101 00", 14, 0xC8_D000, 0xC8_D3FF, MEMORY),
    block("Kiribati", "1100 1000 1110 00", 14, 0xC8_E000, 0xC8_E3FF, MEMORY),
    block("Vanuatu", "1100 1001 0000 00", 14, 0xC9_0000, 0xC9_03FF, MEMORY),
    block("Argentina", "1110 00", 6, 0xE0_0000, 0xE3_FFFF, ANNEX),
    block("Brazil", "1110 01", 6, 0xE4_0000, 0xE7_FFFF, MEMORY),
    block("Chile", "1110 1000 0000", 12, 0xE8_0000, 0xE8_0FFF, MEMORY),
    block("Ecuador", "1110 1000 0100", 12, 0xE8_4000, 0xE8_4FFF, MEMORY),
    block("Paraguay", "1110 1000 1000", 12, 0xE8_8000, 0xE8_8FFF, MEMORY),
    block("Peru", "1110 1000 1100", 12, 0xE8_C000, 0xE8_CFFF, MEMORY),
    block("Uruguay", "1110 1001 0000", 12, 0xE9_0000, 0xE9_0FFF, MEMORY),
    block("Bolivia", "1110 1001 0100", 12, 0xE9_4000, 0xE9_4FFF, MEMORY),
    block("ICAO, for temporary use only", "1111 0000 0", 9, 0xF0_0000, 0xF0_7FFF, MEMORY),
    block("ICAO, special use in the interest of flight safety", "1111 0000 1001 00", 14, 0xF0_9000, 0xF0_93FF, MEMORY),
];
