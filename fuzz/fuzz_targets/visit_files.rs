//! Follows coverage through the target `visit_files` of `fuzz_cases`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    (fuzz_cases::target_by_name("visit_files").try_input)(bytes);
});
