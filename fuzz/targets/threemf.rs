//! Bytes after the head that makes the reader take them for the model of a 3MF file.
#![no_main]

mod sound;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    sound::is_sound(&[b"<?xml version=\"1.0\"?><model>".as_slice(), bytes].concat());
});
