// Chance from a number: the same number, the same run (Mulberry32, a generator of 32 bits in the public domain).

export function chance(seed) {
  let state = seed >>> 0;
  const share = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
  return {
    /** At least 0, less than 1. */
    share,
    /** A whole number below `most`. */
    below: (most) => Math.floor(share() * most),
    of: (list) => list[Math.floor(share() * list.length)],
    /** One of the names of `weights`, each as often as its weight says. */
    weighed(weights) {
      let at = share() * Object.values(weights).reduce((sum, weight) => sum + weight, 0);
      for (const [name, weight] of Object.entries(weights)) {
        at -= weight;
        if (at < 0) return name;
      }
      return Object.keys(weights).at(-1);
    },
  };
}
