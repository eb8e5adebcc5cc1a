//! Whole runs of the program over generated captures, each beside what bounds it.
//!
//! `cargo bench --bench captures -- write FILE LINES AIRCRAFT` only writes a capture.

mod traffic;

use std::fs::File;
use std::io::{self, BufWriter, Write};

fn main() -> io::Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|argument| argument != "--bench").collect();
    match &arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["write", file, lines, aircraft] => {
            let number = |text: &str| text.parse::<u64>().map_err(io::Error::other);
            let mut out = BufWriter::with_capacity(1 << 20, File::create(file)?);
            traffic::write(&mut out, number(lines)?, number(aircraft)?)?;
            out.flush()
        }
        _ => Ok(()),
    }
}
