"""An outside reckoning for the forecast checks: scipy.

season FILE DRAWS WEEKS  simulates the barn of a CSV file (a row a clutch; see the head of the file) and prints, a line a
                         week, the mean of the babies out and the quantiles asked for; then the same of all weeks together
luck PAST FILE DRAWS     what clutches that have ended (PAST) tell of those of FILE: mean and quantiles of all that hatch,
                         by weighing what is believed beforehand by how likely it makes what was seen
studies FILE             how published hatch rates differ between studies and within, from the table of treatments
shares                   prints, for the rows it is handed on standard input, what scipy says of them
"""

import csv
import sys
from functools import reduce

import numpy as np
from scipy import optimize, special, stats

QUANTILES = (0.06, 0.08, 0.10, 0.12, 0.14, 0.86, 0.88, 0.90, 0.92, 0.94)


# What is believed beforehand, as app/trade/src/luck says. Standard deviations in logits.
BETWEEN = 1.20
SPREADS = {"dam": 0.6, "pair": 0.6, "shelf": 0.6, "season": 0.8}
WIDTHS = (0.5, 1.0, 1.5, 2.0), (0.2, 0.4, 0.25, 0.15)
CLUTCHES_FAIL, SHELVES_FAIL = (0.6, 11.4), (0.7, 8.3)
FAILING = 5.0


def middles(widths):
    """By width: a function from a mean rate's logit to the middle of rates that are normal in logits about it."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(61)
    weights = weights / weights.sum()
    middle = np.linspace(-20, 20, 1601)
    found = {}
    for width in widths:
        mean = (special.expit(middle[:, None] + width * nodes[None, :]) * weights).sum(axis=1)
        found[width] = (special.logit(np.clip(mean, 1e-12, 1 - 1e-12)), middle)
    return found


class Luck:
    """Draws of everything that clutches share, beforehand."""

    def __init__(self, draws, rng):
        self.draws, self.rng, self.known = draws, rng, {}
        half = BETWEEN / np.sqrt(2)
        self.sds = {"keeper": np.full(draws, half), "species": np.full(draws, half)}
        for kind, scale in SPREADS.items():
            sd = scale * np.abs(stats.t.rvs(3, size=draws, random_state=rng))
            # The app tells spreads apart up to here.
            while (far := sd > 2.1).any():
                sd[far] = scale * np.abs(stats.t.rvs(3, size=far.sum(), random_state=rng))
            self.sds[kind] = sd
        self.width = rng.choice(WIDTHS[0], p=WIDTHS[1], size=draws)
        self.fails = stats.beta.rvs(*CLUTCHES_FAIL, size=draws, random_state=rng)
        self.shelf_fails = stats.beta.rvs(*SHELVES_FAIL, size=draws, random_state=rng)
        self.middles = middles(WIDTHS[0])

    def effect(self, kind, name):
        if (kind, name) not in self.known:
            self.known[kind, name] = self.sds[kind] * self.rng.standard_normal(self.draws)
        return self.known[kind, name]

    def middle(self, clutch):
        """Where a clutch's rates lie in the middle, in logits."""
        eta = float(clutch["start"]) + self.effect("keeper", "")
        for kind in ("species", "dam", "pair", "shelf", "season"):
            eta = eta + self.effect(kind, clutch[kind])
        at = (clutch["shelf"], clutch["season"])
        if at not in self.known:
            self.known[at] = self.rng.random(self.draws) < self.shelf_fails
        eta = eta - FAILING * self.known[at]
        out = np.empty(self.draws)
        for width, (mean, middle) in self.middles.items():
            of = self.width == width
            out[of] = np.interp(eta[of], mean, middle)
        return out

    def hatched(self, clutch):
        rate = special.expit(self.middle(clutch) + self.width * self.rng.standard_normal(self.draws))
        rate[self.rng.random(self.draws) < self.fails] = 0
        return stats.binom.rvs(int(clutch["eggs"]), rate, random_state=self.rng)

    def likelihood(self, clutch):
        nodes, weights = np.polynomial.hermite_e.hermegauss(31)
        n, k = int(clutch["eggs"]), int(clutch["hatched"])
        middle, seen = self.middle(clutch), np.zeros(self.draws)
        for node, weight in zip(nodes, weights / weights.sum()):
            seen += weight * stats.binom.pmf(k, n, special.expit(middle + self.width * node))
        return self.fails * (k == 0) + (1 - self.fails) * seen


def rows_of(path):
    with open(path, newline="") as file:
        return list(csv.DictReader(file))


def luck(past, path, draws):
    shared = Luck(draws, np.random.default_rng(9))
    weight = np.exp(sum(np.log(shared.likelihood(clutch)) for clutch in rows_of(past)))
    weight /= weight.sum()
    total = sum(shared.hatched(clutch) for clutch in rows_of(path))
    order = np.argsort(total)
    upto = np.cumsum(weight[order])
    mean = (weight * total).sum()
    quantiles = [total[order][np.searchsorted(upto, q)] for q in QUANTILES]
    # How many draws the weighed ones are worth, for what the answer may be off by.
    print(mean, np.sqrt((weight * (total - mean) ** 2).sum()), 1 / (weight**2).sum(), *quantiles)


def studies(path):
    known = [(r["study"], float(r["mean"]), round(float(r["hatched"]) * float(r["eggs"])), int(float(r["eggs"]))) for r in rows_of(path)]
    nodes, weights = np.polynomial.hermite_e.hermegauss(41)
    weights = weights / weights.sum()

    def unlikely(figures):
        shift, between, within = figures[0], np.exp(figures[1]), np.exp(figures[2])
        total = 0
        for study in {k[0] for k in known}:
            found = np.zeros(len(nodes))
            for _, mean, k, n in (row for row in known if row[0] == study):
                p = special.expit(mean + shift + between * nodes[:, None] + within * nodes[None, :])
                found += np.log((np.exp(k * np.log(p) + (n - k) * np.log1p(-p)) * weights).sum(axis=1) + 1e-300)
            total -= special.logsumexp(found, b=weights)
        return total

    best = optimize.minimize(unlikely, [0.3, 0, 0], method="Nelder-Mead", options={"xatol": 1e-4, "fatol": 1e-6})
    print(best.x[0], np.exp(best.x[1]), np.exp(best.x[2]))


def season(path, draws, weeks):
    rng = np.random.default_rng(8)
    clutches = rows_of(path)
    counts = np.zeros((draws, weeks), dtype=int)
    shared = Luck(draws, rng)
    keeper = stats.norm.rvs(size=draws, random_state=rng)
    own = lambda kind: {name: stats.norm.rvs(size=draws, random_state=rng) for name in {c[kind] for c in clutches}}
    # Half of what is not known of durations is the keeper's, and the same for all species.
    species = {name: (keeper + z) / np.sqrt(2) for name, z in own("species").items()}
    shelves = own("shelf")
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
        hatched = shared.hatched(c)
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
    for column in [*counts.T, counts.sum(axis=1)]:
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
        case ["luck", past, path, draws]:
            luck(past, path, int(draws))
        case ["studies", path]:
            studies(path)
        case ["shares"]:
            shares()
        case _:
            sys.exit(__doc__)
