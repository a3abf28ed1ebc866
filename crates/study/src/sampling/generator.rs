//! Seeds and random numbers.

/// The odd number nearest to 2^64 over the golden ratio.
const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// The seed of one run, trajectory or resample: a hash of a root number and an index.
///
/// It is output number `index` (from 0) of the generator SplitMix64 whose state is itself the first output of SplitMix64
/// on `root`. So neighbouring roots share nothing, different indices under one root never give the same seed, and
/// seeds may be nested: `seed(seed(root, block), row)`.
pub fn seed(root: u64, index: u64) -> u64 {
    mix(mix(root.wrapping_add(GOLDEN)).wrapping_add(GOLDEN.wrapping_mul(index.wrapping_add(1))))
}

/// A number between 0 and 1, neither of which it ever is, from 64 random bits: the middle of one of 2^52 equal cells.
pub fn unit(bits: u64) -> f64 {
    // u = (floor(bits / 2^12) + 1/2) / 2^52, without rounding
    ((bits >> 12) as f64 + 0.5) * CELL
}

/// 2^-52.
pub(super) const CELL: f64 = 1.0 / (1_u64 << 52) as f64;

/// The bijection of 64 bits at the end of SplitMix64.
pub(super) fn mix(state: u64) -> u64 {
    let z = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A stream of random numbers: xoshiro256++ with the state that SplitMix64 gives from a seed. The stream is part of the
/// results of a study; it never changes under the same model version.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Generator {
    state: [u64; 4],
}

impl Generator {
    /// The stream of a seed. Any seed is as good as any other.
    pub fn new(seed: u64) -> Self {
        let state = [1, 2, 3, 4].map(|k| mix(seed.wrapping_add(GOLDEN.wrapping_mul(k))));
        Self { state }
    }

    /// The next 64 random bits.
    pub fn bits(&mut self) -> u64 {
        let [a, b, c, d] = self.state;
        // rotl(s0 + s3, 23) + s0
        let result = a.wrapping_add(d).rotate_left(23).wrapping_add(a);
        // s2 ^= s0; s3 ^= s1; then s1 ^= s2; s0 ^= s3; s2 ^= old s1 << 17; s3 = rotl(s3, 45)
        let (c, d) = (c ^ a, d ^ b);
        self.state = [a ^ d, b ^ c, c ^ (b << 17), d.rotate_left(45)];
        result
    }

    /// The next number between 0 and 1, as [`unit`].
    pub fn uniform(&mut self) -> f64 {
        unit(self.bits())
    }

    /// The next whole number below `bound`, each with the same probability; 0 for a bound of 0. Lemire (2019).
    pub fn below(&mut self, bound: u64) -> u64 {
        // floor(bits * bound / 2^64), drawn again where the low half is below 2^64 mod bound
        loop {
            let product = u128::from(self.bits()) * u128::from(bound);
            let low = product as u64;
            if low >= bound || low >= bound.wrapping_neg() % bound.max(1) {
                return (product >> 64) as u64;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Blackman and Vigna's program with the state 1, 2, 3, 4; the values stand in the tests of the crate rand_xoshiro.
    #[test]
    fn stream_is_the_published_one() {
        let mut generator = Generator {
            state: [1, 2, 3, 4],
        };
        let expected = [
            41943041,
            58720359,
            3588806011781223,
            3591011842654386,
            9228616714210784205,
            9973669472204895162,
            14011001112246962877,
            12406186145184390807,
            15849039046786891736,
            10450023813501588000,
        ];
        assert_eq!(expected.map(|_| generator.bits()), expected);
    }

    /// rand_xoshiro 0.7, `Xoshiro256PlusPlus::seed_from_u64(42)`.
    #[test]
    fn state_comes_from_the_seed_as_published() {
        let mut generator = Generator::new(42);
        let expected = [
            15021278609987233951,
            5881210131331364753,
            18149643915985481100,
            12933668939759105464,
            14637574242682825331,
        ];
        assert_eq!(expected.map(|_| generator.bits()), expected);
    }

    /// rand_xoshiro 0.7, `SplitMix64::seed_from_u64(1234567)`: the same hash under a state that is given.
    #[test]
    fn hash_is_the_published_one() {
        let expected = [
            6457827717110365317,
            3203168211198807973,
            9817491932198370423,
            4593380528125082431,
            16408922859458223821,
        ];
        let outputs =
            [1, 2, 3, 4, 5].map(|k| mix(1234567_u64.wrapping_add(GOLDEN.wrapping_mul(k))));
        assert_eq!(outputs, expected);
        // The inner call of `seed` is the first output of SplitMix64 on 0, published as e220a8397b1dcdaf.
        let first = 0xe220_a839_7b1d_cdaf_u64;
        assert_eq!(seed(0, 6), mix(first.wrapping_add(GOLDEN.wrapping_mul(7))));
    }

    #[test]
    fn units_lie_inside() {
        assert_eq!(unit(0), 0.5 * CELL);
        assert_eq!(unit(u64::MAX), 1.0 - 0.5 * CELL);
        assert!(unit(u64::MAX) < 1.0);
    }

    #[test]
    fn whole_numbers_are_even() {
        let mut generator = Generator::new(7);
        let mut counts = [0_u32; 6];
        for _ in 0..60_000 {
            counts[generator.below(6) as usize] += 1;
        }
        // chi^2 with 5 degrees of freedom; 20.5 is passed with the probability 0.001
        let chi: f64 = counts
            .iter()
            .map(|&c| (f64::from(c) - 10_000.0) * (f64::from(c) - 10_000.0) / 10_000.0)
            .sum();
        assert!(chi < 20.5, "{counts:?}");
        assert_eq!(generator.below(1), 0);
        assert_eq!(generator.below(0), 0);
    }
}
