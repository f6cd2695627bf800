import { describe, expect, it } from 'vitest';
import { buildSystem } from '../../src/simulation/build-system.ts';
import {
  PSI_PA,
  WATER_KINEMATIC_M2_PER_S,
  WATER_PA_PER_M,
} from '../../src/simulation/constants.ts';
import { sound } from '../../src/simulation/faults/condition.ts';
import { Taps } from '../../src/simulation/household/taps.ts';
import type { PlantDesign } from '../../src/simulation/plant/design.ts';
import { pipeFrictionM } from '../../src/simulation/plant/pipe-friction.ts';
import { Plant } from '../../src/simulation/plant/plant.ts';
import { runEpanet } from './epanet.ts';

// EPANET 2.2 (US EPA, Open Water Analytics) by epanet-js 0.9: Darcy-Weisbach, L/s and m.
const OPTIONS = `
[OPTIONS]
Units LPS
Headloss D-W
Viscosity ${(WATER_KINEMATIC_M2_PER_S / 1.0219e-6).toFixed(6)}
Accuracy 0.00001
Trials 200
`;

/** A plant whose tank takes up heat at once, as a slow fill has it. */
function isothermal(letter: string, change: Partial<PlantDesign> = {}): Plant {
  const { design } = buildSystem(letter, 1);
  const tankHeat = { gasToWallWPerK: 1e5, wallJPerK: 1e8, wallToRoomWPerK: 1e5 };
  const calm = { roomDailyK: 0, switchScatterPa: 0, teeFriction: 1, ...change };
  const plant = new Plant({ ...design, tankHeat, ...calm }, new Taps(), {
    startS: 1.77e9,
    offsetS: 0,
    seed: 1,
  });
  plant.condition = sound();
  return plant;
}

const percent = (share: number) => `${(100 * share).toFixed(3)} %`;

const pipeLine = (plant: Plant) => {
  const { lengthM, insideDiameterM, roughnessM, minorLossK } = plant.design.riser;
  return `${lengthM} ${insideDiameterM * 1000} ${roughnessM * 1000} ${minorLossK} Open`;
};

/** The pump as a curve of many points at the speed it has now, L/s and m. */
function curve(plant: Plant): string {
  const { pump, speedRatio } = plant.drive;
  const rated = plant.design.pump.ratedFlowM3PerS;
  return Array.from({ length: 60 }, (_, i) => {
    const q = (i / 59) * 1.7 * rated;
    const head = pump.headM(q, speedRatio, { leakFactor: 1, diameterLoss: 0 });
    return `C1 ${(q * 1000).toFixed(6)} ${head.toFixed(6)}`;
  }).join('\n');
}

/** Runs with the pump on and a tap that holds the pressure, until nothing moves. */
function steady(plant: Plant, gpmShare: number): void {
  const rated = plant.design.pump.ratedFlowM3PerS;
  plant.taps.conductance = (gpmShare * rated) / Math.sqrt(50 * PSI_PA);
  while (!plant.running) plant.step(plant.longestStepS(1));
  plant.condition.welded = true;
  for (let i = 0; i < 4000; i++) plant.step(plant.longestStepS(1));
}

