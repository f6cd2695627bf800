import { describe, expect, it } from 'vitest';
import {
  createRunWindow,
  pushWindow,
  type RunWindow,
  windowRunBegins,
  windowRunEnds,
} from './run-window.ts';
import { weakWater } from './weak-use.ts';

/** A well that yields this much, reference units a minute, and a pump that could lift this much. */
const YIELDS = 0.15;
const SOUND = 0.9;
const START_S = 200;

interface Made {
  stopS: number;
  /** What people draw, reference units a minute, at a time. */
  drawn: (timeS: number) => number;
  /** The first seconds the pump still lifts what it should. */
  soundS: number;
}

/** Second by second at constant sqrt(p/ref) = 1: then an opening is a flow. */
function windowOf({ stopS, drawn, soundS }: Made): { window: RunWindow; pumped: number } {
  const window = createRunWindow();
  let volume = 1.2;
  let pumped = 0;
  for (let t = 0; t <= stopS + 100; t++) {
    const on = t > START_S && t <= stopS;
    const flow = on ? (t - START_S <= soundS ? SOUND : YIELDS) : 0;
    pumped += flow / 60;
    volume += (drawn(t) - flow) / 60;
    if (t === START_S + 1) windowRunBegins(window, t);
    if (t === stopS + 1) windowRunEnds(window, t);
    pushWindow(window, { timeS: t, volume, std: 1e-4, root: 1, x: 0 });
  }
  return { window, pumped };
}

function judged(made: Made): { pumped: number; pumpedStd: number; truth: number } {
  const { window, pumped } = windowOf(made);
  const water = weakWater({
    window,
    startS: START_S,
    stopS: made.stopS,
    spells: [START_S + made.soundS, made.stopS],
    soundPerMin: SOUND,
  });
  if (water === null) throw new Error('not seen');
  return { ...water, truth: pumped };
}

const holds = ({ pumped, pumpedStd, truth }: ReturnType<typeof judged>): void =>
  expect(Math.abs(pumped - truth)).toBeLessThan(1.96 * pumpedStd);

describe('the water of a weak run', () => {
  it('is what the tank took where nobody draws', () => {
    const water = judged({ stopS: 500, drawn: () => 0, soundS: 30 });
    expect(water.pumped).toBeCloseTo(water.truth, 2);
    expect(water.pumpedStd).toBeLessThan(0.02 * water.truth);
  });

  it('is that and what is drawn all along, before the run and after it', () => {
    const water = judged({ stopS: 800, drawn: () => 0.1, soundS: 30 });
    expect(Math.abs(water.pumped / water.truth - 1)).toBeLessThan(0.05);
    holds(water);
  });

  it('finds when the tap was shut by the flow being one before and after', () => {
    for (const shutS of [260, 500, 700]) {
      const water = judged({ stopS: 800, drawn: (t) => (t < shutS ? 0.12 : 0), soundS: 20 });
      expect(Math.abs(water.pumped / water.truth - 1)).toBeLessThan(0.15);
      holds(water);
    }
  });

  it('holds the truth with a wide range where a tap was opened and shut within the run', () => {
    const drawn = (t: number): number => 0.05 + (t > 400 && t < 500 ? 0.08 : 0);
    const water = judged({ stopS: 800, drawn, soundS: 20 });
    holds(water);
  });

  it('never exceeds a sound pump, nor falls below what the tank took', () => {
    const { window } = windowOf({ stopS: 400, drawn: () => 2, soundS: 0 });
    const asked = { window, startS: START_S, stopS: 400, spells: [START_S, 400] };
    const most = weakWater({ ...asked, soundPerMin: SOUND })!.pumped;
    expect(most).toBeLessThanOrEqual((SOUND * 200) / 60 + 1e-9);
    expect(weakWater({ ...asked, soundPerMin: 0 })!.pumped).toBeGreaterThanOrEqual(0);
  });

  it('is not known without the rest beside the run', () => {
    const { window } = windowOf({ stopS: 400, drawn: () => 0, soundS: 0 });
    const asked = { window, spells: [2, 90], soundPerMin: SOUND };
    expect(weakWater({ ...asked, startS: 1, stopS: 90 })).toBeNull();
    expect(weakWater({ ...asked, startS: 450, stopS: 499 })).toBeNull();
  });
});
