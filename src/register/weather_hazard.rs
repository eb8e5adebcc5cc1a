//! Register 4,5: dangers of the weather outside.

use super::quantity::{of, quantities, steps};
use crate::code::table::table;
use crate::code::{Flag, HazardLevel, Number, Reserved, Sign};

table! {
    /// Register 4,5: dangers of the weather outside.
    WeatherHazard: u64, 56 bits = "register_4_5", "register 4,5, meteorological hazard report",
    when "register 4,5",
    template 0;
    1..=1 turbulence_status: Flag, "Whether the turbulence level holds", "HM8";
    2..=3 turbulence: HazardLevel, "Turbulence", "A3-72 HM8";
    4..=4 wind_shear_status: Flag, "Whether the wind shear level holds", "HM8";
    5..=6 wind_shear: HazardLevel, "Wind shear", "A3-72 HM8";
    7..=7 microburst_status: Flag, "Whether the microburst level holds", "HM8";
    8..=9 microburst: HazardLevel, "Microburst", "A3-72 HM8";
    10..=10 icing_status: Flag, "Whether the icing level holds", "HM8";
    11..=12 icing: HazardLevel, "Icing", "A3-72 HM8";
    13..=13 wake_vortex_status: Flag, "Whether the wake vortex level holds", "HM8";
    14..=15 wake_vortex: HazardLevel, "Wake vortex", "A3-72 HM8";
    16..=16 temperature_status: Flag, "Whether the temperature holds", "HM8";
    17..=17 temperature_sign: Sign, "Sign", "HM8";
    18..=26 temperature: Number<9>, "Static air temperature, 0.25 degree C a step", "HM8";
    27..=27 pressure_status: Flag, "Whether the pressure holds", "HM8";
    28..=38 pressure: Number<11>, "Average static pressure, 1 hPa a step", "HM8";
    39..=39 radio_height_status: Flag, "Whether the radio height holds", "HM8";
    40..=51 radio_height: Number<12>, "Radio height, 16 ft a step", "HM8";
    52..=56 reserved_52_56: Reserved<5>, "Reserved", "HM8";
    derived of Self::DERIVED
}

quantities! {
    WeatherHazard;
    "turbulence", "Turbulence", if turbulence_status, turbulence, of::<HazardLevel>();
    "wind_shear", "Wind shear", if wind_shear_status, wind_shear, of::<HazardLevel>();
    "microburst", "Microburst", if microburst_status, microburst, of::<HazardLevel>();
    "icing", "Icing", if icing_status, icing, of::<HazardLevel>();
    "wake_vortex", "Wake vortex", if wake_vortex_status, wake_vortex, of::<HazardLevel>();
    fn static_air_temperature_c = "static_air_temperature_c", "Static air temperature, 0.25 degree C a step", if temperature_status, temperature_sign & temperature, steps(1.0, 4.0, " degrees C").within(-80.0, 60.0, 0.9, "temperature");
    fn average_static_pressure_hpa = "average_static_pressure_hpa", "Average static pressure", if pressure_status, pressure, steps(1.0, 1.0, " hPa");
    fn radio_height_ft = "radio_height_ft", "Radio height, 16 ft a step", if radio_height_status, radio_height, steps(16.0, 1.0, " ft");
}
