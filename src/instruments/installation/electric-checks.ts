import type { InstallationResult } from '../../model/installation.ts';
import { conductorResistanceOhm } from '../../physics/electrics/conductor-resistance.ts';
import { assumed, atMost, fromResult, type Given, worked } from './result.ts';
import type { Site } from './site.ts';

export function electricChecks(site: Site): InstallationResult[] {
  const resistance = cableResistance(site);
  return [resistance, dropAtRun(site, resistance), dropAtStart(site, resistance)];
}

/** Loaded and lying partly above the water. */
const CONDUCTOR_K = 313.15;

function cableResistance(site: Site): InstallationResult {
  return worked({
    id: 'cable-resistance',
    title: 'Cable, there and back',
    formula: {
      us: 'R = 2 * 0.005255 * (1 + 0.002183 * (T - 68)) * L / A',
      si: 'R = 2 * 0.017241 * (1 + 0.00393 * (T - 20)) * L / A',
    },
    source: 'Copper, IEC 60028; 40 degC comes within 2 % of what makers print for drop cable.',
    kind: 'resistance',
    inputs: {
      A: site.get('cableAreaM2'),
      L: site.get('cableLengthM'),
      T: assumed('conductor', CONDUCTOR_K, {
        std: 12,
        kind: 'temperature',
        because: 'drop cable at load, partly above the water',
      }),
    },
    value: ({ A, L, T }) => 2 * conductorResistanceOhm({ areaM2: A, lengthM: L, temperatureK: T }),
    says: { good: 'For the voltage drop.' },
    acts: [],
  });
}

/** Two conductors of three carry a balanced three-phase current: sqrt(3) R for one, not 2 R. */
function loop(site: Site): Given {
  const { phases, motor } = site.equipment;
  const isThree = site.isThreePhase;
  const isTold = phases !== null || motor !== null;
  return assumed('share of the loop', isThree ? Math.sqrt(3) / 2 : 1, {
    std: 0,
    kind: 'number',
    because: isThree ? 'three-phase: sqrt(3)/2' : isTold ? 'single-phase' : 'taken as single-phase',
  });
}

function dropAtRun(site: Site, resistance: InstallationResult): InstallationResult {
  return worked({
    id: 'cable-drop-run',
    title: 'Voltage drop, running',
    formula: 'D = 100 * g * I * R / U',
    source: 'Ohm; NFPA 70 Chapter 9 for the resistance, its advice of 5 % in all.',
    kind: 'fraction',
    inputs: {
      g: loop(site),
      I: site.runningCurrent(),
      R: fromResult(resistance),
      U: site.get('voltageV'),
    },
    value: ({ g, I, R, U }) => (g * I * R) / U,
    limit: atMost(0.05, 'at most 5 %', 'NFPA 70, 210.19(A) note (advice); trade press'),
    says: { good: 'The motor gets its voltage, if the panel has it.', bad: THIN_CABLE },
    acts: ['electrician', 'open-well'],
  });
}

const THIN_CABLE =
  'The cable is thin for its length: the motor runs hot and may not start. Have a licensed ' +
  'electrician or pump installer measure the voltage at the control box with the pump running.';

function dropAtStart(site: Site, resistance: InstallationResult): InstallationResult {
  return worked({
    id: 'cable-drop-start',
    title: 'Voltage drop, starting',
    formula: 'D = 100 * g * k * I * R / (U + g * k * I * R)',
    source: 'Ohm; the standing motor as a fixed impedance in line with its cable.',
    kind: 'fraction',
    inputs: {
      g: loop(site),
      k: assumed('starting over running current', 5, {
        std: 0.9,
        kind: 'number',
        because: '3 to 6 times, US Army TM 5-3820-256',
      }),
      I: site.runningCurrent(),
      R: fromResult(resistance),
      U: site.get('voltageV'),
    },
    value: ({ g, k, I, R, U }) => (g * k * I * R) / (U + g * k * I * R),
    limit: atMost(0.2, 'at most 20 %: that leaves 64 % of the torque', 'common practice'),
    says: { good: 'Enough voltage to start, if the panel has it.', bad: THIN_CABLE },
    acts: ['electrician', 'open-well'],
  });
}
