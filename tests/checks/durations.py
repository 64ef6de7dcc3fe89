"""An outside reckoning for published durations and for learning from a keeper's own: numpy and scipy alone.

foretell   for each line on standard input (mean b, c; their variances and covariance; scatter, study; known °C and
           days; asked °C; whether from another paper) prints median and the ends of the 90 % interval, by plain
           normal conditioning of one duration on another
weigh      for each line (prior mean and sd of ln days; days as noted …) prints mean and sd of ln days and each
           clutch's chance of a slip, by adding up a fine grid for each spread between clutches
"""

import sys

import numpy as np
from scipy import stats


def bend(c):
    x = c - 28.0
    h = lambda x: 450 * (np.sqrt(1 + ((x - 4) / 15) ** 2) - 1)
    return np.array([x, h(x) - h(0.0)])


def foretell(line):
    mb, mc, vb, vbc, vc, scatter, study, known_c, known_days, asked_c, other = map(float, line.split())
    cov = np.array([[vb, vbc], [vbc, vc]])
    between = bend(asked_c) - bend(known_c)
    # Nothing is known of the level: the asked ln days is the known one and the way between them.
    mean = np.log(known_days) + between @ [mb, mc]
    variance = between @ cov @ between + 2 * scatter**2 + (2 * study**2 if other else 0)
    middle = stats.norm(mean, np.sqrt(variance))
    print(*np.exp(middle.ppf([0.5, 0.05, 0.95])))


# What is thought of the spread between clutches to begin with, and of slips: as shipped (response.rs, learn.rs).
SPREADS = [(0.008, 0.05), (0.013, 0.15), (0.019, 0.26), (0.027, 0.28), (0.038, 0.18), (0.054, 0.06), (0.076, 0.02)]
SLIP, ANYTHING = 0.06, 0.01


def weigh(line):
    mean, sd, *noted = map(float, line.split())
    grid = np.linspace(mean - 8 * sd, mean + 8 * sd, 20001)
    weights, slips = np.zeros((len(SPREADS), len(grid))), np.zeros((len(SPREADS), len(noted), len(grid)))
    for k, (spread, prior) in enumerate(SPREADS):
        weights[k] = prior * stats.norm.pdf(grid, mean, sd)
        for i, days in enumerate(noted):
            sound = (1 - SLIP - ANYTHING) * stats.norm.pdf(np.log(days), grid, spread)
            slip = SLIP * stats.norm.pdf(np.log(days), grid, np.hypot(spread, 10 / days))
            slip += ANYTHING * stats.norm.pdf(np.log(days), grid, np.hypot(spread, 1.0))
            weights[k] *= sound + slip
            slips[k, i] = slip / (sound + slip)
    weights /= weights.sum()
    middle = (weights * grid).sum()
    chances = (weights[:, None, :] * slips).sum(axis=(0, 2))
    print(middle, np.sqrt((weights * (grid - middle) ** 2).sum()), *chances)


if __name__ == "__main__":
    what = {"foretell": foretell, "weigh": weigh}.get(sys.argv[1] if len(sys.argv) == 2 else "")
    if what is None:
        sys.exit(__doc__)
    for line in sys.stdin:
        what(line)
