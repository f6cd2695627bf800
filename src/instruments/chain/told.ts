/** A value and whether the keeper told it. */
export interface Told {
  value: number;
  isTold: boolean;
}

/** Degrees of freedom of a limit that was told, and of one that is a guess of ours. */
export const TOLD_FREEDOM = Number.POSITIVE_INFINITY;

/** A standard uncertainty that may itself be wrong by 25 % (GUM G.4.2, equation G.3). */
const GUESS_FREEDOM = 8;

export const freedomOf = (told: Told): number => (told.isTold ? TOLD_FREEDOM : GUESS_FREEDOM);

/** What is taken where nothing is told; `says` names it for the keeper. Common practice. */
const DEFAULTS = {
  accuracy: [0.02, 'transducer: total error within 2 % of full range'],
  temperaturePerK: [0.0005, 'transducer: temperature error within 0.05 % of full range for each K'],
  temperatureSwingK: [15, 'transducer: temperature within 15 K of where it was calibrated'],
  driftPerYear: [0.005, 'transducer: drift within 0.5 % of full range a year'],
  pressureNoisePa: [1000, 'pressure: noise 1 kPa (0.15 psi) rms'],
  sag: [0.02, 'supply of the sensors: within 2 %'],
  ratio: [0.02, 'transformer: ratio error within 2 % of the reading'],
  currentNoiseA: [0.05, 'current: the clamp shows 0.05 A rms with no current'],
  burdenTolerance: [0.01, 'burden: within 1 %'],
  beyondV: [0.3, 'converter: inputs bear 0.3 V above the supply and below ground'],
  coarseConverter: [0.02, 'converter: error within 2 % of its range'],
  fineConverter: [0.002, 'converter: error within 0.2 % of its range'],
} as const satisfies Record<string, readonly [number, string]>;

export type DefaultName = keyof typeof DEFAULTS;

/** Fills what is not told from the defaults, and keeps the list of those it took. */
export class Assumptions {
  readonly taken: string[] = [];

  of(given: number | null | undefined, name: DefaultName): Told {
    if (given != null) return { value: given, isTold: true };
    const [value, says] = DEFAULTS[name];
    this.say(says);
    return { value, isTold: false };
  }

  say(text: string): void {
    if (!this.taken.includes(text)) this.taken.push(text);
  }
}
