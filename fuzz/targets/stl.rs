//! Bytes after the head that makes the reader take them for text STL.
#![no_main]

mod sound;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    sound::is_sound(&[b"solid x\nfacet\nvertex ".as_slice(), bytes].concat());
});
