#![no_main]
mod cases;
libfuzzer_sys::fuzz_target!(|octets: &[u8]| cases::profile(octets));
