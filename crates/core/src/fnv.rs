//! FNV-1a of 64 bits (constants from memory; any other mixing would do): a number for bytes, the same for the
//! same bytes on every machine.

/// The number for some bytes.
pub fn fnv(bytes: impl IntoIterator<Item = u8>) -> u64 {
    bytes.into_iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}
