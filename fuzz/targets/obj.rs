//! Bytes after the head that makes the reader take them for OBJ.
#![no_main]

mod sound;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    sound::is_sound(&[b"v 0 0 0\nv 1 0 0\nv 0 1 0\n".as_slice(), bytes].concat());
});
