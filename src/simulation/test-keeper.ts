import type { OtherTest } from '../model/well.ts';
import { GALLON_M3, GPM_M3_PER_S, PSI_PA } from './constants.ts';
import type { Condition } from './faults/condition.ts';
import type { Plant } from './plant/plant.ts';

/** A test as the keeper would write it down, before the errors of watch, gauge and bucket. */
export interface TestResult {
  kind: OtherTest['kind'];
  startS: number;
  stopS: number;
  houseValve?: 'shut' | 'open';
  pressurePaGauge?: number;
  volumeM3?: number;
  flowM3PerS?: number;
  levelM?: number;
  pump?: 'resting' | 'running';
  points?: { pressurePaGauge: number; flowM3PerS: number }[];
}

/** A test that a scenario asks for: which, and when it begins. */
export interface TestAsked {
  kind: OtherTest['kind'];
  atS: number;
}

/** One thing that the keeper does, until it is over. */
interface Phase {
  stepS: number;
  begin?(plant: Plant): void;
  isOver(plant: Plant, sinceS: number): boolean;
}

/** Nobody waits longer for a pump to start or to stop, s. */
const PATIENCE_S = 7200;
const SETTLE_S = 330;
const WATCH_S = 1800;
const POINT_S = 120;
const PRESSURE_PA = 50 * PSI_PA;

/** The keeper at a test other than the bucket: does one phase after the other, and notes. */
export class TestKeeper {
  readonly results: TestResult[] = [];
  /** The valve to the house is shut: neither taps nor leaks behind it have water. */
  houseShut = false;
  readonly #asked: TestAsked;
  readonly #phases: Phase[];
  #at = -1;
  #sinceS = 0;
  #startS = 0;
  #usedFromM3 = 0;
  #points: NonNullable<TestResult['points']> = [];
  #pressureSum = 0;
  #looks = 0;

  constructor(asked: TestAsked) {
    this.#asked = asked;
    this.#phases = this.#script(asked.kind);
  }

  longestStepS(timeS: number): number {
    if (this.#at >= this.#phases.length) return Number.POSITIVE_INFINITY;
    if (this.#at < 0) return Math.max(this.#asked.atS - timeS, 0.01);
    return this.#phases[this.#at]!.stepS;
  }

  act(plant: Plant): void {
    if (this.#at >= this.#phases.length) return;
    if (this.#at < 0) {
      if (plant.timeS < this.#asked.atS) return;
      plant.taps.closeAll();
      plant.taps.peopleWait = true;
      this.#next(plant);
      return;
    }
    const phase = this.#phases[this.#at]!;
    if (phase.isOver(plant, plant.timeS - this.#sinceS)) this.#next(plant);
  }

  #next(plant: Plant): void {
    this.#at += 1;
    this.#sinceS = plant.timeS;
    const phase = this.#phases[this.#at];
    if (phase === undefined) this.#leave(plant);
    else phase.begin?.(plant);
  }

  /** All is set back as it was, whether the test came to its end or not. */
  #leave(plant: Plant): void {
    this.#at = this.#phases.length;
    this.houseShut = false;
    plant.breakerOn = true;
    plant.taps.conductance = 0;
    plant.taps.peopleWait = false;
  }

  #script(kind: TestAsked['kind']): Phase[] {
    switch (kind) {
      case 'isolation_test':
        return [...this.#fillUp(), ...this.#watch('shut'), ...this.#watch('open')];
      case 'precharge_test':
        return [...this.#empty(4, 150), this.#readAir(), ...this.#fillAgain()];
      case 'drain_test':
        return [...this.#fillUp(), ...this.#empty(2, 300), this.#noteDrain(), ...this.#fillAgain()];
      case 'fill_test':
        return [
          this.#do(() => this.#startFills()),
          ...[1, 2, 3].flatMap(() => [...this.#letDown(3), this.#wait(150)]),
          this.#do((plant) => this.#note(plant, {})),
        ];
      case 'throttle_test':
        return this.#throttle();
      case 'recovery_test':
        return this.#drawSteadily(4);
      case 'sounding':
        return [
          this.#do((plant) => {
            this.#startS = plant.timeS;
            const pump = plant.running ? 'running' : 'resting';
            this.#note(plant, { levelM: plant.levelM, pump });
          }),
        ];
    }
  }

  #do(what: (plant: Plant) => void): Phase {
    return { stepS: 1, begin: what, isOver: () => true };
  }

  #wait(forS: number): Phase {
    return { stepS: 1, isOver: (_, sinceS) => sinceS >= forS };
  }

  #tap(plant: Plant, gpm: number): void {
    plant.taps.conductance = (gpm * GPM_M3_PER_S) / Math.sqrt(PRESSURE_PA);
  }

  /** Water runs until the pump starts; then the pump fills the tank and stops. */
  #letDown(gpm: number): Phase[] {
    return [
      {
        stepS: 0.2,
        begin: (plant) => this.#tap(plant, gpm),
        isOver: (plant, sinceS) => this.#losesPatience(plant, sinceS) || plant.running,
      },
      {
        stepS: 1,
        begin: (plant) => {
          plant.taps.conductance = 0;
        },
        isOver: (plant, sinceS) => this.#losesPatience(plant, sinceS) || !plant.running,
      },
    ];
  }

  /** A system that does not get there gets no test. */
  #losesPatience(plant: Plant, sinceS: number): boolean {
    if (sinceS > PATIENCE_S) this.#leave(plant);
    return false;
  }

  #fillUp(): Phase[] {
    return [...this.#letDown(3.5), this.#wait(SETTLE_S)];
  }

  #watch(valve: 'shut' | 'open'): Phase[] {
    return [
      {
        stepS: 1,
        begin: (plant) => {
          this.houseShut = valve === 'shut';
          this.#startS = plant.timeS;
        },
        isOver: (_, sinceS) => sinceS >= WATCH_S,
      },
      this.#do((plant) => this.#note(plant, { houseValve: valve })),
    ];
  }

