import { type Hypothesis, is, ofFullRuns, psi } from './hypothesis.ts';
import { alike } from './sensor-hypotheses.ts';

const CHATTERS = {
  peak: 'any',
  restarts: 'any',
  jitter: 'any',
  'amps-slope': 'any',
  delivery: 'any',
  roughness: 'any',
} as const;

/** The pressure switch. */
export const SWITCH_HYPOTHESES: readonly Hypothesis[] = [
  is('switch-nipple-plugged', 0.03, ({ now }) =>
    ofFullRuns(now, {
      restarts: 'any',
      'cut-out': psi(1.3, 16),
      'cut-in': psi(-12, 1),
      'set-spread': 'any',
      dip: 'any',
      'after-stop': psi(-1, 8),
      'run-length': 'any',
      fade: 'any',
      roughness: 'any',
    }),
  ),
  is('switch-drift', 0.03, ({ now }) =>
    ofFullRuns(now, {
      restarts: 'any',
      'cut-in': alike(now['cut-out'], 1.6, 12),
      'cut-out': [psi(-12, -1.6), psi(1.6, 12)],
      'run-length': 'any',
    }),
  ),
  is('switch-drift', 0.02, ({ now }) =>
    ofFullRuns(now, {
      restarts: 'any',
      'cut-in': [psi(-12, -1.6), psi(1.6, 12)],
      'run-length': 'any',
    }),
  ),
  is('switch-drift', 0.02, ({ now }) =>
    ofFullRuns(now, {
      'cut-out': [psi(-7, -1.6), psi(1.6, 7)],
      'run-length': 'any',
    }),
  ),
  is('switch-chatter', 0.02, {
    ...CHATTERS,
    breaks: 'any',
    dip: psi(-1, 6),
    'cut-in': psi(-2, 2),
    trips: 'any',
    flickers: [0.08, 1],
    // Contacts that let go do so at any pressure.
    'cut-out': psi(-25, 2),
    'start-amps': 'any',
    'run-length': 'any',
    'set-spread': 'any',
    fill: 'any',
    fade: 'any',
    'after-stop': 'any',
    stalls: 'any',
  }),
  is('switch-chatter', 0.02, {
    ...CHATTERS,
    breaks: 'any',
    dip: psi(-1, 6),
    'cut-in': psi(-2, 2),
    trips: 'any',
    'start-amps': [0.12, 2.2],
  }),
  is('switch-chatter', 0.02, {
    ...CHATTERS,
    breaks: [0.05, 1],
    flickers: 'any',
    'start-amps': 'any',
  }),
];
