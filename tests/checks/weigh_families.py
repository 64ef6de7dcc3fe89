"""An independent weighing of small families, by brute force: every genotype of every animal, every parentage.

families SEED COUNT   prints that many invented families with what is known of them, and the chances of every
                      genotype; nothing of it is shared with the program under test but the rules in its documentation
fits SEED COUNT       prints counts with expected shares, and SciPy's verdict on them
"""

import itertools
import random
import sys

RARE = 1e-6
# Each allele in a copy of an unknown male who is one of several that may be the sire.
UNKNOWN_MALE = 0.05
# A sire that is none: the dam had no male.
NO_MALE = "-"


def haps(group):
    return list(itertools.product(*[range(len(locus["modes"]) + 1) for locus in group["loci"]]))


def genotypes(group):
    """All (sex, first, second); second None where the sex has one copy, sex None on autosomes."""
    pairs = list(itertools.combinations_with_replacement(haps(group), 2))
    singles = [(h, None) for h in haps(group)]
    if group["on"] == "A":
        return [(None, a, b) for a, b in pairs]
    one, two = ("F", "M") if group["on"] == "Z" else ("M", "F")
    return [(two, a, b) for a, b in pairs] + [(one, a, b) for a, b in singles]


def gametes(group, genotype):
    _, a, b = genotype
    if b is None:
        return [(a, 0.5), (None, 0.5)]
    out = []
    for strand in (a, b):
        other = b if strand is a else a
        if len(strand) == 1:
            out.append((strand, 0.5))
        else:
            out.append((strand, 0.5 * (1 - group["r"])))
            out.append(((strand[0], other[1]), 0.5 * group["r"]))
    return out


def lives(group, genotype):
    _, a, b = genotype
    for at, locus in enumerate(group["loci"]):
        x = a[at]
        if x == 0 or not locus["dies"][x - 1]:
            continue
        if b is None and locus["modes"][x - 1] == "r" or b is not None and b[at] == x:
            return False
    return True


def young(group, dam, sire):
    """Genotypes of living young with their chances."""
    if dam[0] == "M" or sire[0] == "F":
        return {}
    out = {}
    for (egg, p), (sperm, q) in itertools.product(gametes(group, dam), gametes(group, sire)):
        if group["on"] == "A":
            child = (None, *sorted([egg, sperm]))
        elif egg is None or sperm is None:
            child = ("F" if egg is None else "M", egg or sperm, None)
        else:
            child = ("M" if group["on"] == "Z" else "F", *sorted([egg, sperm]))
        if lives(group, child):
            out[child] = out.get(child, 0) + p * q
    total = sum(out.values())
    return {child: p / total for child, p in out.items()}


def alone(group, dam):
    """Genotypes of living young without a sire: one of her gametes doubled, of either sex alike."""
    if dam[0] == "M":
        return {}
    out = {}
    for egg, p in gametes(group, dam):
        if egg is None:
            continue
        kinds = [(None, egg, egg)]
        if group["on"] != "A":
            kinds = [("M" if group["on"] == "Z" else "F", egg, egg), ("F" if group["on"] == "Z" else "M", egg, None)]
        for child in kinds:
            if p > 0 and lives(group, child):
                out[child] = out.get(child, 0) + p
    total = sum(out.values())
    return {child: p / total for child, p in out.items()}


def shows(group, genotype, at, allele):
    """0, 1, or 2 for the look of two copies of an incomplete dominant."""
    locus = group["loci"][at]
    _, a, b = genotype
    mode = locus["modes"][allele - 1]
    mine = [x for x in ([a[at]] if b is None else [a[at], b[at]])]
    if allele not in mine:
        return 0
    if b is None:
        return 1
    if mine.count(allele) == 2:
        return 2 if mode == "i" else 1
    (other,) = [x for x in mine if x != allele]
    if other == 0:
        return 0 if mode == "r" else 1
    rule = locus["between"]
    if rule:
        wins = {"1": 1, "2": 2}.get(rule)
        return 1 if rule == "b" or wins == allele else 0
    hidden = mode == "r" and locus["modes"][other - 1] != "r"
    return 0 if hidden else 1


