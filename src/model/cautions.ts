import type { TestName } from './study.ts';

/**
 * What is said beside an act that can hurt. Common practice of the trade; NFPA 70 and 70E,
 * NSF/ANSI/CAN 61 and 372 and the health department are named where they rule. Local codes and
 * licensed practice come first everywhere.
 */
export const CAUTIONS = {
  'mains-by-electrician':
    'The pump circuit carries mains voltage and can kill. Anything inside the panel, the ' +
    'pressure switch or the control box is for a licensed electrician or pump installer, to ' +
    'NFPA 70 or the local code. Capacitors keep their charge after the power is off.',
  'breaker-off-and-tested':
    'Before anyone touches the pump wiring: breaker off, locked and tagged, then tested dead ' +
    'with a meter known to work (NFPA 70E).',
  'breaker-reset-once':
    'If the breaker has tripped, set it back once at most. If it trips again leave it off and ' +
    'call. Never bridge an overload, a ground-fault device or a low-pressure cut-off. A switch ' +
    'or breaker discoloured by heat stays off; with a tingle at a tap, stay away from the water ' +
    'and call.',
  'transformer-secondary-closed':
    'Clip a split-core transformer over one insulated hot conductor only. Never open the ' +
    'secondary of a current-output transformer while its conductor is live: the voltage there ' +
    'can kill. Use listed equipment with its burden built in, and keep its wires apart from the ' +
    'mains.',
  'tank-drained-power-off':
    'Touch the air valve or a fitting of the tank only with the breaker off and the water side ' +
    'drained to zero pressure. A tank full of water is heavy, about 8 lb for each gallon.',
  'heater-off-before-draining':
    'Turn the water heater off (its power, or its gas to pilot) before the plumbing is drained, ' +
    'and on again only when it is full: a dry element burns out.',
  'relief-works-first':
    'Before the house valve is closed with the pump live, be sure that a working relief valve ' +
    'stands between pump and valve, set no higher than the tank is rated for. Without one, do ' +
    'not make this test.',
  'never-close-off-a-running-pump':
    'Never shut a running pump in: it heats its water within a minute and can pass what pipe ' +
    'and tank bear. Water from a hot pump scalds. Keep an outlet open, or the switch in charge.',
  'never-plug-relief':
    'Never plug, cap or valve off a relief valve or its outlet. One that opens tells of too ' +
    'much pressure: find out why.',
  'tank-rating':
    'Never put more air or water pressure on the tank than its label allows, and never drill or ' +
    'weld one. Bursting tanks have killed people.',
  'breaker-back-on':
    'Turn the breaker back on when the test is done, and see the pressure rise to cut-out.',
  'potable-fittings':
    'Whatever touches the water, a sensor included, is certified for drinking water ' +
    '(NSF/ANSI/CAN 61, lead-free to NSF/ANSI/CAN 372).',
  'disinfect-and-sample':
    'After the well, the pump or the plumbing was open, or flooded: disinfect as the health ' +
    'department says, flush, and have the water tested before anyone drinks it. Never mix ' +
    'bleach with acid or ammonia; lead it round a softener or carbon filter.',
  'stay-out-of-pits':
    'Do not enter a well pit or any closed space round a well: air there can be without oxygen ' +
    'or hold methane, hydrogen sulphide or carbon monoxide, and kills without a sign. That is a ' +
    "contractor's work, aired, with a second person outside.",
  'flood-stay-away':
    'Keep away from a flooded well, pump or cellar while its power can be on: no wading, no ' +
    'switching. Have it checked first.',
  'gas-ignition':
    'Well gas can burn and explode (methane at 5 to 15 % in air). No flame, smoking or sparks ' +
    'at an open well, and the casing vents outdoors. At a smell of gas leave, then call.',
  'thaw-gently':
    'Breaker off before thawing: a pump that works against ice is shut in and can melt its ' +
    'pipe. Warm air or listed heat tape only, with a tap open. Never a flame.',
  'hose-backflow':
    'A hose end stays above the water it fills, or has a backflow preventer: a fall of pressure ' +
    'can suck what is in the bucket or tub back into the drinking water.',
  'generator-outdoors':
    'A generator runs outdoors, away from openings, with a carbon monoxide alarm in the house, ' +
    'and feeds the pump through a transfer switch only: backfeeding kills line workers.',
  'advisory-only':
    'This is advice from two sensors. It does not protect the motor and cannot judge the water: ' +
    'overload, dry-run cut-off and relief valve must be there on their own. Local codes and ' +
    'licensed practice come first.',
} as const satisfies Record<string, string>;

