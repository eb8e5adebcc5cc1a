//! The binary's door: arguments in, exit status out.
#![forbid(unsafe_code)]

fn main() -> std::process::ExitCode {
    squitterlab::cli::run()
}
