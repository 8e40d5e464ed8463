//! Follows coverage through the target `tools` of `fuzz_cases`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    (fuzz_cases::target_by_name("tools").try_input)(bytes);
});
