//! Follows coverage through the target `plans` of `fuzz_cases`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    (fuzz_cases::target_by_name("plans").try_input)(bytes);
});
