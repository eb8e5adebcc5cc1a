//! Register 4,0: selected vertical intention.

use super::quantity::{of, quantities, steps};
use crate::code::table::table;
use crate::code::{Flag, Number, Reserved, TargetAltitudeSource};

table! {
    /// Register 4,0: selected vertical intention.
    VerticalIntention: u64, 56 bits = "register_4_0", "register 4,0, selected vertical intention",
    when "register 4,0",
    template 0;
    1..=1 mcp_fcu_status: Flag, "Whether the altitude selected on the panel holds", "D90 SB HM7";
    2..=13 mcp_fcu_selected_altitude: Number<12>, "Altitude selected on the mode control panel, 16 ft a step", "D90 SB HM7";
    14..=14 fms_status: Flag, "Whether the altitude selected by the flight management holds", "D90 SB HM7";
    15..=26 fms_selected_altitude: Number<12>, "Altitude selected by the flight management, 16 ft a step", "D90 SB HM7";
    27..=27 barometric_setting_status: Flag, "Whether the barometric setting holds", "D90 SB HM7";
    28..=39 barometric_setting: Number<12>, "Barometric pressure setting less 800 hPa, 0.1 hPa a step", "D90 SB HM7";
    40..=47 reserved_40_47: Reserved<8>, "Reserved", "D90 SB HM7";
    48..=48 mode_status: Flag, "Whether the mode bits say anything", "D90 SB HM7";
    49..=49 vnav_mode: Flag, "Vertical navigation mode is active", "D90 SB HM7";
    50..=50 altitude_hold_mode: Flag, "Altitude hold mode is active", "D90 SB HM7";
    51..=51 approach_mode: Flag, "Approach mode is active", "D90 SB HM7";
    52..=53 reserved_52_53: Reserved<2>, "Reserved", "D90 SB HM7";
    54..=54 source_status: Flag, "Whether the source of the target altitude holds", "D90 SB HM7";
    55..=56 target_altitude_source: TargetAltitudeSource, "Where the target altitude comes from", "D90 SB HM7";
    derived of Self::DERIVED
}

quantities! {
    VerticalIntention;
    fn mcp_fcu_selected_altitude_ft = "mcp_fcu_selected_altitude_ft", "Altitude selected on the mode control panel, 16 ft a step", if mcp_fcu_status, mcp_fcu_selected_altitude, steps(16.0, 1.0, " ft");
    fn fms_selected_altitude_ft = "fms_selected_altitude_ft", "Altitude selected by the flight management, 16 ft a step", if fms_status, fms_selected_altitude, steps(16.0, 1.0, " ft");
    fn barometric_setting_hpa = "barometric_setting_hpa", "Barometric pressure setting: 800 hPa and steps of 0.1 hPa", if barometric_setting_status, barometric_setting, steps(1.0, 10.0, " hPa").from(800.0);
    "vnav_mode", "Vertical navigation mode is active", if mode_status, vnav_mode, of::<Flag>();
    "altitude_hold_mode", "Altitude hold mode is active", if mode_status, altitude_hold_mode, of::<Flag>();
    "approach_mode", "Approach mode is active", if mode_status, approach_mode, of::<Flag>();
    "target_altitude_source", "Where the target altitude comes from", if source_status, target_altitude_source, of::<TargetAltitudeSource>();
}
