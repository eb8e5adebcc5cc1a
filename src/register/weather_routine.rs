//! Register 4,4: the weather outside.
//!
//! The sources differ on the step of the temperature: ten value bits with a highest bit of 64 degrees make 0.125, the
//! standard prints 0.25. We read 0.25, which most aircraft send (handbook, Mode S part, chapter 8) and which its two
//! worked frames of one aircraft confirm.

use super::part::{Kind, bit, of, parts, steps};
use crate::code::table::table;
use crate::code::{Flag, HazardLevel, Number, Sign, WeatherSource};
use crate::frame::Span;

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
    derived [SPEED, DIRECTION, TEMPERATURE, PRESSURE, TURBULENCE, HUMIDITY]
}

parts! {
    SPEED = "wind_speed_kt", "Wind speed", status bit(5), 6..=14, steps(1.0, 1.0, " kt");
    DIRECTION = "wind_direction_deg", "Direction that the wind comes from, clockwise from true north, 180/256 degree a step", status bit(5), 15..=23, Kind::Turn;
    TEMPERATURE = "static_air_temperature_c", "Static air temperature, 0.25 degree C a step; no data where the source is invalid", status Span::new(1, 4), 24..=34 signed, steps(1.0, 4.0, " degrees C");
    PRESSURE = "average_static_pressure_hpa", "Average static pressure", status bit(35), 36..=46, steps(1.0, 1.0, " hPa");
    TURBULENCE = "turbulence", "Turbulence", status bit(47), 48..=49, of::<HazardLevel>();
    HUMIDITY = "humidity_percent", "Humidity, 100/64 % a step", status bit(50), 51..=56, steps(100.0, 64.0, " %");
}
