//! The least that it costs to have written one row of letters or sounds for another.
//!
//! Owns the walk through the table alone; what each step costs is said by whoever asks, because a
//! hand slips otherwise than an ear.

/// What single steps cost. `i` counts in what was written, `j` in what was meant, both from 0.
pub(crate) trait Steps {
    /// The `i`th is written and not meant.
    fn extra(&self, i: usize) -> u32;
    /// The `j`th is meant and not written.
    fn missing(&self, j: usize) -> u32;
    /// The `i`th is written for the `j`th; 0 where they are the same.
    fn other(&self, i: usize, j: usize) -> u32;
    /// The `i`th and the one before it are the `j`th and the one before it, changed about.
    fn swapped(&self, i: usize, j: usize) -> Option<u32>;
    /// The same around one that both share.
    fn swapped_around(&self, _i: usize, _j: usize) -> Option<u32> {
        None
    }
}

/// The least cost of `n` written for `m` meant; `far` unless both are shorter than `COLUMNS`.
pub(crate) fn least<const COLUMNS: usize>(n: usize, m: usize, steps: &impl Steps, far: u32) -> u32 {
    if n >= COLUMNS || m >= COLUMNS {
        return far;
    }
    let mut rows = [[0u32; COLUMNS]; 4];
    let get = |rows: &[[u32; COLUMNS]; 4], row: usize, column: usize| {
        rows.get(row % 4).and_then(|r| r.get(column)).copied().unwrap_or(far)
    };
    let (mut extra, mut missing) = ([0u32; COLUMNS], [0u32; COLUMNS]);
    extra.iter_mut().enumerate().take(n).for_each(|(i, cost)| *cost = steps.extra(i));
    missing.iter_mut().enumerate().take(m).for_each(|(j, cost)| *cost = steps.missing(j));
    let of = |costs: &[u32; COLUMNS], k: usize| costs.get(k).copied().unwrap_or(far);
    for i in 0..=n {
        for j in 0..=m {
            let mut best = if i == 0 && j == 0 { 0 } else { u32::MAX };
            if i > 0 {
                best = best.min(get(&rows, i + 3, j) + of(&extra, i - 1));
            }
            if j > 0 {
                best = best.min(get(&rows, i, j - 1) + of(&missing, j - 1));
            }
            if i > 0 && j > 0 {
                best = best.min(get(&rows, i + 3, j - 1) + steps.other(i - 1, j - 1));
            }
            if let Some(cost) = (i > 1 && j > 1).then(|| steps.swapped(i - 1, j - 1)).flatten() {
                best = best.min(get(&rows, i + 2, j - 2) + cost);
            }
            if let Some(cost) = (i > 2 && j > 2).then(|| steps.swapped_around(i - 1, j - 1)).flatten() {
                best = best.min(get(&rows, i + 1, j - 3) + cost);
            }
            if let Some(cell) = rows.get_mut(i % 4).and_then(|r| r.get_mut(j)) {
                *cell = best;
            }
        }
    }
    get(&rows, n, m)
}