  #empty(gpm: number, forS: number): Phase[] {
    let emptyS = Number.POSITIVE_INFINITY;
    return [
      {
        stepS: 0.2,
        begin: (plant) => {
          plant.breakerOn = false;
          this.#startS = plant.timeS;
          this.#usedFromM3 = plant.books.usedM3;
          this.#tap(plant, gpm);
        },
        isOver: (plant, sinceS) => {
          if (plant.tee.pressurePa < 0.3 * PSI_PA) emptyS = Math.min(emptyS, plant.timeS);
          return plant.timeS - emptyS > forS || sinceS > PATIENCE_S / 2;
        },
      },
    ];
  }

  #readAir(): Phase {
    return this.#do((plant) => {
      const airPa = Math.max(plant.tee.tank.gasPa - plant.design.atmospherePa, 0);
      this.#note(plant, { pressurePaGauge: airPa });
    });
  }

  #noteDrain(): Phase {
    return this.#do((plant) =>
      this.#note(plant, { volumeM3: plant.books.usedM3 - this.#usedFromM3 }),
    );
  }

  #fillAgain(): Phase[] {
    return [
      {
        stepS: 1,
        begin: (plant) => {
          plant.taps.conductance = 0;
          plant.breakerOn = true;
        },
        isOver: (plant, sinceS) => this.#losesPatience(plant, sinceS) || sinceS > 20,
      },
      {
        stepS: 1,
        isOver: (plant, sinceS) => this.#losesPatience(plant, sinceS) || !plant.running,
      },
    ];
  }

  #startFills(): void {
    this.houseShut = true;
    this.#startS = this.#sinceS;
  }

  /** Four steady pressures, the first again at the end: the hose is set so that each stands. */
  #throttle(): Phase[] {
    const above = (psi: number) => (plant: Plant) => plant.design.cutInPaGauge + psi * PSI_PA;
    const goals = [above(-18), above(-8), above(3), above(12), above(-18)];
    const start: Phase = {
      stepS: 0.2,
      begin: (plant) => this.#tap(plant, 8),
      isOver: (plant, sinceS) => this.#losesPatience(plant, sinceS) || plant.running,
    };
    const begin = this.#do((plant) => {
      this.#startS = plant.timeS;
    });
    const points = goals.flatMap((goal) => [
      this.#holdAt(goal, POINT_S, false),
      this.#holdAt(goal, POINT_S, true),
    ]);
    const end = this.#do((plant) => this.#note(plant, { points: this.#points }));
    return [start, begin, ...points, end];
  }

  #holdAt(goalPa: (plant: Plant) => number, forS: number, measured: boolean): Phase {
    return {
      stepS: 0.2,
      begin: (plant) => {
        this.#usedFromM3 = plant.books.usedM3;
        this.#pressureSum = 0;
        this.#looks = 0;
      },
      isOver: (plant, sinceS) => {
        const pa = plant.tee.pressurePa;
        // The hand at the hose: more open above the goal, less below, never closed.
        const flow = Math.max(plant.riser.toTeeM3PerS, 0.3 * GPM_M3_PER_S);
        const goal = Math.max(goalPa(plant), 2 * PSI_PA);
        plant.taps.conductance = (flow * (1 + (2 * (pa - goal)) / goal)) / Math.sqrt(goal);
        plant.taps.conductance = Math.max(plant.taps.conductance, (0.3 * flow) / Math.sqrt(goal));
        this.#pressureSum += pa;
        this.#looks += 1;
        if (sinceS < forS) return false;
        if (measured)
          this.#points.push({
            pressurePaGauge: this.#pressureSum / this.#looks,
            flowM3PerS: (plant.books.usedM3 - this.#usedFromM3) / sinceS,
          });
        return true;
      },
    };
  }

  #drawSteadily(gpm: number): Phase[] {
    return [
      {
        stepS: 1,
        begin: (plant) => {
          this.#startS = plant.timeS;
          this.#usedFromM3 = plant.books.usedM3;
          this.#tap(plant, gpm);
        },
        isOver: (plant, sinceS) => {
          const low = plant.tee.pressurePa < plant.design.cutInPaGauge - 10 * PSI_PA;
          return sinceS >= WATCH_S || (low && plant.breakerOn && sinceS > 60);
        },
      },
      this.#do((plant) => {
        const usedM3 = plant.books.usedM3 - this.#usedFromM3;
        if (usedM3 > GALLON_M3) {
          const flowM3PerS = usedM3 / (plant.timeS - this.#startS);
          this.#note(plant, { flowM3PerS });
        }
      }),
    ];
  }

  #note(plant: Plant, measured: Partial<TestResult>): void {
    const { kind } = this.#asked;
    this.results.push({ kind, startS: this.#startS, stopS: plant.timeS, ...measured });
  }
}

/** What the valve to the house, shut, takes out of a condition. */
export function shutHouse(condition: Condition): void {
  condition.houseLeak = { flowAt50PsiM3PerS: 0, exponent: 0.5 };
  condition.seepM3PerS = 0;
  condition.steadyUseM3PerS = 0;
}
