//! A small drawing of where the position antenna is, and of what the codes will say of it: SVG, to scale.

use crate::code::{LateralOffset, LengthWidth, LongitudinalOffset, Version};
use crate::profile::{FromNose, Profile};
use std::fmt::Write;

/// Width of the aircraft's box in drawing units, at most; its height likewise.
const SPACE: f64 = 420.0;
const LEFT: f64 = 70.0;
const TOP: f64 = 60.0;

/// The aircraft from above, nose up: its box, the box of the size code, centre line, antenna, and the point of the code.
///
/// # Errors
/// Says which setting is missing: length and width are needed.
pub fn drawing(profile: &Profile) -> Result<String, String> {
    let (Some(length), Some(width)) = (profile.length.get(), profile.width.get()) else {
        return Err("a drawing needs /aircraft/length and /aircraft/width".to_owned());
    };
    let (length, width) = (length.in_metres(), width.in_metres());
    let code = LengthWidth::from_metres(length, width).map_err(|error| error.to_string())?;
    let (box_length, box_width) = code.bounds_m(Version::Two).unwrap_or((length, width));
    let (whole_length, whole_width) = (length.max(box_length), width.max(box_width));
    let scale = SPACE / whole_length.max(whole_width);
    let centre = LEFT + whole_width * scale / 2.0;
    let x = |metres: f64| centre + metres * scale;
    let y = |metres: f64| TOP + metres * scale;
    let bottom = y(whole_length);
    let mut out = String::new();
    let registration = profile.registration.get().map_or("", |mark| mark.0.as_str());
    let _ = write!(
        out,
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {:.0} {:.0}" font-family="sans-serif" font-size="12">
<title>Position antenna of {registration}, to scale</title>
<rect width="100%" height="100%" fill="#ffffff"/>
<text x="{LEFT}" y="20" font-size="14">{registration}: position antenna, seen from above, nose up, to scale</text>
<rect x="{:.1}" y="{TOP}" width="{:.1}" height="{:.1}" fill="#eef3f7" stroke="#7a8ea0" stroke-dasharray="6 4"/>
<rect x="{:.1}" y="{TOP}" width="{:.1}" height="{:.1}" fill="#d3e0ea" stroke="#27455f"/>
<line x1="{centre:.1}" y1="{:.1}" x2="{centre:.1}" y2="{:.1}" stroke="#27455f" stroke-dasharray="12 4 2 4"/>
<path d="M {centre:.1} {TOP} l -7 14 h 14 z" fill="#27455f"/>
<text x="{centre:.1}" y="{:.1}" text-anchor="middle">nose</text>
"##,
        (LEFT * 2.0 + whole_width * scale).max(620.0),
        bottom + 120.0,
        x(-box_width / 2.0),
        box_width * scale,
        box_length * scale,
        x(-width / 2.0),
        width * scale,
        length * scale,
        TOP - 12.0,
        bottom + 12.0,
        TOP - 16.0,
    );
    let mut legend = vec![
        ("#d3e0ea", format!("the aircraft, {length:.2} m long and {width:.2} m wide")),
        (
            "#eef3f7",
            format!(
                "the box that its size code says: {box_length} m by {box_width} m{}",
                if length > box_length || width > box_width { ", or larger" } else { "" }
            ),
        ),
    ];
    let back = match profile.antenna_from_nose.get() {
        Some(FromNose::Measured(back)) => Some(back.in_metres()),
        _ => None,
    };
    let across = profile.antenna_from_centre_line.get().and_then(|across| across.metres());
    let along_code =
        back.and_then(|back| LongitudinalOffset::from_metres(back).ok()).and_then(LongitudinalOffset::metres);
    let across_code = across.and_then(|across| LateralOffset::from_metres(across).ok()).and_then(LateralOffset::metres);
    if let (Some(along), Some(along_m)) = (along_code, back) {
        let along = f64::from(along);
        let step = (along - 2.0).max(0.0);
        match across_code.map(f64::from) {
            Some(sent) => {
                // The code holds every antenna of one step; zero across is a line.
                let (near, far) = if sent == 0.0 { (-0.1, 0.1) } else { (sent - 2.0 * sent.signum(), sent) };
                let _ = writeln!(
                    out,
                    r##"<rect x="{:.1}" y="{:.1}" width="{:.1}" height="{:.1}" fill="#f4c98b" fill-opacity="0.6" stroke="#a65f00"/>
<path d="M {:.1} {:.1} m -6 -6 l 12 12 m 0 -12 l -12 12" stroke="#a65f00" stroke-width="2.5"/>"##,
                    x(near.min(far)),
                    y(step),
                    (far - near).abs() * scale,
                    (along - step) * scale,
                    x(sent),
                    y(along),
                );
                let side = if sent < 0.0 {
                    " left"
                } else if sent > 0.0 {
                    " right"
                } else {
                    " across"
                };
                legend.push((
                    "#f4c98b",
                    format!(
                        "every antenna with these codes; the cross is the point they name: {along} m aft, {} m{side}",
                        sent.abs()
                    ),
                ));
            }
            None => legend
                .push(("#ffffff", format!("across: not known, so the codes say only: up to {along} m from the nose"))),
        }
        if let Some(across_m) = across {
            let _ = writeln!(out, r##"<circle cx="{:.1}" cy="{:.1}" r="5" fill="#b3202c"/>"##, x(across_m), y(along_m));
            legend.push((
                "#b3202c",
                format!(
                    "the antenna as measured: {along_m:.2} m from the nose, {:.2} m {} the centre line",
                    across_m.abs(),
                    if across_m < 0.0 {
                        "left of"
                    } else if across_m > 0.0 {
                        "right of"
                    } else {
                        "off"
                    }
                ),
            ));
        }
    } else {
        legend.push((
            "#ffffff",
            "the place of the antenna is not stated, not known, or applied by the sensor".to_owned(),
        ));
    }
    for (at, (colour, words)) in legend.iter().enumerate() {
        let down = bottom + 32.0 + 18.0 * at as f64;
        let _ = writeln!(
            out,
            r##"<rect x="{LEFT}" y="{:.1}" width="12" height="12" fill="{colour}" stroke="#27455f"/>
<text x="{:.1}" y="{:.1}">{words}</text>"##,
            down - 10.0,
            LEFT + 20.0,
            down
        );
    }
    out += "</svg>\n";
    Ok(out)
}
