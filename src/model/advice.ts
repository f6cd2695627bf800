import type { Action } from './cautions.ts';
import type { FaultName } from './faults.ts';
import type { TestName, Urgency } from './study.ts';

/** What to do about a fault: the one test that decides, the act, and the acts it speaks of. */
export interface Advice {
  urgency: Urgency;
  nextTest: TestName | null;
  action: string;
  acts: readonly Action[];
}

/** Advice for the faults that need no baseline. Common practice of the trade. */
export const ADVICE: Partial<Record<FaultName, Advice>> = {
  'pressure-wire-open': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Look at the plug and wire of the pressure sensor; no statement on pressure holds ' +
      'until it is back.',
    acts: ['fit-pressure-sensor'],
  },
  'pressure-wire-short': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Look for a crushed or wet wire at the pressure sensor; no statement on pressure ' +
      'holds until it is mended.',
    acts: ['fit-pressure-sensor'],
  },
  'adc-stuck': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Restart the device and look at the wires of its converter; the stuck channel is ' +
      'left out meanwhile.',
    acts: ['read-results'],
  },
  'clock-jump': {
    urgency: 'note',
    nextTest: null,
    action:
      'Nothing to do if it was a restart; else see that the device gets its time from the network.',
    acts: ['read-results'],
  },
  'data-gap': {
    urgency: 'note',
    nextTest: 'look',
    action:
      'See whether the device, its power supply or the network was down; water used in ' +
      'the gap is not known.',
    acts: ['read-results'],
  },
  'current-clamp-off': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Have the current transformer put back over one pump conductor; runs are found from ' +
      'pressure meanwhile.',
    acts: ['fit-current-clamp'],
  },
  'sampling-too-slow': {
    urgency: 'note',
    nextTest: null,
    action:
      'Let the device report every second while the pump runs; until then starts and ' +
      'stops are known to within an interval.',
    acts: ['read-results'],
  },
  'rotor-locked': {
    urgency: 'now',
    nextTest: 'electrician',
    action:
      'Turn the pump breaker off and leave it off; call a licensed pump installer or electrician.',
    acts: ['reset-breaker', 'open-well'],
  },
  'switch-welded': {
    urgency: 'now',
    nextTest: 'electrician',
    action:
      'Turn the pump breaker off now; have the pressure switch and its tube seen to ' +
      'before it runs again.',
    acts: ['work-on-switch', 'see-to-relief'],
  },
  'switch-no-start': {
    urgency: 'now',
    nextTest: 'look',
    action:
      'See whether the house has power and the pump breaker is on; if it has tripped, set ' +
      'it back once at most, then call.',
    acts: ['reset-breaker', 'work-on-switch'],
  },
  'running-dry': {
    urgency: 'now',
    nextTest: 'sounding',
    action:
      'Turn the pump off and let the well rest for an hour or two; do not restart it again and ' +
      'again. Call a contractor if it comes back.',
    acts: ['open-well', 'reset-breaker'],
  },
  'cut-out-unreachable': {
    urgency: 'today',
    nextTest: 'sounding',
    action:
      'Use little water and let the well rest with the pump off at its breaker for an hour or ' +
      'two; a pump that cannot reach cut-out heats up. Call a contractor if it does not recover.',
    acts: ['open-well', 'work-on-switch'],
  },
  'heavy-use': {
    urgency: 'note',
    nextTest: 'look',
    action:
      'See whether irrigation or a hose is open on purpose. If nothing is, look for a burst pipe ' +
      'and close the house valve when it is found.',
    acts: ['close-house-valve', 'after-flood'],
  },
  'tank-waterlogged': {
    urgency: 'today',
    nextTest: 'precharge',
    action:
      'Use little water until the air charge of the tank has been checked: so many starts ' +
      'wear out the motor.',
    acts: ['adjust-tank-air', 'replace-tank'],
  },
};
