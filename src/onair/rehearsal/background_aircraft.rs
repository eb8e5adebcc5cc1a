//! Invents aircraft that fly beside the rehearsed one: like it, and each a little different.

use super::Random;
use crate::frame::Address;
use crate::profile::{Acas, AirGroundKind, Antenna, Profile, Stated, Whole};

/// They have the addresses from here on: a part of the table that is kept for future use, so that no State has given one
/// to an aircraft.
const INVENTED: Address = Address::new(0xD0_0000);

/// How many of each kind there are is our own choice.
const CATEGORIES: [&str; 8] = ["A1", "A1", "A1", "A2", "A3", "A5", "A7", "B1"];

/// The install of invented aircraft `number`, and how many metres north and east of the flight it flies.
///
/// Only what has a code whatever the flight does is varied, so nothing can be refused.
pub(super) fn invented(like: &Profile, number: u32, random: &mut Random) -> (Profile, (f64, f64)) {
    let mut one_in = |many: u64| random.between(1, many) == 1;
    let letter = if one_in(2) { "A" } else { "" };
    let mut identification = format!("INV{number}{letter}");
    identification.truncate(8);
    let mut profile = Profile {
        registration: Stated::NotStated,
        address: Stated::Is(Address::new(INVENTED.bits() + number)),
        aircraft_identification: identification.parse().map_or(Stated::NotStated, Stated::Is),
        antenna: Stated::Is(if one_in(3) { Antenna::Diversity } else { Antenna::Single }),
        acas: Stated::Is(if one_in(3) { Acas::Resolution } else { Acas::None }),
        es_1090_in: Stated::Is(one_in(2)),
        sends_target_state: Stated::Is(one_in(4)),
        ..like.clone()
    };
    if one_in(8) {
        profile.air_ground_kind = Stated::Is(AirGroundKind::None);
    }
    if one_in(20) {
        // It sends no extended squitter.
        profile.mode_s_level = Stated::Is(Whole(1));
    }
    let category = CATEGORIES[random.between(0, CATEGORIES.len() as u64 - 1) as usize];
    profile.emitter_category = category.parse().map_or(Stated::NotStated, Stated::Is);
    profile.nic = Stated::Is(Whole(random.between(7, 9) as u8));
    profile.nacp = Stated::Is(Whole(random.between(8, 10) as u8));
    // Side by side in rows of a hundred, about a kilometre apart.
    let mut place = |at: u32| f64::from(at) * 1000.0 + random.part() * 600.0;
    (profile, (place(number / 100), place(number % 100)))
}