def agrees(group, genotype, known):
    at, allele, what = known["locus"], known["allele"], known["what"]
    _, a, b = genotype
    copies = (a[at] == allele) + (b is not None and b[at] == allele)
    most = 1 if b is None else 2
    if what.startswith("looks"):
        return shows(group, genotype, at, allele) == int(what[-1])
    return {
        "not": copies == 0,
        "carries": copies > 0,
        "het": copies == 1,
        "homozygous": copies == most,
        "possible": copies <= 1,
    }[what]


def prior(group, possible, fitting, rare):
    """Chances of a founder's genotypes; `possible` by locus as (allele, chance)."""
    out = {}
    for g in fitting:
        chance = 1.0
        for at in range(len(group["loci"])):
            def unordered(x):
                return tuple(sorted([x[1][at]] + ([] if x[2] is None else [x[2][at]])))
            same_sex = {unordered(x) for x in fitting if x[0] == g[0]}
            normal = (0,) * len(unordered(g))
            mine = unordered(g)
            alleles = len(group["loci"][at]["modes"]) + 1
            if normal not in same_sex:
                chance *= 1 / len(same_sex)
            elif at in possible:
                allele, p = possible[at]
                carrier = tuple(sorted([allele] + [0] * (len(mine) - 1)))
                chance *= 1 - p if mine == normal else p if mine == carrier else 0
            else:
                for x in mine:
                    chance *= 1 - rare * (alleles - 1) if x == 0 else rare
                chance *= 2 if len(set(mine)) == 2 else 1
        if len(group["loci"]) == 2 and g[2] is not None and g[1][0] != g[2][0] and g[1][1] != g[2][1]:
            chance *= 0.5
        out[g] = chance
    return out


