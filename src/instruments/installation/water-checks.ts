import type { InstallationResult } from '../../model/installation.ts';
import { headLossHazenWilliamsM } from '../../physics/hydraulics/head-loss-hazen-williams.ts';
import { minorLossM } from '../../physics/hydraulics/minor-loss.ts';
import { FOOT_M, FORMULA_HEAD, HEAD_PA_PER_M } from './constants.ts';
import { fittings, pipeInputs, pipeLossM } from './pipe.ts';
import { operatingFlowM3PerS, pumpOf } from './pump-head.ts';
import { atMost, fromResult, type Given, worked } from './result.ts';
import type { Site } from './site.ts';

/** Delivery, total head and what the pipe costs of it: the flow of a rested well. */
export function waterChecks(site: Site) {
  const atCutIn = delivery(site, 'cut-in', site.get('cutInPaGauge'));
  const atMiddle = delivery(site, 'middle', middle(site));
  const atCutOut = delivery(site, 'cut-out', site.get('cutOutPaGauge'));
  const friction = pipeFriction(site, atMiddle);
  const minor = minorLosses(site, atMiddle);
  const speed = pipeSpeed(site, atMiddle);
  const total = totalHead(site, { friction, minor });
  const list = [atCutIn, atMiddle, atCutOut, friction, minor, speed, total];
  return { list, atMiddle, atCutOut, total, friction, minor };
}

/** Half way between cut-in and cut-out. */
function middle(site: Site): Given {
  const cutIn = site.get('cutInPaGauge');
  const cutOut = site.get('cutOutPaGauge');
  if ('needs' in cutIn || 'needs' in cutOut) {
    return { needs: [cutIn, cutOut].flatMap((one) => ('needs' in one ? one.needs : [])) };
  }
  return {
    ...cutIn,
    what: 'half way from cut-in to cut-out',
    value: (cutIn.value + cutOut.value) / 2,
    std: Math.hypot(cutIn.std, cutOut.std) / 2,
  };
}

const HEAD_FORMULA = {
  us: `s * Hpump(Q) = z + e + ${FORMULA_HEAD.us} * p + hf(Q) + hm(Q)`,
  si: `s * Hpump(Q) = z + e + ${FORMULA_HEAD.si} * p + hf(Q) + hm(Q)`,
};

function delivery(site: Site, at: string, p: Given): InstallationResult {
  const pump = pumpOf(site);
  type Inputs = 'z' | 'e' | 'p' | 'L' | 'd' | 'C' | 'K' | 's' | 'power' | 'rated';
  const { spread, ...plate } = pump.inputs;
  const inputs = {
    z: site.restedLevel(),
    e: site.teeHeight(),
    p,
    ...pipeInputs(site),
    K: fittings(),
    s: spread,
    ...plate,
  } as Record<Inputs, Given>;
  type Figures = Record<Inputs, number>;
  const asksM = (flow: number, x: Figures) => x.z + x.e + x.p / HEAD_PA_PER_M + pipeLossM(flow, x);
  return worked({
    id: `delivery-at-${at}`,
    title: at === 'middle' ? 'Operating point, mid band' : `Delivery at ${at}`,
    formula: HEAD_FORMULA,
    solved: true,
    source: `${pump.source} hf by Hazen-Williams, hm = K v2/(2 g), EPANET 2 manual.`,
    kind: 'flow',
    inputs,
    value: (x) => operatingFlowM3PerS(pump.head(x), x.s, (flow) => asksM(flow, x)),
    sides: (flow, x) => ({ value: asksM(flow, x), kind: 'length' }),
    says: {
      good: 'Well rested; a level drawn down takes head away foot for foot.',
      none: 'The pump cannot make this pressure, or its curve ends before this flow.',
    },
    acts: [],
  });
}

function pipeFriction(site: Site, flow: InstallationResult): InstallationResult {
  return worked({
    id: 'pipe-friction',
    title: 'Friction in the pipe',
    formula: {
      us: 'hf = 10.46 * L * Q^1.852 / (C^1.852 * d^4.871)',
      si: 'hf = 6194000 * L * Q^1.852 / (C^1.852 * d^4.871)',
    },
    source: 'Hazen-Williams, EPANET 2 manual, Table 3.1.',
    kind: 'length',
    inputs: { Q: fromResult(flow), ...pipeInputs(site) },
    value: ({ Q, L, d, C }) =>
      headLossHazenWilliamsM({ flowM3PerS: Q, coefficient: C, insideDiameterM: d, lengthM: L }),
    says: { good: 'Part of the total head.' },
    acts: [],
  });
}

function minorLosses(site: Site, flow: InstallationResult): InstallationResult {
  return worked({
    id: 'minor-losses',
    title: 'Minor losses in fittings',
    formula: {
      us: 'hm = K * (0.4085 * Q / d^2)^2 / 64.35',
      si: 'hm = K * (21.22 * Q / d^2)^2 / 19.61',
    },
    source: 'hm = K v2/(2 g), EPANET 2 manual, equation 3.2 and Table 3.3.',
    kind: 'length',
    inputs: { Q: fromResult(flow), d: site.get('pipeInsideDiameterM'), K: fittings() },
    value: ({ Q, d, K }) => minorLossM({ coefficient: K, flowM3PerS: Q, insideDiameterM: d }),
    says: { good: 'Part of the total head.' },
    acts: [],
  });
}

function pipeSpeed(site: Site, flow: InstallationResult): InstallationResult {
  return worked({
    id: 'pipe-speed',
    title: 'Speed in the pipe',
    formula: { us: 'v = 0.4085 * Q / d^2', si: 'v = 21.22 * Q / d^2' },
    source: 'Flow over area.',
    kind: 'speed',
    inputs: { Q: fromResult(flow), d: site.get('pipeInsideDiameterM') },
    value: ({ Q, d }) => (4 * Q) / (Math.PI * d * d),
    limit: atMost(5 * FOOT_M, 'at most 5 ft/s in house pipes', 'common practice'),
    says: {
      good: 'No undue friction or hammer from speed.',
      bad: 'The pipe is narrow for this pump: friction and hammer. Wider when it is next out.',
    },
    acts: ['open-well'],
  });
}

function totalHead(
  site: Site,
  { friction, minor }: { friction: InstallationResult; minor: InstallationResult },
): InstallationResult {
  return worked({
    id: 'total-head',
    title: 'Total dynamic head, mid band',
    formula: {
      us: `H = z + e + ${FORMULA_HEAD.us} * p + hf + hm`,
      si: `H = z + e + ${FORMULA_HEAD.si} * p + hf + hm`,
    },
    source: 'Lift, tee pressure and losses added: Crane TP-410, chapter 7.',
    kind: 'length',
    inputs: {
      z: site.restedLevel(),
      e: site.teeHeight(),
      p: middle(site),
      hf: fromResult(friction),
      hm: fromResult(minor),
    },
    value: ({ z, e, p, hf, hm }) => z + e + p / HEAD_PA_PER_M + hf + hm,
    says: { good: 'What the pump must make at the operating point, well rested.' },
    acts: [],
  });
}
