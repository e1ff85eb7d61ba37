//! Any bytes: the format is told by content.
#![no_main]

mod sound;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    sound::is_sound(bytes);
});
