//! Seeds by a hash, and random streams from a seed.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

/// What a seed is for. Each purpose has its own byte in the hash, so that no two of them share random numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Purpose {
    /// A coordinate of an independent point.
    Point = 0,
    /// The order of the slices of a Latin hypercube.
    Order = 1,
    /// The place of a point within its slice.
    Place = 2,
    /// The scrambling of a Sobol' sequence.
    Scramble = 3,
    /// A trajectory of a screening.
    Trajectory = 4,
    /// A resample of a bootstrap.
    Resample = 5,
    /// A draw of a posterior.
    Draw = 6,
    /// The walk of a draw of a posterior.
    Walk = 7,
}

/// The first words of everything that is hashed here.
const LABEL: &[u8] = b"giveway-sampling 1\n";

/// 64 random bits that belong to a root number, the index of a point and one of its axes: the first eight bytes of
/// BLAKE3 over a label, a zero byte and the three numbers, all little-endian.
///
/// The same for every thread, every part of a study and every platform.
pub fn seed(root: u64, index: u64, axis: u64) -> u64 {
    seed_for(Purpose::Point, root, index, axis)
}

pub(crate) fn seed_for(purpose: Purpose, root: u64, index: u64, axis: u64) -> u64 {
    let mut text = [0_u8; LABEL.len() + 25];
    let (label, rest) = text.split_at_mut(LABEL.len());
    label.copy_from_slice(LABEL);
    rest[0] = purpose as u8;
    rest[1..9].copy_from_slice(&root.to_le_bytes());
    rest[9..17].copy_from_slice(&index.to_le_bytes());
    rest[17..25].copy_from_slice(&axis.to_le_bytes());
    let hash = blake3::hash(&text);
    let mut first = [0_u8; 8];
    first.copy_from_slice(&hash.as_bytes()[..8]);
    u64::from_le_bytes(first)
}

/// 2^-52.
pub(crate) const CELL: f64 = 1.0 / (1_u64 << 52) as f64;

/// A number between 0 and 1, neither of which it ever is, from 64 random bits: the middle of one of 2^52 equal cells.
pub fn unit(bits: u64) -> f64 {
    // u = (floor(bits / 2^12) + 1/2) / 2^52, without rounding
    ((bits >> 12) as f64 + 0.5) * CELL
}

/// The random stream of a seed: ChaCha with 8 rounds, whose output is fixed by its publication.
pub(crate) fn stream(seed: u64) -> ChaCha8Rng {
    let mut key = [0_u8; 32];
    key[..8].copy_from_slice(&seed.to_le_bytes());
    ChaCha8Rng::from_seed(key)
}

/// A bijection of 64 bits that mixes them (the last step of SplitMix64), for places where a hash per bit would cost too
/// much. What goes in is mixed with a hashed key.
pub(crate) fn mix(state: u64) -> u64 {
    let z = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// rand_xoshiro 0.7, `SplitMix64::seed_from_u64(1234567)`.
    #[test]
    fn mixing_is_the_published_one() {
        let outputs = [1_u64, 2, 3]
            .map(|k| mix(1_234_567_u64.wrapping_add(0x9e37_79b9_7f4a_7c15_u64.wrapping_mul(k))));
        let expected = [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
        ];
        assert_eq!(outputs, expected);
    }

    #[test]
    fn units_lie_inside() {
        assert_eq!(unit(0), 0.5 * CELL);
        assert_eq!(unit(u64::MAX), 1.0 - 0.5 * CELL);
        assert!(unit(u64::MAX) < 1.0);
    }

    #[test]
    fn purposes_roots_indices_and_axes_differ() {
        let mut seeds = vec![
            seed(1, 2, 3),
            seed(1, 3, 2),
            seed(2, 1, 3),
            seed(3, 2, 1),
            seed(1, 2, 4),
        ];
        seeds.push(seed_for(Purpose::Order, 1, 2, 3));
        seeds.push(seed_for(Purpose::Place, 1, 2, 3));
        seeds.sort_unstable();
        seeds.dedup();
        assert_eq!(seeds.len(), 7);
    }
}