class Family:
    def __init__(self, groups, animals, broods):
        self.groups, self.broods = groups, broods
        # Unknown parents become animals of their own, before the others.
        self.animals = [dict(a) for a in animals]
        self.ways = []
        for brood in broods:
            stand_in = {}
            for role, sex in (("dam", "F"), ("sire", "M")):
                if any(way[role] is None for way in brood):
                    stand_in[role] = len(self.animals)
                    anybody = role == "sire" and any(way["sire"] is not None for way in brood)
                    self.animals.append({"sex": sex, "brood": None, "known": [], "anybody": anybody})
            self.ways.append([
                (stand_in.get("dam") if w["dam"] is None else w["dam"],
                 stand_in.get("sire") if w["sire"] is None else w["sire"], w["weight"]) for w in brood])
        n = len(animals)
        self.order = list(range(n, len(self.animals))) + list(range(n))

    def above(self, animal):
        brood = self.animals[animal]["brood"]
        return set() if brood is None else {p for d, s, _ in self.ways[brood] for p in (d, s) if p != NO_MALE}

    def ancestors(self, animal):
        out, todo = set(), [animal]
        while todo:
            for parent in self.above(todo.pop()):
                if parent not in out:
                    out.add(parent)
                    todo.append(parent)
        return out

    def fitting(self, g, animal):
        group, a = self.groups[g], self.animals[animal]
        return [x for x in genotypes(group)
                if lives(group, x) and (x[0] is None or a["sex"] is None or a["sex"] == x[0])
                and all(agrees(group, x, k) for k in a["known"] if k["group"] == g)]

    def carries_by_entry(self, g, animal):
        normal = [x for x in self.fitting(g, animal) if not any(x[1]) and not any(x[2] or ())]
        possible = any(k["what"] == "possible" and k["group"] == g for k in self.animals[animal]["known"])
        return not normal, possible

    def weigh(self, g, choice, rare):
        """(sum over everything, by animal the sums of its genotypes)"""
        group = self.groups[g]
        said = {a: self.carries_by_entry(g, a) for a in self.order}
        may = set()
        for a in self.order:
            if said[a][0]:
                may |= {a} | self.ancestors(a)
        plan = []
        for a in self.order:
            known = [k for k in self.animals[a]["known"] if k["group"] == g]
            fitting = self.fitting(g, a)
            brood = self.animals[a]["brood"]
            founder = brood is None or said[a][1] and not any(any(said[x]) for x in self.ancestors(a))
            if founder:
                possible = {k["locus"]: (k["allele"], k["p"]) for k in known if k["what"] == "possible"}
                often = UNKNOWN_MALE if self.animals[a].get("anybody") else rare if a in may else 0.0
                plan.append((a, None, prior(group, possible, fitting, often)))
            else:
                dam, sire, _ = self.ways[brood][choice[brood]]
                plan.append((a, (dam, sire), fitting))
        sums = {a: {} for a in self.order}
        made = {}

        def go(at, chosen, weight):
            if weight == 0:
                return 0.0
            if at == len(plan):
                for a, x in chosen.items():
                    sums[a][x] = sums[a].get(x, 0.0) + weight
                return weight
            a, parents, options = plan[at]
            total = 0.0
            if parents is None:
                for x, p in options.items():
                    chosen[a] = x
                    total += go(at + 1, chosen, weight * p)
            else:
                dam, sire = parents
                pair = (chosen[dam], NO_MALE if sire == NO_MALE else chosen[sire])
                if pair not in made:
                    made[pair] = alone(group, pair[0]) if sire == NO_MALE else young(group, *pair)
                for x in options:
                    chosen[a] = x
                    total += go(at + 1, chosen, weight * made[pair].get(x, 0.0))
            chosen.pop(a, None)
            return total

        return go(0, {}, 1.0), sums

    def answer(self):
        choices = list(itertools.product(*[range(len(ways)) for ways in self.ways]))
        start = {c: 1.0 for c in choices}
        for c in choices:
            for brood, way in enumerate(c):
                start[c] *= self.ways[brood][way][2] / sum(w for *_, w in self.ways[brood])
        for rare in (0.0, RARE):
            found = {c: [self.weigh(g, c, rare) for g in range(len(self.groups))] for c in choices}
            if any(all(total > 0 for total, _ in found[c]) for c in choices):
                break
        else:
            dead = [g for g in range(len(self.groups)) if all(found[c][g][0] == 0 for c in choices)]
            return {"conflict": dead}
        weights = {}
        for c in choices:
            w = start[c]
            for total, _ in found[c]:
                w *= total
            weights[c] = w
        total = sum(weights.values())
        chances = []
        for g in range(len(self.groups)):
            for a in range(len(self.animals)):
                mixed = {}
                for c in choices:
                    if weights[c] > 0:
                        here, sums = found[c][g]
                        for x, s in sums[a].items():
                            mixed[x] = mixed.get(x, 0.0) + weights[c] / total * s / here
                chances.append((g, a, mixed))
        ways = [[sum(w for c, w in weights.items() if c[b] == way) / total for way in range(len(ways))]
                for b, ways in enumerate(self.ways)]
        return {"chances": chances, "ways": ways}


