//! A number over the range of one input, in smooth pieces.

/// The equal steps in which a range is walked.
const STEPS: u32 = 400;

/// How close to a value a number is as good as there, for the larger of the value and one.
const EXACT: f64 = 1e-12;

/// How close to a value a number must come where it only touches it, for the larger of the value and one.
const TOUCHES: f64 = 1e-9;

/// A piece of the range in which darts are as many, and the number is there: places and what it is at them, in order.
pub(super) struct Stretch {
    pub(super) counts: [usize; 2],
    pub(super) samples: Vec<[f64; 2]>,
}

/// How many darts back and front have at a place, and what the number is there; none where there is no draft, or no such number.
pub(super) type Reading = Option<([usize; 2], f64)>;

/// Walks from the least to the most, and over a place on the way.
pub(super) fn walk((from, to): (f64, f64), now: f64, read: &impl Fn(f64) -> Reading) -> Vec<Stretch> {
    let step = |k: u32| from + (to - from) * (f64::from(k) / f64::from(STEPS));
    let mut places: Vec<f64> = (0..STEPS).map(step).chain([to]).collect();
    if (from..to).contains(&now) {
        places.insert(places.partition_point(|place| *place < now), now);
    }
    let mut pieces = Vec::new();
    let mut last = (from, read(from));
    add(&mut pieces, last, true);
    for place in places.into_iter().skip(1) {
        let next = (place, read(place));
        if counts(last.1) == counts(next.1) {
            add(&mut pieces, next, false);
        } else {
            let is_before = |place: f64| counts(read(place)) == counts(last.1);
            let [before, after] = boundary(last.0, next.0, is_before).map(|place| (place, read(place)));
            add(&mut pieces, before, false);
            add(&mut pieces, after, true);
            add(&mut pieces, next, counts(after.1) != counts(next.1));
        }
        last = next;
    }
    pieces
}

fn counts(reading: Reading) -> Option<[usize; 2]> {
    reading.map(|(counts, _)| counts)
}

/// Adds a sample to the last piece, or as the first of a new one.
fn add(pieces: &mut Vec<Stretch>, (place, reading): (f64, Reading), new: bool) {
    let Some((counts, value)) = reading else { return };
    match pieces.last_mut() {
        Some(piece) if !new && piece.counts == counts => piece.samples.push([place, value]),
        _ => pieces.push(Stretch { counts, samples: vec![[place, value]] }),
    }
}

/// The neighbouring numbers, one inside and one outside, between a place inside and one outside.
fn boundary(mut inside: f64, mut outside: f64, is_inside: impl Fn(f64) -> bool) -> [f64; 2] {
    loop {
        let middle = f64::midpoint(inside, outside);
        if middle <= inside.min(outside) || middle >= inside.max(outside) {
            return [inside, outside];
        }
        *(if is_inside(middle) { &mut inside } else { &mut outside }) = middle;
    }
}

impl Stretch {
    /// Where the piece starts and ends.
    pub(super) fn range(&self) -> (f64, f64) {
        (self.samples[0][0], self.samples[self.samples.len() - 1][0])
    }

    /// From where to where the number has a value, the one the same as the other unless it stands still there.
    pub(super) fn places_of(&self, value: f64, read: &impl Fn(f64) -> Reading) -> Vec<(f64, f64)> {
        let off = |place: f64| read(place).map_or(f64::NAN, |(_, number)| number - value);
        let scale = value.abs().max(1.0);
        let samples: Vec<[f64; 2]> = self.samples.iter().map(|[place, number]| [*place, number - value]).collect();
        let mut places = stands(&samples, EXACT * scale, &off);
        for pair in samples.windows(2) {
            if pair[0][1] * pair[1][1] < 0.0 && pair.iter().all(|sample| sample[1].abs() > EXACT * scale) {
                let place = crossing([pair[0], pair[1]], &off);
                places.push((place, place));
            }
        }
        for triple in samples.windows(3) {
            let [before, middle, after] = [triple[0], triple[1], triple[2]];
            let one_side = before[1] * middle[1] > 0.0 && middle[1] * after[1] > 0.0;
            if one_side && (EXACT * scale..=before[1].abs().min(after[1].abs())).contains(&middle[1].abs()) {
                let turns = turning([before, middle, after], TOUCHES * scale, &off);
                places.extend(turns.into_iter().map(|place| (place, place)));
            }
        }
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        places.dedup_by(|b, a| (b.0 - a.1).abs() <= 1e-9 * b.0.abs().max(1.0));
        places
    }
}

