"""The overall fit factor of seven exercises with its interval by random draws, and
the exact ratio of two counts in scipy: what the Go benchmarks are set against.
Prints the best of a few runs in seconds, one core."""

import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"
import time

import numpy as np
from scipy import stats

AMBIENT = np.array([9000, 9100, 8950, 9050, 9020, 8990, 9010])  # made-up counts
INSIDE = np.array([75, 95, 60, 150, 112, 225, 82])
rng = np.random.default_rng(1)


def overall(draws=1_000_000):
    total = np.zeros(draws)
    for a, i in zip(AMBIENT, INSIDE):
        total += rng.standard_gamma(i + 0.5, draws) / rng.standard_gamma(a + 0.5, draws)
    return np.quantile(len(AMBIENT) / total, [0.025, 0.5, 0.975])


def ratio(a=12345, i=87, level=0.95):
    tail = (1 - level) / 2
    low = stats.beta.ppf(tail, a, i + 1)
    high = stats.beta.ppf(1 - tail, a + 1, i)
    return low / (1 - low), high / (1 - high)


def best(f, times):
    out = []
    for _ in range(times):
        start = time.perf_counter()
        f()
        out.append(time.perf_counter() - start)
    return min(out)


print(best(overall, 3), best(ratio, 200))
