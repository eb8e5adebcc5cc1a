//! Register 4,4: the weather outside.
//!
//! The sources differ on the step of the temperature: ten value bits with a highest bit of 64 degrees make 0.125, the
//! standard prints 0.25. We read 0.25, which most aircraft send (handbook, Mode S part, chapter 8) and which its two
//! worked frames of one aircraft confirm.

use super::inference::Weigher;
use super::quantity::{of, quantities, steps, turn};
use crate::code::table::table;
use crate::code::{Flag, HazardLevel, Number, Sign, WeatherSource};

table! {
    /// Register 4,4: the weather outside.
    WeatherRoutine: u64, 56 bits = "register_4_4", "register 4,4, meteorological routine report",
    when "register 4,4",
    template 0;
    1..=4 source: WeatherSource => "weather_source", "What the report rests on", "D94 HM8";
    5..=5 wind_status: Flag, "Whether the wind holds", "D94 HM8";
    6..=14 wind_speed: Number<9>, "Wind speed, 1 kt a step", "D94 HM8";
    15..=23 wind_direction: Number<9>, "Direction that the wind comes from, 180/256 degree a step", "D94 HM8";
    24..=24 temperature_sign: Sign, "Sign", "D94 HM8";
    25..=34 temperature: Number<10>, "Static air temperature, 0.25 degree C a step; a step of 0.125 is announced for later", "HM8";
    35..=35 pressure_status: Flag, "Whether the pressure holds", "D94 HM8";
    36..=46 pressure: Number<11>, "Average static pressure, 1 hPa a step", "D94 HM8";
    47..=47 turbulence_status: Flag, "Whether the turbulence holds", "D94 HM8";
    48..=49 turbulence: HazardLevel, "Turbulence", "D94 HM8";
    50..=50 humidity_status: Flag, "Whether the humidity holds", "D94 HM8";
    51..=56 humidity: Number<6>, "Humidity, 100/64 % a step", "D94 HM8";
    derived of Self::DERIVED
}

// Limits: handbook, Mode S part, chapter 9, wind below 250 kt; chapters 8 and 9, which temperatures occur, worth one bit of the
// 256 degrees of the scale.
quantities! {
    WeatherRoutine;
    fn wind_speed_kt = "wind_speed_kt", "Wind speed", if wind_status, wind_speed, steps(1.0, 1.0, " kt").at_most(249.0, 1.0);
    fn wind_direction_deg = "wind_direction_deg", "Direction that the wind comes from, clockwise from true north, 180/256 degree a step", if wind_status, wind_direction, turn();
    fn static_air_temperature_c = "static_air_temperature_c", "Static air temperature, 0.25 degree C a step; no data where the source is invalid", if source, temperature_sign & temperature, steps(1.0, 4.0, " degrees C").within(-80.0, 60.0, 0.9, "temperature");
    fn average_static_pressure_hpa = "average_static_pressure_hpa", "Average static pressure", if pressure_status, pressure, steps(1.0, 1.0, " hPa");
    "turbulence", "Turbulence", if turbulence_status, turbulence, of::<HazardLevel>();
    fn humidity_percent = "humidity_percent", "Humidity, 100/64 % a step", if humidity_status, humidity, steps(100.0, 64.0, " %");
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    let source = w.field(1, 4);
    w.must(source <= 4, 1.7, || format!("source {source} is assigned"), || format!("source {source} is reserved"));
}
