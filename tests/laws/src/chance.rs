//! Numbers that look like chance and are the same on every run.

/// SplitMix64 (Steele, Lea and Flood, OOPSLA 2014): a counter and a mixing function, good enough to
/// throw parts at boards and short enough to read.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The sequence of a seed.
    pub fn new(seed: u64) -> Chance {
        Chance(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number below `n`, which is not 0.
    pub fn below(&mut self, n: usize) -> usize {
        (self.bits() % n as u64) as usize
    }

    /// A number from 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// True in so many of a hundred cases.
    pub fn percent(&mut self, n: usize) -> bool {
        self.below(100) < n
    }

    /// One of a list.
    pub fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())]
    }

    /// Puts a list into another order.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            list.swap(last, self.below(last + 1));
        }
    }
}
