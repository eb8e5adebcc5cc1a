//! Writes the numbers of a flight, which change all the time, into messages that hold the rest.
//!
//! One frame of a situation and the frames of a whole flight are filled here alike.

use crate::code::compact_position::{Grid, Position, Word};
use crate::code::{
    Altitude12, Angle7, Bits, CodeError, CprFormat, Flag, GeometricDifference, Movement, Number, Sign, Version,
    VerticalRate,
};
use crate::message::{AirbornePosition, AirborneVelocityGround, SurfacePosition};
use crate::register::TrackAndTurn;

/// The numbers of a flight at one moment. What is not there is sent as "no data".
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Kinematics {
    /// Where.
    pub position: Option<Position>,
    /// Altitude on 1013.25 hPa.
    pub pressure_altitude_ft: Option<f64>,
    /// Geometric height minus pressure altitude.
    pub geometric_minus_pressure_ft: Option<f64>,
    /// Speed over the ground.
    pub ground_speed_kt: Option<f64>,
    /// Track over the ground.
    pub track_deg: Option<f64>,
    /// Vertical rate, up positive.
    pub vertical_rate_fpm: Option<f64>,
}

/// An airborne position; the format of the message chooses the grid.
pub(super) fn airborne_position(
    message: AirbornePosition,
    motion: &Kinematics,
    altitude: Altitude12,
) -> AirbornePosition {
    let odd = message.cpr_format == CprFormat::ODD;
    let word = motion.position.map(|position| Word::of(position, odd, Grid::Airborne));
    AirbornePosition {
        altitude,
        cpr_latitude: Number::from_bits(word.map_or(0, |word| word.latitude.into())),
        cpr_longitude: Number::from_bits(word.map_or(0, |word| word.longitude.into())),
        ..message
    }
}

/// A surface position; the format of the message chooses the grid.
pub(super) fn surface_position(
    message: SurfacePosition,
    motion: &Kinematics,
    version: Version,
) -> Result<SurfacePosition, CodeError> {
    let odd = message.cpr_format == CprFormat::ODD;
    let word = motion.position.map(|position| Word::of(position, odd, Grid::Surface));
    let movement =
        motion.ground_speed_kt.map_or(Ok(Movement::NO_DATA), |knots| Movement::from_knots(knots, version))?;
    Ok(SurfacePosition {
        movement,
        track_status: Flag::new(motion.track_deg.is_some()),
        track: Angle7::from_degrees(motion.track_deg.unwrap_or(0.0))?,
        cpr_latitude: Number::from_bits(word.map_or(0, |word| word.latitude.into())),
        cpr_longitude: Number::from_bits(word.map_or(0, |word| word.longitude.into())),
        ..message
    })
}

/// A velocity over the ground.
pub(super) fn velocity(
    mut message: AirborneVelocityGround,
    motion: &Kinematics,
) -> Result<AirborneVelocityGround, CodeError> {
    if let (Some(speed), Some(track)) = (motion.ground_speed_kt, motion.track_deg) {
        let (sine, cosine) = track.to_radians().sin_cos();
        let (east, north) = (speed * sine, speed * cosine);
        let supersonic = east.abs() > 1022.0 || north.abs() > 1022.0;
        message.subtype = Number::from_bits(if supersonic { 2 } else { 1 });
        message = message.with_velocity(east, north)?;
    }
    if let Some(fpm) = motion.vertical_rate_fpm {
        message.vertical_rate_sign = Sign::of(fpm);
        message.vertical_rate = VerticalRate::from_magnitude(fpm)?;
    }
    if let Some(feet) = motion.geometric_minus_pressure_ft {
        message.geometric_difference_sign = Sign::of(feet);
        message.geometric_difference = GeometricDifference::from_magnitude(feet)?;
    }
    Ok(message)
}

/// Register 5,0, as far as the flight says what is in it.
pub(super) fn track_and_turn(motion: &Kinematics) -> TrackAndTurn {
    let mut register = TrackAndTurn::from_bits(0);
    if let Some(track) = motion.track_deg {
        // 90/512 degree a step, west as a negative number of eleven bits.
        let steps = (track * 512.0 / 90.0).round() as i64;
        register.track_status = Flag::YES;
        register.track_sign = Sign::from_bits(steps as u64 >> 10 & 1);
        register.track = Number::from_bits(steps as u64 & 0x3FF);
    }
    if let Some(knots) = motion.ground_speed_kt.filter(|knots| *knots < 2046.0) {
        register.ground_speed_status = Flag::YES;
        register.ground_speed = Number::from_bits((knots / 2.0).round() as u64);
    }
    register
}
