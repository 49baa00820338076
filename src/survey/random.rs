//! Counter-based random numbers: the n-th number of a stream depends only on the seed, the stream and n.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// Purpose of a random stream. Each purpose has an independent stream, so that one never shifts another.
#[derive(Clone, Copy)]
pub(super) enum Stream {
    /// Measurements of simulated bodies.
    Bodies = 0,
    /// Initial centres of a search for the best chart.
    Starts = 1,
    /// Split of people into a training part and a held-out part.
    HeldOutSplit = 2,
}

/// 32-bit words of the generator consumed per number.
const WORDS_PER_NUMBER: u128 = 2;

/// Random number generator on `ChaCha8`, whose counter makes every start index equally cheap.
pub(super) struct CounterRng(ChaCha8Rng);

impl CounterRng {
    /// Creates the generator of a seed and a stream; the first number drawn has the given index in the stream.
    pub(super) fn new(seed: u64, stream: Stream, index: u128) -> Self {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        let mut rng = ChaCha8Rng::from_seed(key);
        rng.set_stream(stream as u64);
        rng.set_word_pos(index * WORDS_PER_NUMBER);
        Self(rng)
    }

    /// Draws uniformly from the open interval (0, 1): one of the midpoints of 2⁵³ equal steps.
    pub(super) fn uniform(&mut self) -> f64 {
        const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
        // 53 bits are exact in a double.
        #[allow(clippy::cast_precision_loss)]
        let step = (self.0.next_u64() >> 11) as f64;
        (step + 0.5) * STEP
    }

    /// Draws two independent standard normal numbers by the Box–Muller transform (Box and Muller 1958, Ann. Math. Stat.
    /// 29).
    pub(super) fn normals(&mut self) -> [f64; 2] {
        let radius = (-2.0 * libm::log(self.uniform())).sqrt();
        let (sine, cosine) = libm::sincos(2.0 * std::f64::consts::PI * self.uniform());
        [radius * cosine, radius * sine]
    }
}
