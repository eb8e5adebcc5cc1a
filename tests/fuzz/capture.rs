#![no_main]
// Each program tries one of them.
#[allow(dead_code)]
mod cases;
libfuzzer_sys::fuzz_target!(|octets: &[u8]| cases::capture(octets));
