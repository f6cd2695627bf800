/** From here on trouble is suspected. */
export const SUSPECT = 0.5;
/** Trouble is told when so much of the odds is against a sound well, several runs in a row. */
export const TOLD = 0.93;
export const TOLD_RUNS = 3;
/** And over when so many runs in a row, over so long, show a sound well. */
export const CALM = 0.8;
export const CALM_RUNS = 6;
export const CALM_S = 12 * 3600;
/** Too little for any test to bring it forward. */
export const NEGLIGIBLE = 1e-7;
