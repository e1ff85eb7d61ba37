//! Bytes after the head that makes the reader take them for PLY.
#![no_main]

mod sound;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    sound::is_sound(&[b"ply\nformat ".as_slice(), bytes].concat());
});