export type CautionId = keyof typeof CAUTIONS;

/** Acts besides the tests that the tool may ask for or speak of. */
export type Action =
  | 'read-results'
  | 'reset-breaker'
  | 'work-on-switch'
  | 'fit-pressure-sensor'
  | 'fit-current-clamp'
  | 'compare-pressure-gauge'
  | 'check-pressure-zero'
  | 'read-clamp-meter'
  | 'adjust-tank-air'
  | 'replace-tank'
  | 'see-to-relief'
  | 'close-house-valve'
  | 'open-well'
  | 'enter-pit'
  | 'thaw'
  | 'run-generator'
  | 'after-flood';

/** The cautions each act must carry, wherever it is named. */
export const ACT_CAUTIONS: Record<TestName | Action, readonly CautionId[]> = {
  bucket: ['breaker-back-on', 'hose-backflow'],
  isolation: ['relief-works-first', 'never-close-off-a-running-pump'],
  precharge: [
    'tank-drained-power-off',
    'tank-rating',
    'heater-off-before-draining',
    'breaker-back-on',
  ],
  drain: ['heater-off-before-draining', 'hose-backflow', 'breaker-back-on'],
  fill: ['relief-works-first', 'never-close-off-a-running-pump', 'never-plug-relief'],
  throttle: ['never-close-off-a-running-pump', 'relief-works-first', 'hose-backflow'],
  recovery: ['hose-backflow'],
  sounding: ['disinfect-and-sample', 'stay-out-of-pits', 'gas-ignition'],
  electrician: ['mains-by-electrician', 'breaker-off-and-tested', 'breaker-reset-once'],
  look: ['mains-by-electrician', 'stay-out-of-pits', 'flood-stay-away'],
  'read-results': ['advisory-only'],
  'reset-breaker': ['breaker-reset-once'],
  'work-on-switch': ['mains-by-electrician', 'breaker-off-and-tested', 'tank-drained-power-off'],
  'fit-pressure-sensor': [
    'tank-drained-power-off',
    'heater-off-before-draining',
    'potable-fittings',
    'disinfect-and-sample',
  ],
  'fit-current-clamp': [
    'mains-by-electrician',
    'breaker-off-and-tested',
    'transformer-secondary-closed',
  ],
  'compare-pressure-gauge': ['never-close-off-a-running-pump', 'hose-backflow'],
  'check-pressure-zero': [
    'tank-drained-power-off',
    'heater-off-before-draining',
    'breaker-back-on',
  ],
  'read-clamp-meter': ['mains-by-electrician', 'transformer-secondary-closed'],
  'adjust-tank-air': [
    'tank-drained-power-off',
    'tank-rating',
    'heater-off-before-draining',
    'breaker-back-on',
  ],
  'replace-tank': [
    'tank-drained-power-off',
    'heater-off-before-draining',
    'tank-rating',
    'potable-fittings',
    'disinfect-and-sample',
  ],
  'see-to-relief': ['never-plug-relief', 'tank-rating'],
  'close-house-valve': ['relief-works-first', 'never-close-off-a-running-pump'],
  'open-well': [
    'mains-by-electrician',
    'breaker-off-and-tested',
    'potable-fittings',
    'disinfect-and-sample',
    'gas-ignition',
    'stay-out-of-pits',
  ],
  'enter-pit': ['stay-out-of-pits', 'gas-ignition', 'flood-stay-away'],
  thaw: ['thaw-gently', 'never-close-off-a-running-pump'],
  'run-generator': ['generator-outdoors', 'mains-by-electrician'],
  'after-flood': ['flood-stay-away', 'disinfect-and-sample', 'mains-by-electrician'],
};