def invent(rng):
    groups = []
    linked_sex = False
    for _ in range(rng.choice([1, 1, 2])):
        on = rng.choice("AAAAZX")
        if on != "A":
            if linked_sex:
                on = "A"
            linked_sex = True
        kind = rng.choice(["one", "one", "three", "linked"])
        locus = lambda n: {
            "modes": [rng.choice("rrid") for _ in range(n)],
            "dies": [rng.random() < 0.15 for _ in range(n)],
            "between": rng.choice(["", "b", "1", "2"]) if n == 2 else "",
        }
        loci = {"one": [locus(1)], "three": [locus(2)], "linked": [locus(1), locus(1)]}
        loci = loci[kind if len(groups) == 0 or kind == "three" else "one"]
        groups.append({"on": on, "r": rng.choice([0.0, 0.1, 0.25, 0.5]) if len(loci) == 2 else 0.0, "loci": loci})
    count = rng.randint(3, 6)
    animals, broods, truth = [], [], []
    for i in range(count):
        sex = rng.choice("FM")
        brood = None
        if i >= 2 and rng.random() < 0.8:
            dams = [j for j in range(i) if animals[j]["sex"] == "F"]
            sires = [j for j in range(i) if animals[j]["sex"] == "M"]
            if broods and rng.random() < 0.5:
                brood = rng.randrange(len(broods))
                born = [j for j in range(i) if animals[j]["brood"] == brood]
                if any(p not in (None, NO_MALE) and p >= min(born) for way in broods[brood] for p in (way["dam"], way["sire"])):
                    brood = None
            if brood is None and (dams or sires):
                pick = lambda pool: rng.choice(pool) if pool and rng.random() < 0.9 else None
                dam = pick(dams)
                ways = [{"dam": dam, "sire": pick(sires), "weight": 1.0}]
                if len(sires) > 1 and rng.random() < 0.4:
                    ways = [{"dam": dam, "sire": s, "weight": w} for s, w in zip(rng.sample(sires, 2), (1.0, 2.0))]
                if rng.random() < 0.3:
                    ways.append({"dam": dam, "sire": NO_MALE, "weight": 1.0})
                if ways[0]["sire"] is not None and rng.random() < 0.3:
                    ways.append({"dam": dam, "sire": None, "weight": 1.5})
                if len(ways) > 1 and rng.random() < 0.2:
                    ways = ways[1:]
                broods.append(ways)
                brood = len(broods) - 1
        animals.append({"sex": sex, "brood": brood, "known": []})
    # True genotypes, dropped down from founders, so that most of what is said fits.
    ways = [rng.choice(brood) for brood in broods]
    for i, animal in enumerate(animals):
        mine = []
        for group in groups:
            options = [x for x in genotypes(group) if lives(group, x) and x[0] in (None, animal["sex"])]
            founders = [x for x in options if rng.random() < 0.6] or options
            x = rng.choice(founders)
            if animal["brood"] is not None:
                way = ways[animal["brood"]]
                pick = lambda parent, sex: truth[parent][len(mine)] if parent is not None else rng.choice(
                    [x for x in genotypes(group) if lives(group, x) and x[0] in (None, sex)])
                dam = pick(way["dam"], "F")
                born = alone(group, dam) if way["sire"] == NO_MALE else young(group, dam, pick(way["sire"], "M"))
                born = {x: p for x, p in born.items() if x[0] in (None, animal["sex"])}
                x = rng.choices(list(born), list(born.values()))[0] if born else x
            mine.append(x)
        truth.append(mine)
    for i, animal in enumerate(animals):
        for g, group in enumerate(groups):
            for at, locus in enumerate(group["loci"]):
                for allele in range(1, len(locus["modes"]) + 1):
                    x = truth[i][g] if rng.random() < 0.96 else rng.choice(genotypes(group))
                    copies = (x[1][at] == allele) + (x[2] is not None and x[2][at] == allele)
                    say = lambda what, p=0.0: animal["known"].append(
                        {"group": g, "locus": at, "allele": allele, "what": what, "p": p})
                    roll = rng.random()
                    if roll < 0.4:
                        say(f"looks{shows(group, x, at, allele)}")
                    elif roll < 0.55:
                        full = copies == (1 if x[2] is None else 2)
                        say("homozygous" if full and copies else ["not", "het"][min(copies, 1)])
                    elif roll < 0.62 and copies:
                        say("carries")
                    elif roll < 0.75 and copies < 2:
                        already = any(k["what"] == "possible" and (k["group"], k["locus"]) == (g, at) for k in animal["known"])
                        if not already:
                            say("possible", rng.choice([0.5, 0.66, 0.25]))
        if rng.random() < 0.3 and not any(i in (w["dam"], w["sire"]) for b in broods for w in b):
            animal["sex"] = None
    return groups, animals, broods


