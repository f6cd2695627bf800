import type { InstallationResult } from '../../model/installation.ts';
import { FOOT_M, FORMULA_HEAD, HEAD_PA_PER_M, PSI_PA } from './constants.ts';
import { pumpOf } from './pump-head.ts';
import { assumed, atLeast, atMost, type Check, fromResult, type Given, worked } from './result.ts';
import type { Site } from './site.ts';

/** What the pump makes when nothing flows, and the level it reaches down to. */
export function shutOffChecks(site: Site): InstallationResult[] {
  const head = shutOffHead(site);
  const pressure = shutOffPressure(site, head);
  return [
    head,
    pressure,
    reachOfCutOut(site, pressure),
    deepestLevel(site, head),
    overIntake(site),
  ];
}

function shutOffHead(site: Site): InstallationResult {
  const pump = pumpOf(site);
  type Inputs = 's' | 'power' | 'rated';
  const { spread, ...plate } = pump.inputs;
  const value: Check<Inputs>['value'] = (x) => x.s * pump.head(x).headM(0);
  return worked({
    id: 'shut-off-head',
    title: 'Shut-off head of the pump',
    formula: 'H0 = s * Hpump(0)',
    solved: true,
    source: pump.source,
    kind: 'length',
    inputs: { s: spread, ...plate } as Record<Inputs, Given>,
    value,
    says: {
      good: 'What the pump makes with everything shut. Never shut a pump in to measure it.',
      none: 'The curve does not begin at no flow, or the pump is outside the sizes of the table.',
    },
    acts: [],
  });
}

function shutOffPressure(site: Site, head: InstallationResult): InstallationResult {
  const { tankRatedPaGauge } = site.equipment;
  const limit =
    tankRatedPaGauge === null
      ? null
      : atMost(tankRatedPaGauge.value, 'at most what the tank is rated for', 'tank label');
  return worked({
    id: 'shut-off-pressure',
    title: 'Shut-off pressure at the tee',
    formula: {
      us: `p0 = (H0 - z - e) / ${FORMULA_HEAD.us}`,
      si: `p0 = (H0 - z - e) / ${FORMULA_HEAD.si}`,
    },
    source: 'Shut-off head less the lift.',
    kind: 'pressure',
    inputs: { H0: fromResult(head), z: site.restedLevel(), e: site.teeHeight() },
    value: ({ H0, z, e }) => (H0 - z - e) * HEAD_PA_PER_M,
    limit,
    says: {
      good:
        limit === null
          ? 'What a switch that sticks would let the pump make; tank.rated_pressure is not told.'
          : 'Even a switch that sticks does not take the tank above its rating.',
      bad:
        'A switch that sticks takes the tank above its rating. Only a relief valve that passes ' +
        'the whole flow of the pump, with no valve before it, stands between.',
    },
    acts: ['see-to-relief', 'work-on-switch'],
  });
}

function reachOfCutOut(site: Site, shutOff: InstallationResult): InstallationResult {
  return worked({
    id: 'cut-out-reach',
    title: 'Spare pressure above cut-out',
    formula: 'r = p0 - pout',
    source: 'Trade press on sizing: the pump should be able to make 5 to 10 psi above cut-out.',
    kind: 'pressure',
    inputs: { p0: fromResult(shutOff), pout: site.get('cutOutPaGauge') },
    value: ({ p0, pout }) => p0 - pout,
    limit: atLeast(5 * PSI_PA, 'at least 5 psi', 'common practice'),
    says: {
      good: 'The rested well lets the pump reach cut-out.',
      bad:
        'The pump hardly reaches cut-out, or does not: it would run on and heat its water. Have ' +
        'the switch setting or the pump looked at.',
    },
    acts: ['work-on-switch', 'open-well'],
  });
}

function deepestLevel(site: Site, head: InstallationResult): InstallationResult {
  return worked({
    id: 'deepest-level',
    title: 'Deepest level for cut-out',
    formula: {
      us: `zmax = H0 - e - ${FORMULA_HEAD.us} * (pout + m)`,
      si: `zmax = H0 - e - ${FORMULA_HEAD.si} * (pout + m)`,
    },
    source: 'Shut-off head less cut-out and a margin.',
    kind: 'length',
    inputs: {
      H0: fromResult(head),
      e: site.teeHeight(),
      pout: site.get('cutOutPaGauge'),
      m: assumed('margin', 5 * PSI_PA, {
        std: 0,
        kind: 'pressure',
        because: 'common practice, 5 to 10 psi',
      }),
    },
    value: ({ H0, e, pout, m }) => H0 - e - (pout + m) / HEAD_PA_PER_M,
    says: { good: 'With the water drawn down below this the pump runs on and never cuts out.' },
    acts: [],
  });
}

function overIntake(site: Site): InstallationResult {
  return worked({
    id: 'water-over-intake',
    title: 'Water over the intake, rested',
    formula: 'w = i - z',
    source: 'Difference of depths.',
    kind: 'length',
    inputs: { i: site.get('intakeDepthM'), z: site.restedLevel() },
    value: ({ i, z }) => i - z,
    limit: atLeast(20 * FOOT_M, 'at least 20 ft', 'common practice, from memory'),
    says: {
      good: 'Room for the level to be drawn down.',
      bad: 'Little water stands over the pump: it may draw air. Lowering it is for a contractor.',
    },
    acts: ['open-well'],
  });
}
