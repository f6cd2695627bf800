import type { TestName } from '../model/study.ts';
import type { QuantityKind } from '../units/kinds.ts';

/** Tests that can be made step by step; the others are a visit of somebody. */
export const GUIDED = [
  'bucket',
  'isolation',
  'precharge',
  'drain',
  'fill',
  'throttle',
  'recovery',
  'sounding',
] as const satisfies readonly TestName[];
export type GuidedTest = (typeof GUIDED)[number];

/** What the readings must show before a step is over, and for how long [s]. */
export type Watch =
  /** Nothing can be seen: whoever does it says so. */
  | { kind: 'hand' }
  /** The pump has stood still and no water was drawn. */
  | { kind: 'rest'; forS: number }
  /** Water is drawn. */
  | { kind: 'draw' }
  /** No water is drawn. */
  | { kind: 'still'; forS: number }
  /** The tank has given all its water. */
  | { kind: 'empty' }
  /** So much time has passed in this step. */
  | { kind: 'lasts'; forS: number }
  /** The pump has run without a stop. */
  | { kind: 'runs'; forS: number }
  /** The pump has started and stopped so often. */
  | { kind: 'fills'; times: number }
  /** The pump has filled the tank: its breaker is on again. */
  | { kind: 'full-again' };

/** What has to be typed in, as it stands in the table of the test. */
export interface Asks {
  key: string;
  kind: QuantityKind | readonly string[];
  isNeeded: boolean;
  /** One for each steady pressure, which the readings tell. */
  isPoint?: boolean;
}

export interface GuideStep {
  /** Which step of `OWNER_TESTS` it belongs to: its words and cautions stand beside it. */
  of: number;
  watch: Watch;
  /** The moment of the test that it gives: that of its end, or from which it is seen to hold. */
  marks?: string;
  /** From here on the pump cannot start, until its breaker is seen to be on again. */
  breakerOff?: true;
  asks?: readonly Asks[];
}

const hand = (of: number, more: Omit<GuideStep, 'of' | 'watch'> = {}): GuideStep => ({
  of,
  watch: { kind: 'hand' },
  ...more,
});
/** Five minutes, and what a watch may be off. */
const REST_S = 310;
const WINDOW_S = 1800;
const FULL: Watch = { kind: 'full-again' };
const POINT: Asks = { key: 'points', kind: 'flow', isNeeded: true, isPoint: true };
const needed = (key: string, kind: Asks['kind']): Asks => ({ key, kind, isNeeded: true });

/**
 * How the steps of each test are followed. The words are those of `OWNER_TESTS`; rests of five
 * minutes, windows of thirty and hours of recovery are theirs, too.
 */
export const GUIDES: Record<GuidedTest, readonly GuideStep[]> = {
  bucket: [
    { of: 0, watch: { kind: 'rest', forS: REST_S } },
    hand(1, { breakerOff: true }),
    { of: 2, watch: { kind: 'draw' }, marks: 'start' },
    {
      of: 3,
      watch: { kind: 'still', forS: REST_S },
      marks: 'stop',
      asks: [needed('volume', 'volume')],
    },
    { of: 4, watch: FULL },
  ],
  isolation: [
    hand(0),
    { of: 1, watch: { kind: 'rest', forS: REST_S } },
    hand(2, { marks: 'shut-start' }),
    { of: 2, watch: { kind: 'lasts', forS: WINDOW_S }, marks: 'shut-stop' },
    hand(3, { marks: 'open-start' }),
    { of: 3, watch: { kind: 'lasts', forS: WINDOW_S }, marks: 'open-stop' },
  ],
  precharge: [
    hand(0),
    hand(1, { marks: 'start', breakerOff: true }),
    { of: 2, watch: { kind: 'empty' } },
    hand(3, { marks: 'stop', asks: [needed('pressure', 'pressure')] }),
    hand(4),
    { of: 5, watch: FULL },
    hand(6),
  ],
  drain: [
    hand(0),
    { of: 1, watch: { kind: 'rest', forS: 60 } },
    hand(2, { marks: 'start', breakerOff: true }),
    { of: 3, watch: { kind: 'empty' } },
    {
      of: 4,
      watch: { kind: 'lasts', forS: REST_S },
      marks: 'stop',
      asks: [{ key: 'volume', kind: 'volume', isNeeded: false }],
    },
    { of: 5, watch: FULL },
    hand(6),
  ],
  fill: [
    hand(0),
    hand(1),
    hand(2, { marks: 'start' }),
    { of: 3, watch: { kind: 'fills', times: 3 } },
    hand(4, { marks: 'stop' }),
  ],
  throttle: [
    hand(0),
    { of: 1, watch: { kind: 'runs', forS: 60 }, marks: 'start' },
    hand(2, { asks: [POINT] }),
    hand(3, { marks: 'stop', asks: [POINT] }),
  ],
  recovery: [
    hand(0, { marks: 'start' }),
    {
      of: 1,
      watch: { kind: 'lasts', forS: WINDOW_S },
      marks: 'stop',
      asks: [needed('flow', 'flow')],
    },
    { of: 2, watch: { kind: 'lasts', forS: 7200 } },
  ],
  sounding: [
    hand(0, {
      marks: 'start',
      asks: [needed('level', 'length'), needed('pump', ['resting', 'running'])],
    }),
  ],
};
