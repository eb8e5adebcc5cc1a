//! Register 1,0: what the transponder's data link can do.

use super::inference::Weigher;
use crate::code::table::table;
use crate::code::{
    AcasStandard, DownlinkThroughput, Flag, Number, RegisterNumber, Reserved, SubnetworkVersion, UplinkThroughput,
};

table! {
    /// Register 1,0: data link capability.
    DataLinkCapability: u64, 56 bits = "register_1_0", "register 1,0, data link capability",
    when "register 1,0",
    template 0x10 << 48;
    1..=8 register_number: RegisterNumber => "register", "The register's own number", "HM6";
    9..=9 continuation: Flag => "continuation", "Register 1,1 goes on", "D290 HM6";
    10..=14 reserved_10_14: Reserved<5>, "Reserved", "HM6";
    15..=15 overlay_command_capability: Flag => "overlay_command_capability", "Can overlay the parity with a register number", "HM6";
    16..=16 acas_operational: Flag => "acas_operational", "Collision avoidance is operating", "D288 HM6 AY";
    17..=23 subnetwork_version: SubnetworkVersion => "subnetwork_version", "Version of the Mode S subnetwork", "D75 HM6";
    24..=24 enhanced_protocol: Flag => "enhanced_protocol", "Level 5", "HM6";
    25..=25 specific_services: Flag => "specific_services", "Mode S specific services are in use", "HM6 AY";
    26..=28 uplink_throughput: UplinkThroughput => "uplink_throughput", "Uplink extended length messages, class", "D75 HM6";
    29..=32 downlink_throughput: DownlinkThroughput => "downlink_throughput", "Downlink extended length messages, class", "D75 HM6";
    33..=33 identification_capability: Flag => "identification_capability", "Serves the aircraft identification", "D290 HM6 AY";
    34..=34 squitter_capability: Flag => "squitter_capability", "Both position registers were updated lately", "HM6";
    35..=35 si_codes: Flag => "si_codes", "Understands SI codes", "HM6 AY";
    36..=36 usage_changed: Flag => "usage_changed", "Changes when register 1,7 changes", "HM6 memory";
    37..=37 hybrid_surveillance: Flag => "hybrid_surveillance", "Hybrid surveillance", "D288 HM6 AY";
    38..=38 resolution_advisories: Flag => "resolution_advisories", "Resolution advisories, not traffic advisories only", "D288 HM6 AY";
    39..=40 acas_standard: AcasStandard => "acas_standard", "Standard of the collision avoidance, bit 40 the higher", "D288 HM6 AY";
    41..=56 terminal_status: Number<16> => "terminal_status", "Status of the data terminals", "HM6";
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    w.odd(w.is_set(9), || "bit 9 refers to register 1,1, which is not defined".to_owned());
    let (version, up, down) = (w.field(17, 23), w.field(26, 28), w.field(29, 32));
    w.odd(version > 5, || format!("subnetwork version {version} is not assigned"));
    w.odd(up > 6 || down > 6, || "a throughput class is reserved".to_owned());
}
