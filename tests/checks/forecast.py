"""An outside reckoning for the forecast checks: scipy.

season FILE DRAWS WEEKS  simulates the barn of a CSV file (a row a clutch; see the head of the file) and prints, a line a
                         week, the mean of the babies out and the quantiles asked for
shares                   prints, for the rows it is handed on standard input, what scipy says of them
"""

import csv
import sys
from functools import reduce

import numpy as np
from scipy import stats

QUANTILES = (0.06, 0.08, 0.10, 0.12, 0.14, 0.86, 0.88, 0.90, 0.92, 0.94)


def season(path, draws, weeks):
    rng = np.random.default_rng(8)
    with open(path, newline="") as file:
        clutches = list(csv.DictReader(file))
    counts = np.zeros((draws, weeks), dtype=int)
    species = {name: stats.norm.rvs(size=draws, random_state=rng) for name in {c["species"] for c in clutches}}
    shelves = {name: stats.norm.rvs(size=draws, random_state=rng) for name in {c["shelf"] for c in clutches}}
    for c in clutches:
        n = int(c["eggs"])
        number = lambda key: float(c[key])
        own = stats.norm.rvs(size=draws, random_state=rng)
        ln = (
            np.sqrt(number("figures")) * species[c["species"]]
            + np.sqrt(number("shelf_var")) * shelves[c["shelf"]]
            + np.sqrt(number("own")) * own
        )
        first = number("laid") + number("length") * np.exp(ln)
        rate = stats.beta.rvs(number("yes"), number("no"), size=draws, random_state=rng)
        hatched = stats.binom.rvs(n, rate, random_state=rng)
        apart = stats.norm.rvs(scale=number("within"), size=(draws, n), random_state=rng)
        apart[np.arange(n)[None, :] >= hatched[:, None]] = np.inf
        pip = first[:, None] + apart - apart.min(axis=1, keepdims=True, initial=np.inf)
        low, high = number("out_low") / 24, number("out_high") / 24
        z80 = stats.norm.ppf(0.9)
        delay = stats.norm.rvs((low + high) / 2, (high - low) / 2 / z80, size=(draws, n), random_state=rng)
        with np.errstate(invalid="ignore"):
            week = np.floor((np.maximum(pip, 0) + np.maximum(delay, 0)) / 7)
        for w in range(weeks):
            counts[:, w] += (week == w).sum(axis=1)
    for w in range(weeks):
        column = counts[:, w]
        quantiles = np.quantile(column, QUANTILES, method="inverted_cdf")
        print(column.mean(), column.std(), *quantiles)


def shares():
    for line in sys.stdin:
        match line.split():
            case ["wilson" | "exact" as method, k, n, confidence]:
                found = stats.binomtest(int(k), int(n)).proportion_ci(float(confidence), method=method)
                print(found.low, found.high)
            case ["beta", yes, no, p]:
                belief = stats.beta(float(yes), float(no))
                print(belief.mean(), belief.std(), belief.ppf(float(p)))
            case ["beta-binomial", n, yes, no]:
                print(*stats.betabinom(int(n), float(yes), float(no)).pmf(np.arange(int(n) + 1)))
            case ["poisson-binomial", *chances]:
                # By its definition, a product of (1 - p + p x), not by a routine of the same name.
                print(*reduce(np.polymul, [[float(p), 1 - float(p)] for p in chances])[::-1])
            case other:
                sys.exit(f"cannot read {other}")


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["season", path, draws, weeks]:
            season(path, int(draws), int(weeks))
        case ["shares"]:
            shares()
        case _:
            sys.exit(__doc__)
