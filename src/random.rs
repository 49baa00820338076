//! Counter-based random numbers: the n-th number of a stream depends only on the seed, the stream and n.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// Independent streams of random numbers, one per purpose: draws from one stream never change the numbers of another.
pub(crate) enum RandomStream {
    /// Stream for the measurements of simulated bodies.
    Bodies = 0,
    /// Stream for all random choices in the starts of a search for the best chart.
    Starts = 1,
    /// Stream for the split of people into a training part and a held-out part.
    HeldOutSplit = 2,
    /// Stream for the measurement errors of one body.
    Errors = 3,
    /// Stream for the people drawn for the replicates of a bootstrap.
    Replicates = 4,
    /// Stream for the choice of squares that are taken out of a chart and placed again, and for the random factors of
    /// the points' values.
    RebuiltSquares = 5,
}

/// Number of 32-bit generator words that one random number consumes.
const GENERATOR_WORDS_PER_NUMBER: u128 = 2;

/// Random number generator that starts at any index of a stream without drawing earlier numbers; based on `ChaCha8`.
pub(crate) struct CounterRng(ChaCha8Rng);

impl CounterRng {
    /// Creates the generator of a seed and a stream; the first draw gives the number at `index` of the stream.
    pub(crate) fn new(seed: u64, stream: RandomStream, index: u128) -> Self {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        let mut rng = ChaCha8Rng::from_seed(key);
        rng.set_stream(stream as u64);
        rng.set_word_pos(index * GENERATOR_WORDS_PER_NUMBER);
        Self(rng)
    }

    /// Draws a uniform random number from the open interval (0, 1): the midpoint of one of 2⁵³ equal steps.
    pub(crate) fn draw_uniform_0_to_1(&mut self) -> f64 {
        const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
        // 53 bits are exact in a double.
        let step = (self.0.next_u64() >> 11) as f64;
        (step + 0.5) * STEP
    }

    /// Draws an index below `count`, which is above zero; all with the same probability.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(crate) fn draw_index(&mut self, count: usize) -> usize {
        // Rounding may give `count` itself.
        ((self.draw_uniform_0_to_1() * count as f64) as usize).min(count - 1)
    }

    /// Draws an index with probability proportional to its odds; 0 if no odds are above zero.
    pub(crate) fn draw_weighted_index(&mut self, odds: impl Iterator<Item = f64> + Clone) -> usize {
        let mut remainder = odds.clone().sum::<f64>() * self.draw_uniform_0_to_1();
        let mut last = 0;
        for (index, odds) in odds.enumerate().filter(|(_, odds)| *odds > 0.0) {
            last = index;
            remainder -= odds;
            if remainder < 0.0 {
                break;
            }
        }
        last
    }

    /// Draws two independent standard normal numbers by the transform of Box and Muller (1958, Ann. Math. Stat. 29).
    pub(crate) fn draw_standard_normal_pair(&mut self) -> [f64; 2] {
        let radius = (-2.0 * libm::log(self.draw_uniform_0_to_1())).sqrt();
        let (sine, cosine) = libm::sincos(2.0 * std::f64::consts::PI * self.draw_uniform_0_to_1());
        [radius * cosine, radius * sine]
    }
}
