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

/** Advice for every fault: what decides, what to do and what not. Common practice of the trade. */
export const ADVICE: Record<FaultName, Advice> = {
  'pressure-wire-open': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Look at the plug and wire of the pressure sensor; nothing said of pressure holds ' +
      'until it reads again.',
    acts: ['fit-pressure-sensor'],
  },
  'pressure-wire-short': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Look for a crushed or wet wire at the pressure sensor; nothing said of pressure ' +
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
      'it back once at most; if it trips again, leave it off and call an electrician.',
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
  'precharge-low': {
    urgency: 'weeks',
    nextTest: 'precharge',
    action:
      'Have the air charge checked with the tank empty and set to 2 psi below cut-in. If it ' +
      'is low again within weeks, the air valve or the bladder leaks.',
    acts: ['adjust-tank-air'],
  },
  'precharge-high': {
    urgency: 'weeks',
    nextTest: 'precharge',
    action:
      'Have the air charge checked with the tank empty and let down to 2 psi below cut-in: ' +
      'as it is, taps run dry for a moment before the pump starts.',
    acts: ['adjust-tank-air'],
  },
  'tank-isolated': {
    urgency: 'today',
    nextTest: 'look',
    action:
      'See whether the valve at the tank is open; after work on the plumbing it is often ' +
      'left shut. Use little water until it is.',
    acts: ['replace-tank'],
  },
  'tank-undersized': {
    urgency: 'weeks',
    nextTest: 'fill',
    action:
      'The pump is too big for this tank: its runs are shorter than the motor is made for. ' +
      'Ask the contractor about a larger tank.',
    acts: ['replace-tank'],
  },
  'leak-house': {
    urgency: 'weeks',
    nextTest: 'isolation',
    action:
      "Look at toilets, the water heater's relief outlet, hose taps and softener drain. " +
      'Closing the house valve for half an hour tells whether the water goes into the house ' +
      'or back down the well.',
    acts: ['close-house-valve'],
  },
  'leak-burst': {
    urgency: 'now',
    nextTest: 'isolation',
    action:
      'Look for running water at once. Close the house valve if water runs where it should ' +
      'not; leave a flooded room alone.',
    acts: ['close-house-valve', 'after-flood'],
  },
  'fixture-running': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Shut the stop valves of the toilets one after another and see which one stops it; ' +
      'dye in the cistern shows a leaking flapper.',
    acts: ['read-results'],
  },
  'relief-lifting': {
    urgency: 'today',
    nextTest: 'look',
    action:
      'See whether the relief valve discharges. It is the last guard of the tank: find out ' +
      'why pressure gets there, and have the valve replaced if it opens too early.',
    acts: ['see-to-relief'],
  },
  'check-valve-leak': {
    urgency: 'days',
    nextTest: 'isolation',
    action:
      'Close the house valve for half an hour. If pressure still falls, water runs back ' +
      'down the well: a contractor has to see to the check valve.',
    acts: ['close-house-valve', 'open-well'],
  },
  'leak-before-house-valve': {
    urgency: 'days',
    nextTest: 'isolation',
    action:
      'Close the house valve for half an hour. If pressure still falls, look for wet ground ' +
      'between well and house.',
    acts: ['close-house-valve', 'open-well'],
  },
  'drop-pipe-parted': {
    urgency: 'now',
    nextTest: 'look',
    action:
      'Turn the pump off. Listen at the well for falling water and call a contractor; the ' +
      'pump cannot deliver.',
    acts: ['reset-breaker', 'open-well'],
  },
  'level-falling-in-run': {
    urgency: 'days',
    nextTest: 'sounding',
    action:
      'Spread the use of water over the day and let the well rest between. Have the water ' +
      'level sounded, rested and pumping.',
    acts: ['open-well'],
  },
  'gas-in-water': {
    urgency: 'days',
    nextTest: 'look',
    action:
      "See whether the water is milky or spurts, also after a night's rest. Keep flames " +
      'away from the well cap and have a contractor look.',
    acts: ['open-well'],
  },
  'screen-clogged': {
    urgency: 'weeks',
    nextTest: 'sounding',
    action:
      "Have the static and the pumping level sounded and compared with the driller's log; a " +
      'clogged screen can be cleaned.',
    acts: ['open-well'],
  },
  'static-level-falling': {
    urgency: 'weeks',
    nextTest: 'sounding',
    action:
      'Have the water level sounded before anyone pulls the pump: a lower level and a worn ' +
      'pump look alike from above.',
    acts: ['open-well'],
  },
  'pump-worn': {
    urgency: 'weeks',
    nextTest: 'sounding',
    action:
      'Do not replace the pump yet: a lower water level looks the same from above. Have the ' +
      'level sounded first.',
    acts: ['open-well'],
  },
  'intake-clogged': {
    urgency: 'weeks',
    nextTest: 'throttle',
    action:
      'A throttle test shows whether something chokes the flow. See that the valves ' +
      'between well and tank stand fully open.',
    acts: ['open-well'],
  },
  'valve-part-shut': {
    urgency: 'weeks',
    nextTest: 'look',
    action: 'See that every valve between well and tank stands fully open.',
    acts: ['read-results'],
  },
  'pump-uncoupled': {
    urgency: 'now',
    nextTest: 'look',
    action:
      'Turn the pump off: its motor turns without lifting water. Call a contractor: the pump ' +
      'has to be pulled.',
    acts: ['reset-breaker', 'open-well'],
  },
  'pump-dragging': {
    urgency: 'today',
    nextTest: 'electrician',
    action:
      'Use little water and have the motor measured: it takes more current for the same ' +
      'work, as with sand or a failing bearing.',
    acts: ['open-well'],
  },
  'pump-changed': {
    urgency: 'note',
    nextTest: 'look',
    action:
      'If the pump was serviced, enter a service in the well file, so that a new baseline ' +
      'begins.',
    acts: ['read-results'],
  },
  'start-circuit-weak': {
    urgency: 'today',
    nextTest: 'electrician',
    action:
      'Have the start capacitor and relay checked soon, and find out why: too many starts ' +
      'wear them out.',
    acts: ['open-well'],
  },
  'run-capacitor-weak': {
    urgency: 'days',
    nextTest: 'electrician',
    action: 'Have the run capacitor measured: more than 10 % off its rating, it is replaced.',
    acts: ['work-on-switch'],
  },
  'overload-tripping': {
    urgency: 'today',
    nextTest: 'electrician',
    action:
      'Leave the breaker off until the cause is found: high current, low voltage or a dry ' +
      'run heats the motor until it trips.',
    acts: ['reset-breaker', 'open-well'],
  },
  'voltage-low': {
    urgency: 'days',
    nextTest: 'electrician',
    action:
      'Have the voltage measured at the box with the pump running: it belongs within 10 % ' +
      'of the nameplate.',
    acts: ['work-on-switch'],
  },
  'voltage-high': {
    urgency: 'days',
    nextTest: 'electrician',
    action:
      'Have the voltage measured at the box with the pump running: it belongs within 10 % ' +
      'of the nameplate.',
    acts: ['work-on-switch'],
  },
  'joint-hot': {
    urgency: 'today',
    nextTest: 'electrician',
    action:
      'Have the lugs and splices looked at: a loose joint gets hot. Discoloured parts stay ' +
      'switched off.',
    acts: ['work-on-switch', 'reset-breaker'],
  },
  'power-out': {
    urgency: 'today',
    nextTest: 'look',
    action:
      'See whether the house has power. Until it is back, the water in the tank is all there is.',
    acts: ['run-generator', 'reset-breaker'],
  },
  'switch-nipple-plugged': {
    urgency: 'today',
    nextTest: 'electrician',
    action:
      'Have the small tube below the pressure switch cleaned or replaced: the switch feels ' +
      'the pressure late and lets it climb too high.',
    acts: ['work-on-switch', 'see-to-relief'],
  },
  'switch-drift': {
    urgency: 'weeks',
    nextTest: 'look',
    action:
      'Compare with a gauge. If the switch has moved, have it set again, and the air of the ' +
      'tank with it.',
    acts: ['work-on-switch', 'compare-pressure-gauge'],
  },
  'switch-chatter': {
    urgency: 'today',
    nextTest: 'electrician',
    action: 'Have the pressure switch replaced soon: contacts that bounce arc and burn.',
    acts: ['work-on-switch'],
  },
  'water-hammer': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Listen for a bang when the pump stops or a tap shuts fast; a slamming check valve or ' +
      'a tank without air does that.',
    acts: ['open-well'],
  },
  frozen: {
    urgency: 'today',
    nextTest: 'look',
    action: "Warm the pipe or the switch's tube gently, with the breaker off and a tap open.",
    acts: ['thaw'],
  },
  'filter-plugged': {
    urgency: 'weeks',
    nextTest: 'look',
    action:
      'Bypass the filter or softener for a moment: if the taps run freely then, change its ' +
      'cartridge.',
    acts: ['read-results'],
  },
  'pressure-supply-sag': {
    urgency: 'weeks',
    nextTest: 'look',
    action:
      'See how the pressure sensor is supplied: its reading falls while the pump loads the ' +
      'supply. Read it against its own supply voltage.',
    acts: ['fit-pressure-sensor'],
  },
  'pressure-drift': {
    urgency: 'weeks',
    nextTest: 'look',
    action:
      'Compare the reading with a gauge at rest, and at zero when the tank is drained; then ' +
      'calibrate again.',
    acts: ['compare-pressure-gauge', 'check-pressure-zero'],
  },
  'pressure-port-plugged': {
    urgency: 'days',
    nextTest: 'look',
    action: 'Have the port of the pressure sensor cleaned: it follows the pressure late.',
    acts: ['fit-pressure-sensor'],
  },
  'current-clamp-gap': {
    urgency: 'weeks',
    nextTest: 'look',
    action:
      'See that the transformer is closed round one conductor, and compare with a clamp ' +
      'meter.',
    acts: ['fit-current-clamp', 'read-clamp-meter'],
  },
  'current-clipped': {
    urgency: 'weeks',
    nextTest: 'look',
    action:
      'The current channel is at the end of its range: choose another gain or transformer, ' +
      'or another burden, and calibrate again.',
    acts: ['fit-current-clamp'],
  },
  'unknown-trouble': {
    urgency: 'days',
    nextTest: 'look',
    action:
      'Something has changed that fits no known fault. Keep the log, look round the well ' +
      'and the tank, and show it to a contractor if it goes on.',
    acts: ['read-results'],
  },
};