/// The ranges in which a number is as good as zero, at two samples or more, and single such samples.
fn stands(samples: &[[f64; 2]], exact: f64, off: &impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let is_zero = |sample: &[f64; 2]| sample[1].abs() <= exact;
    let mut ranges = Vec::new();
    for run in samples.chunk_by(|a, b| is_zero(a) == is_zero(b)).filter(|run| is_zero(&run[0])) {
        let [first, last] = [run[0][0], run[run.len() - 1][0]];
        if run.len() == 1 {
            ranges.push((first, first));
            continue;
        }
        let before = samples.iter().rev().find(|sample| sample[0] < first).map_or(first, |sample| sample[0]);
        let after = samples.iter().find(|sample| sample[0] > last).map_or(last, |sample| sample[0]);
        let end = |inside: f64, outside: f64| boundary(inside, outside, |place| off(place).abs() <= exact)[0];
        ranges.push((end(first, before), end(last, after)));
    }
    ranges
}

/// Where a number crosses zero between two places with opposite signs: by false position with halved ends, and by halves when
/// that is slow.
fn crossing([mut a, mut b]: [[f64; 2]; 2], off: &impl Fn(f64) -> f64) -> f64 {
    let mut weights = [a[1], b[1]];
    for step in 0..200 {
        let middle = f64::midpoint(a[0], b[0]);
        let secant = (a[0] * weights[1] - b[0] * weights[0]) / (weights[1] - weights[0]);
        let place = if step % 4 < 3 && a[0] < secant && secant < b[0] { secant } else { middle };
        let value = off(place);
        if value == 0.0 || middle <= a[0] || middle >= b[0] {
            return if value == 0.0 { place } else { nearer(a, b) };
        }
        if (value < 0.0) == (a[1] < 0.0) {
            (a, weights) = ([place, value], [value, weights[1] / 2.0]);
        } else {
            (b, weights) = ([place, value], [weights[0] / 2.0, value]);
        }
        if b[0] - a[0] <= 1e-14 * a[0].abs().max(1e-3) {
            break;
        }
    }
    nearer(a, b)
}

fn nearer(a: [f64; 2], b: [f64; 2]) -> f64 {
    if a[1].abs() <= b[1].abs() { a[0] } else { b[0] }
}

/// Where a number that turns between three places reaches zero, if it does: the places to both sides of the turn, or the turn
/// itself where it only touches.
fn turning([a, middle, b]: [[f64; 2]; 3], touches: f64, off: &impl Fn(f64) -> f64) -> Vec<f64> {
    let (mut low, mut high, mut best) = (a[0], b[0], middle);
    for _ in 0..80 {
        let [first, second] = [low + (high - low) * 0.4, low + (high - low) * 0.6].map(|place| [place, off(place)]);
        for sample in [first, second] {
            if sample[1] * middle[1] < 0.0 {
                return vec![crossing([a, sample], off), crossing([sample, b], off)];
            }
            if sample[1].abs() < best[1].abs() {
                best = sample;
            }
        }
        (low, high) = if first[1].abs() < second[1].abs() { (low, second[0]) } else { (first[0], high) };
    }
    if best[1].abs() <= touches { vec![best[0]] } else { Vec::new() }
}
