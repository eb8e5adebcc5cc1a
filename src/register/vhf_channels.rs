//! Register 4,8: the VHF channels in use.

use super::quantity::{quantities, steps};
use crate::code::table::table;
use crate::code::{AudioStatus, Flag, Number};

table! {
    /// Register 4,8: the VHF channels in use.
    VhfChannels: u64, 56 bits = "register_4_8", "register 4,8, VHF channel report",
    when "register 4,8",
    template 0;
    1..=15 vhf_1: Number<15>, "VHF channel 1: 118 MHz and steps of 1 kHz", "A3-72";
    16..=16 vhf_1_status: Flag, "Whether the VHF channel 1 holds", "A3-72";
    17..=18 vhf_1_audio: AudioStatus => "vhf_1_audio", "Who listens to VHF channel 1", "A3-72";
    19..=33 vhf_2: Number<15>, "VHF channel 2: 118 MHz and steps of 1 kHz", "A3-72";
    34..=34 vhf_2_status: Flag, "Whether the VHF channel 2 holds", "A3-72";
    35..=36 vhf_2_audio: AudioStatus => "vhf_2_audio", "Who listens to VHF channel 2", "A3-72";
    37..=51 vhf_3: Number<15>, "VHF channel 3: 118 MHz and steps of 1 kHz", "A3-72";
    52..=52 vhf_3_status: Flag, "Whether the VHF channel 3 holds", "A3-72";
    53..=54 vhf_3_audio: AudioStatus => "vhf_3_audio", "Who listens to VHF channel 3", "A3-72";
    55..=56 emergency_audio: AudioStatus => "vhf_121_5_audio", "Who listens to 121.5 MHz", "A3-72";
    derived of Self::DERIVED
}

// The end of the band is from memory.
quantities! {
    VhfChannels;
    fn vhf_1_mhz = "vhf_1_mhz", "VHF channel 1: 118 MHz and steps of 0.001 MHz", if vhf_1_status, vhf_1, steps(1.0, 1000.0, " MHz").from(118.0).at_most(137.0, 0.8);
    fn vhf_2_mhz = "vhf_2_mhz", "VHF channel 2: 118 MHz and steps of 0.001 MHz", if vhf_2_status, vhf_2, steps(1.0, 1000.0, " MHz").from(118.0).at_most(137.0, 0.8);
    fn vhf_3_mhz = "vhf_3_mhz", "VHF channel 3: 118 MHz and steps of 0.001 MHz", if vhf_3_status, vhf_3, steps(1.0, 1000.0, " MHz").from(118.0).at_most(137.0, 0.8);
}
