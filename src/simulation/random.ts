/** Own random generator, passed as an argument: the same seed gives the same log for ever. */
export interface Random {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
  between(low: number, high: number): number;
  chance(probability: number): boolean;
  /** Exponential with this mean. */
  exponential(mean: number): number;
}

/** 32-bit FNV-1a with a final avalanche, so that near labels give far seeds. */
function hashOf(label: string): number {
  let h = 0x811c9dc5;
  for (let i = 0; i < label.length; i++) h = Math.imul(h ^ label.charCodeAt(i), 0x01000193);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/**
 * A generator for one purpose, named by seed and labels: what one part draws never shifts
 * what another part draws, so a fault leaves the household's day as it was.
 * Method: sfc32 (C. Doty-Humphrey, PractRand), 128 bits of state.
 */
export function createRandom(seed: number, ...labels: (string | number)[]): Random {
  const name = [seed, ...labels].join('/');
  let a = hashOf(`${name}:a`);
  let b = hashOf(`${name}:b`);
  let c = hashOf(`${name}:c`);
  let counter = 1;
  let spare = Number.NaN;

  const uniform = (): number => {
    const t = (a + b + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return (t >>> 0) / 4294967296;
  };
  // Polar method of Marsaglia: two normals a turn, the second kept for the next call.
  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    let x = 0;
    let y = 0;
    let square = 0;
    do {
      x = 2 * uniform() - 1;
      y = 2 * uniform() - 1;
      square = x * x + y * y;
    } while (square >= 1 || square === 0);
    const scale = Math.sqrt((-2 * Math.log(square)) / square);
    spare = y * scale;
    return x * scale;
  };
  for (let i = 0; i < 12; i++) uniform();
  return {
    uniform,
    normal,
    between: (low, high) => low + (high - low) * uniform(),
    chance: (probability) => uniform() < probability,
    exponential: (mean) => -mean * Math.log(1 - uniform()),
  };
}