describe('against EPANET', () => {
  it.for(['B', 'C', 'D', 'F', 'G', 'I', 'K'])(
    'system %s runs at the same point',
    async (letter, { annotate }) => {
      const plant = isothermal(letter, { reliefPaGauge: 1e7 });
      steady(plant, 0.8);
      const tee = plant.design.teeAboveGroundM + plant.tee.pressurePa / WATER_PA_PER_M;
      const inp = `
[RESERVOIRS]
well ${-plant.levelM}
tee ${tee}
[JUNCTIONS]
top 0 0
bottom 0 0
[PIPES]
short top bottom 0.001 500 0.001 0 Open
riser bottom tee ${pipeLine(plant)}
[PUMPS]
P well top HEAD C1
[CURVES]
${curve(plant)}
${OPTIONS}
[END]
`;
      let flow = Number.NaN;
      let loss = Number.NaN;
      await runEpanet({
        inp,
        links: ['riser'],
        nodes: ['bottom', 'tee'],
        seen: ({ flowLps, headM }) => {
          flow = flowLps[0]! / 1000;
          loss = headM[0]! - headM[1]!;
          return false;
        },
      });
      expect(flow).toBeGreaterThan(1e-4);
      const flowApart = plant.riser.pumpM3PerS / flow - 1;
      const lossApart = pipeFrictionM(plant.design.riser, flow) / loss - 1;
      await annotate(`flow ${percent(flowApart)}, pipe loss ${percent(lossApart)}`);
      expect(Math.abs(flowApart)).toBeLessThan(0.001);
      expect(Math.abs(lossApart)).toBeLessThan(0.003);
    },
  );

  it.for(['B', 'D', 'F', 'J'])(
    'system %s fills its tank in the same time',
    async (letter, { annotate }) => {
      const plant = isothermal(letter, { pipeElasticityM3PerPa: 1e-14 });
      const { design } = plant;
      plant.taps.conductance = 2e-7;
      while (!plant.running) plant.step(plant.longestStepS(1));
      plant.taps.conductance = 0;
      // The level of the well stands still on both sides: EPANET knows no drawdown.
      const levelM = plant.levelM;
      const from = plant.tee.pressurePa + 2 * PSI_PA;
      const to = design.cutOutPaGauge - PSI_PA;
      const gasPaM3 = plant.tee.tank.gasPa * plant.tee.tank.gasM3;
      let fromS = Number.NaN;
      // The motor slips a little less and less as the pressure climbs: the curve of mid-fill.
      let midway = '';
      while (plant.tee.pressurePa < to) {
        if (Number.isNaN(fromS) && plant.tee.pressurePa >= from) fromS = plant.timeS;
        if (midway === '' && plant.tee.pressurePa > 0.5 * (from + to)) midway = curve(plant);
        plant.well.casingM = levelM - plant.staticM;
        plant.step(0.05);
      }
      const fillS = plant.timeS - fromS;
      // The tank as a vessel whose water level is its pressure head: V = Vt - C / (rho g h + pa).
      const water = (h: number) =>
        design.tankM3 - gasPaM3 / (h * WATER_PA_PER_M + design.atmospherePa);
      const low = from / WATER_PA_PER_M;
      const high = to / WATER_PA_PER_M;
      const volumes = Array.from({ length: 200 }, (_, i) => {
        const h = low + ((i - 2) / 190) * (high - low);
        return `V1 ${h.toFixed(5)} ${(water(h) * 1000).toFixed(6)}`;
      });
      const inp = `
[RESERVOIRS]
well ${-levelM}
[JUNCTIONS]
top 0 0
[TANKS]
tee ${design.teeAboveGroundM} ${low} ${low - (2 / 190) * (high - low) + 1e-4} ${high + 0.2} 1 0 V1
[PIPES]
riser top tee ${pipeLine(plant)}
[PUMPS]
P well top HEAD C1
[CURVES]
${midway}
${volumes.join('\n')}
${OPTIONS}
[TIMES]
Duration 100:00:00
Hydraulic Timestep 0:01:00
[END]
`;
      // EPANET steps by whole seconds: its tank is a thousand times ours, and fills as much slower.
      const headEnd = design.teeAboveGroundM + high;
      let before = { timeS: 0, head: design.teeAboveGroundM + low };
      let end = Number.NaN;
      await runEpanet({
        inp,
        links: [],
        nodes: ['tee'],
        seen: ({ timeS, headM }) => {
          const head = headM[0]!;
          if (head >= headEnd) {
            const share = (headEnd - before.head) / (head - before.head);
            end = before.timeS + share * (timeS - before.timeS);
            return false;
          }
          before = { timeS, head };
          return true;
        },
      });
      const apart = fillS / (end / 1000) - 1;
      await annotate(`fill time ${percent(apart)}`);
      expect(Math.abs(apart)).toBeLessThan(0.003);
    },
  );
});
