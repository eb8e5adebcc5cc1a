//! Addresses and marks, for people and for programs.

use super::text::folded;
use crate::frame::Address;
use crate::registry::{
    Found, Meant, REGISTER_DECIDES, Unreadable, Written, block_of_address, look_up, mark_of_address, slip,
};
use serde_json::{Value, json};
use std::fmt::Write;

/// Candidates of one slip that are shown to people.
const SHOWN: usize = 4;

/// What somebody asked about, as it was written, and what it was read as.
pub type Asked<'a> = (&'a str, &'a Result<Written, Unreadable>);

fn octal(address: Address) -> String {
    format!("{:08o}", address.bits())
}

fn in_fours(address: Address) -> String {
    let bits = format!("{:024b}", address.bits());
    (0..6).map(|at| &bits[4 * at..4 * at + 4]).collect::<Vec<_>>().join(" ")
}

/// The bits as prefix of the block and the rest.
fn by_block(found: &Found) -> Option<String> {
    let bits = format!("{:024b}", found.address.bits());
    let (prefix, rest) = bits.split_at(usize::from(found.block?.prefix_bits));
    Some(format!("{prefix} {rest}"))
}

fn with_mark(address: Address) -> String {
    let holder = block_of_address(address).map_or("no block", |block| block.holder);
    match mark_of_address(address) {
        Some(mark) => format!("{address} ({mark}, {holder})"),
        None => format!("{address} ({holder})"),
    }
}

fn line(out: &mut String, name: &str, text: &str) {
    *out += &folded(&format!("  {name:<13}"), 15, text);
}

/// What may have been meant, the candidates of each slip together.
fn meant_text(out: &mut String, meant: &[Meant]) {
    let mut rest = meant;
    while let Some(first) = rest.first() {
        let count = rest.iter().take_while(|other| other.slip == first.slip).count();
        let (these, after) = rest.split_at(count);
        rest = after;
        let mut shown: Vec<String> =
            these.iter().take(SHOWN).map(|one| format!("{}, if {}", with_mark(one.address), one.detail)).collect();
        if count > SHOWN {
            shown.push(format!("and {} more", count - SHOWN));
        }
        line(out, "may be", &format!("{}: {}", first.slip, shown.join("; ")));
    }
}

/// For people.
pub fn text((given, read): Asked<'_>, expected: Option<Address>) -> String {
    let mut out = format!("{given}\n");
    let written = match read {
        Ok(written) => written,
        Err(unreadable) => {
            line(&mut out, "error", &unreadable.reason);
            meant_text(&mut out, &unreadable.meant);
            return out;
        }
    };
    let found = look_up(written.address);
    if found.usable {
        line(&mut out, "read as", written.notation.word());
    } else {
        line(&mut out, "error", &format!("read as {}: unusable as an address", written.notation.word()));
    }
    if let Some(mark) = &found.mark {
        line(&mut out, "mark", mark);
    }
    match found.block {
        Some(block) => line(
            &mut out,
            "State",
            &format!("{}: {} to {}, prefix {} ({})", block.holder, block.first, block.last, block.prefix, block.source),
        ),
        None => line(&mut out, "State", "none that is known"),
    }
    line(&mut out, "hexadecimal", &found.address.to_string());
    line(&mut out, "octal", &octal(found.address));
    line(&mut out, "binary", &in_fours(found.address));
    if let Some(bits) = by_block(&found) {
        line(&mut out, "by block", &bits);
    }
    line(&mut out, "decimal", &found.address.bits().to_string());
    for note in &found.notes {
        line(&mut out, "note", note);
    }
    meant_text(&mut out, &found.meant);
    if let Some(expected) = expected {
        expected_text(&mut out, expected, found.address);
    }
    out
}

fn expected_text(out: &mut String, expected: Address, seen: Address) {
    if expected == seen {
        line(out, "expected", &format!("{}: agrees", with_mark(expected)));
        return;
    }
    line(out, "expected", &format!("{}: differs", with_mark(expected)));
    let slips = slip::between(expected, seen);
    if slips.is_empty() {
        line(out, "likely", "no single slip turns the expected address into this one");
    }
    for (slip, detail) in slips {
        line(out, "likely", &format!("{}: {} ({detail}); {} [{}]", slip.name, slip.what, slip.correction, slip.source));
    }
}

/// Said once, after the answers.
pub fn closing() -> String {
    let mut out = String::new();
    let _ = write!(out, "\n{}", folded("", 0, REGISTER_DECIDES));
    out
}

fn candidates(meant: &[Meant]) -> Vec<Value> {
    meant
        .iter()
        .map(|meant| {
            json!({"cause": meant.slip, "detail": meant.detail, "address": meant.address.to_string(),
                "mark": mark_of_address(meant.address),
                "state": block_of_address(meant.address).map(|block| block.holder)})
        })
        .collect()
}

/// For programs: one object an argument.
pub fn json((given, read): Asked<'_>, expected: Option<Address>) -> Value {
    let written = match read {
        Ok(written) => written,
        Err(unreadable) => {
            return json!({"given": given, "error": unreadable.reason, "may_be": candidates(&unreadable.meant)});
        }
    };
    let found = look_up(written.address);
    let state = found.block.map(|block| {
        json!({"holder": block.holder, "prefix": block.prefix, "prefix_bits": block.prefix_bits,
            "first": block.first.to_string(), "last": block.last.to_string(), "source": block.source,
            "confirmed": block.evidence()})
    });
    let mut object = json!({"given": given, "read_as": written.notation.word(), "mark": found.mark,
        "address": found.address.to_string(), "octal": octal(found.address), "binary": in_fours(found.address),
        "binary_by_block": by_block(&found), "decimal": found.address.bits(), "state": state});
    if !found.usable {
        object["error"] = json!("unusable as an address");
    }
    object["notes"] = json!(found.notes.iter().map(String::as_str).chain([REGISTER_DECIDES]).collect::<Vec<_>>());
    object["may_be"] = json!(candidates(&found.meant));
    if let Some(expected) = expected {
        let slips: Vec<Value> = slip::between(expected, found.address)
            .into_iter()
            .map(|(slip, detail)| {
                json!({"cause": slip.name, "what": slip.what, "detail": detail, "correction": slip.correction,
                    "source": slip.source})
            })
            .collect();
        object["expected"] = json!({"address": expected.to_string(), "mark": mark_of_address(expected),
            "verdict": if expected == found.address { "agrees" } else { "differs" }, "likely": slips});
    }
    object
}
