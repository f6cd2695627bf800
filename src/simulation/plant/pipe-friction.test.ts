import { describe, expect, it } from 'vitest';
import { GPM_M3_PER_S, INCH_M } from '../constants.ts';
import { pipeFrictionM } from './pipe-friction.ts';

// Illinois Administrative Code, Title 77, Part 906, Appendix A, Exhibit I: Schedule 40 plastic
// pipe, Hazen-Williams C 150, ft of head for each 100 ft. It knows no temperature: water of
// 10 degC at a Reynolds number of 1e4 loses a fifth more than the smoothest pipe of the table.
const TABLE: [insideIn: number, gpm: number, lossPerLength: number][] = [
  [1.049, 5, 0.0152],
  [1.049, 10, 0.055],
  [1.38, 10, 0.0146],
  [1.38, 15, 0.0306],
  [1.38, 20, 0.0523],
  [1.61, 20, 0.0246],
];

describe('pipe friction', () => {
  it.for(TABLE)(
    'in a pipe of %s in at %s gpm is what the code table has',
    async ([insideIn, gpm, loss], { annotate }) => {
      const pipe = {
        lengthM: 1,
        insideDiameterM: insideIn * INCH_M,
        roughnessM: 1.5e-6,
        minorLossK: 0,
      };
      const seen = pipeFrictionM(pipe, gpm * GPM_M3_PER_S);
      await annotate(`${(100 * (seen / loss - 1)).toFixed(1)} %`);
      expect(seen / loss).toBeGreaterThan(0.97);
      expect(seen / loss).toBeLessThan(1.21);
      expect(pipeFrictionM(pipe, -gpm * GPM_M3_PER_S)).toBe(-seen);
    },
  );
});
