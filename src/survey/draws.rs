//! Draws of which the n-th depends on the seed and on n alone.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// What draws are for; each use has a stream of its own.
#[derive(Clone, Copy)]
pub(super) enum Stream {
    Simulated = 0,
    Starts = 1,
    Parts = 2,
}

/// Words of 32 bits that one draw takes.
const WORDS: u128 = 2;

/// The draws of a seed and a stream, from a place on. `ChaCha8` is a counter behind a keyed mixer: any place costs the same.
pub(super) struct Draws(ChaCha8Rng);

impl Draws {
    pub(super) fn from(seed: u64, stream: Stream, place: u128) -> Self {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        let mut rng = ChaCha8Rng::from_seed(key);
        rng.set_stream(stream as u64);
        rng.set_word_pos(place * WORDS);
        Self(rng)
    }

    /// One of the 2⁵³ midpoints of equal steps between 0 and 1, which are themselves never drawn.
    pub(super) fn uniform(&mut self) -> f64 {
        const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
        // 53 bits are exact in a double.
        #[allow(clippy::cast_precision_loss)]
        let step = (self.0.next_u64() >> 11) as f64;
        (step + 0.5) * STEP
    }

    /// Two independent standard normals from two draws, exactly distributed (Box and Muller 1958, Ann. Math. Stat. 29).
    pub(super) fn normals(&mut self) -> [f64; 2] {
        let radius = (-2.0 * libm::log(self.uniform())).sqrt();
        let (sine, cosine) = libm::sincos(2.0 * std::f64::consts::PI * self.uniform());
        [radius * cosine, radius * sine]
    }
}
