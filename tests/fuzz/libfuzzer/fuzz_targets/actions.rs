#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| halfrow_fuzz::actions(data));