def connected(animals, broods):
    seen, todo = {0}, [0]
    while todo:
        a = todo.pop()
        for i, animal in enumerate(animals):
            if animal["brood"] is None:
                continue
            kin = {i} | {p for w in broods[animal["brood"]] for p in (w["dam"], w["sire"]) if p not in (None, NO_MALE)}
            # Sibs of an unknown parent are joined by it.
            if any(w["dam"] is None or w["sire"] is None for w in broods[animal["brood"]]):
                kin |= {j for j, other in enumerate(animals) if other["brood"] == animal["brood"]}
            if a in kin:
                todo += kin - seen
                seen |= kin
    return len(seen) == len(animals)


def text(hap):
    return "-" if hap is None else ".".join(map(str, hap))


def families(seed, count):
    rng = random.Random(seed)
    done = 0
    while done < count:
        groups, animals, broods = invent(rng)
        if not connected(animals, broods):
            continue
        answer = Family(groups, animals, broods).answer()
        done += 1
        print("family")
        for group in groups:
            loci = " ".join(f"{''.join(l['modes'])}/{''.join('01'[d] for d in l['dies'])}/{l['between']}" for l in group["loci"])
            print("group", group["on"], group["r"], loci)
        for brood in broods:
            print("brood", *(f"{'?' if w['dam'] is None else w['dam']},{'?' if w['sire'] is None else w['sire']},{w['weight']}" for w in brood))
        for animal in animals:
            print("animal", animal["sex"] or "?", "?" if animal["brood"] is None else animal["brood"])
            for k in animal["known"]:
                print("known", k["group"], k["locus"], k["allele"], k["what"], k["p"])
        if "conflict" in answer:
            print("conflict", *answer["conflict"])
        else:
            for g, a, mixed in answer["chances"]:
                if a < len(animals):
                    for (_, first, second), p in mixed.items():
                        print("chance", g, a, text(first), text(second), f"{p:.12g}")
            for b, ways in enumerate(answer["ways"]):
                for way, p in enumerate(ways):
                    print("way", b, way, f"{p:.12g}")


def fits(seed, count):
    from scipy import stats

    rng = random.Random(seed)
    for _ in range(count):
        k = rng.randint(2, 4)
        parts = [rng.choice([1, 1, 2, 3, 9]) for _ in range(k)]
        shares = [p / sum(parts) for p in parts]
        n = rng.choice([3, 7, 12] if k > 2 else [3, 7, 25, 90]) if rng.random() < 0.6 else rng.randint(600, 3000)
        counts = [0] * k
        for _ in range(n):
            counts[rng.choices(range(k), shares)[0]] += 1
        ways = 1
        for i in range(1, k):
            ways = ways * (n + i) // i
        if ways > 200_000:
            if min(s * n for s in shares) < 5:
                continue
            result = stats.chisquare(counts, [s * n for s in shares])
            print("chisquare", *shares, ":", *counts, ":", f"{result.statistic:.12g}", f"{result.pvalue:.12g}")
        else:
            law = stats.multinomial(n, shares)
            seen = law.pmf(counts)
            p = 0.0
            for some in itertools.product(range(n + 1), repeat=k - 1):
                if sum(some) <= n:
                    chance = law.pmf([*some, n - sum(some)]) if k > 2 else stats.binom.pmf(some[0], n, shares[0])
                    if chance <= seen * (1 + 1e-7):
                        p += chance
            if k == 2:
                p = stats.binomtest(counts[0], n, shares[0]).pvalue
            print("exact", *shares, ":", *counts, ":", 0, f"{p:.12g}")


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["families", seed, count]:
            families(int(seed), int(count))
        case ["fits", seed, count]:
            fits(int(seed), int(count))
        case _:
            sys.exit(__doc__)
