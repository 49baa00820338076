//! Entry point of the fuzzer for the attack `files` of `tests/attacks`.
#![no_main]

#[path = "../../attacks/mod.rs"]
mod attacks;
#[path = "../../bodies/mod.rs"]
mod bodies;
#[path = "../../pieces/mod.rs"]
mod pieces;

libfuzzer_sys::fuzz_target!(|data: &[u8]| attacks::files(data));
