/** Numbers that look random and are the same for the same seed. */
export interface Random {
  /** 0 up to, not including, 1. */
  next(): number;
  /** Around 0 with standard deviation 1. */
  normal(): number;
}

/** A 32-bit generator (mulberry32 of Tommy Ettinger, public domain; constants from memory). Good enough to invent with, for nothing else. */
export function seededRandom(seed: number): Random {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  return {
    next,
    // Box and Muller 1958: two even draws make a normal one.
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
  };
}
