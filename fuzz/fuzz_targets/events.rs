//! Follows coverage through the target `events` of `fuzz_cases`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    (fuzz_cases::target_by_name("events").try_input)(bytes);
});
