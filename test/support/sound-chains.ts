import fc from 'fast-check';
import type { Chain, ChainContext } from '../../src/instruments/chain/types.ts';
import { evenly } from './evenly.ts';

export interface Sound {
  chain: Chain;
  context: ChainContext;
}

const PSI = 6894.757293168361;

/** A number between two, by a share from the generator. */
const between = (low: number, high: number, share: number) => low + share * (high - low);
const share = evenly(0, 1);

interface Draw {
  mainsHz: number;
  runA: number;
  inrushOverRun: number;
  /** Running current over rated current. */
  load: number;
  /** How far the start fills what there is. */
  fill: number;
  cutOutPsi: number;
  relief: number;
  range: number;
  pullUp: number;
  cycles: number;
  samplesEachCycle: number;
  speedHz: number;
  isCurrentOutput: boolean;
}

const draws: fc.Arbitrary<Draw> = fc.record({
  mainsHz: fc.constantFrom(50, 60),
  runA: evenly(3, 20),
  inrushOverRun: evenly(3, 6.5),
  load: evenly(0.25, 0.9),
  fill: evenly(0.8, 0.95),
  cutOutPsi: evenly(40, 80),
  relief: share,
  range: share,
  pullUp: evenly(0.05, 0.95),
  cycles: fc.integer({ min: 1, max: 15 }),
  samplesEachCycle: fc.integer({ min: 12, max: 40 }),
  speedHz: fc.constantFrom(100e3, 400e3),
  isCurrentOutput: fc.boolean(),
});

function contextOf(draw: Draw): ChainContext {
  const cutOutPaGauge = draw.cutOutPsi * PSI;
  return {
    units: 'us',
    cutInPaGauge: cutOutPaGauge - 20 * PSI,
    cutOutPaGauge,
    reliefPaGauge: cutOutPaGauge + between(10, 20, draw.relief) * PSI,
    runA: draw.runA,
    inrushA: draw.runA * draw.inrushOverRun,
  };
}

/** A transformer whose start reaches `startV` above the middle of the wave. */
function transformerOf(draw: Draw, startV: number): NonNullable<Chain['current']> {
  const rangeA = draw.runA / draw.load;
  const ratedV = (startV * rangeA) / (Math.SQRT2 * draw.runA * draw.inrushOverRun);
  const secondaryA = 0.02;
  const burdenOhm = ratedV / secondaryA;
  return {
    rangeA,
    output: draw.isCurrentOutput ? { unit: 'A', rms: secondaryA } : { unit: 'V', rms: ratedV },
    burdenOhm: draw.isCurrentOutput ? burdenOhm : null,
    burdenLimitOhm: draw.isCurrentOutput ? 1.1 * draw.load * draw.inrushOverRun * burdenOhm : null,
    accuracyClass: '1',
    accuracyShare: null,
    noiseA: 0.03,
    biasV: null,
    differential: false,
    divider: null,
    gainV: null,
  };
}

function commonParts(
  draw: Draw,
  supplyV: number,
): Pick<Chain, 'bus' | 'sampling' | 'commonGround'> {
  const wireM = 0.4;
  const riseS = draw.speedHz === 100e3 ? 1000e-9 : 300e-9;
  const strongest = (supplyV - 0.4) / 0.003;
  const weakest = riseS / (0.8473 * (20e-12 + wireM * 100e-12));
  return {
    bus: {
      logicV: supplyV,
      pinsBearV: null,
      pullUpOhm: between(strongest, weakest, draw.pullUp),
      pulledToV: supplyV,
      speedHz: draw.speedHz,
      wireM,
    },
    commonGround: true,
    sampling: {
      mainsHz: draw.mainsHz,
      windowS: draw.cycles / draw.mainsHz,
      intervalS: 0.08,
      runningIntervalS: null,
      startTime: false,
      currentPeak: false,
    },
  };
}

function transducerOf(draw: Draw, follows: boolean): NonNullable<Chain['pressure']> {
  return {
    rangePaGauge: (contextOf(draw).reliefPaGauge ?? 0) * between(1.01, 2, draw.range),
    outputV: { zero: 0.5, full: 4.5 },
    supplyV: 5,
    ratiometric: follows,
    sagShare: 0.02,
    accuracyShare: 0.01,
    temperatureSharePerK: 0.0003,
    temperatureSwingK: 10,
    driftSharePerYear: 0.003,
    noisePa: 300,
    divider: null,
    gainV: null,
  };
}

/** The converter of a controller: one range up to its supply, a divider, a bias in the middle. */
function small(draw: Draw): Sound {
  const supplyV = 3.3;
  return {
    context: contextOf(draw),
    chain: {
      pressure: {
        ...transducerOf(draw, true),
        divider: { seriesOhm: 5600, groundOhm: 10_000, toleranceShare: 0.01 },
      },
      current: { ...transformerOf(draw, (draw.fill * supplyV) / 2), biasV: supplyV / 2 },
      converter: {
        bits: 12,
        rangesV: [],
        signed: false,
        rateHz: draw.samplesEachCycle * draw.mainsHz,
        supplyV,
        reference: 'supply',
        beyondV: 0.3,
        accuracyShare: 0.01,
      },
      ...commonParts(draw, supplyV),
    },
  };
}

/** A converter of its own with gain ranges and pairs of inputs. */
function fine(draw: Draw): Sound {
  const supplyV = 5;
  return {
    context: contextOf(draw),
    chain: {
      pressure: transducerOf(draw, false),
      current: {
        ...transformerOf(draw, (draw.fill * supplyV) / 2),
        biasV: supplyV / 2,
        differential: true,
      },
      converter: {
        bits: 16,
        rangesV: [0.256, 0.512, 1.024, 2.048, 4.096, 6.144],
        signed: true,
        rateHz: draw.samplesEachCycle * draw.mainsHz,
        supplyV,
        reference: 'absolute',
        beyondV: 0.3,
        accuracyShare: 0.001,
      },
      ...commonParts(draw, supplyV),
    },
  };
}

/** Chains with which nothing is wrong, of two kinds. */
export const soundChains: fc.Arbitrary<Sound> = fc
  .tuple(draws, fc.boolean())
  .map(([draw, isFine]) => (isFine ? fine(draw) : small(draw)));
