import type { CautionId } from './cautions.ts';
import type { FaultName } from './faults.ts';
import type { TestName } from './study.ts';

/** One thing to do, and the cautions that stand beside it. */
export interface TestStep {
  says: string;
  cautions: readonly CautionId[];
}

/** A test that a person makes: how, what it takes, and which faults it tells apart. */
export interface OwnerTest {
  name: string;
  steps: readonly TestStep[];
  takes: string;
  takesS: number;
  /** Longest time between two pressure readings that it bears, s; null where none are needed. */
  readingS: number | null;
  by: 'owner' | 'contractor' | 'electrician';
  /** What it costs: 0 a look, 1 an hour or so of the owner, 2 hours, 3 somebody's bill. */
  cost: 0 | 1 | 2 | 3;
  /** What can go wrong: 0 nothing, 1 with a valve or tap, 2 with plant that runs or is open. */
  risk: 0 | 1 | 2;
  /** Faults that it tells from one another, group by group. */
  settles: readonly (readonly FaultName[])[];
}

const step = (says: string, ...cautions: CautionId[]): TestStep => ({ says, cautions });

const BREAKER_OFF = step('Turn the pump breaker off.');
const BREAKER_ON = step(
  'Turn the pump breaker on and see the pressure rise to cut-out.',
  'breaker-back-on',
);
const WELL_OR_PUMP: readonly FaultName[] = [
  'static-level-falling',
  'pump-worn',
  'intake-clogged',
  'valve-part-shut',
];

/**
 * The one place that says how a test is made. Common practice of the trade; the steps ask for
 * nothing that shuts a running pump in or starts a dry one again and again.
 */
export const OWNER_TESTS: Record<TestName, OwnerTest> = {
  bucket: {
    name: 'bucket test',
    steps: [
      step('Let no other water run. Wait five minutes after a pump stop.'),
      BREAKER_OFF,
      step(
        'Draw a measured volume slowly (weighed is best), and stop well above the precharge.',
        'hose-backflow',
      ),
      step('Close the tap and wait five minutes more.'),
      BREAKER_ON,
      step('Write start, stop and volume in the well file. Three times is better than once.'),
    ],
    takes: '15 minutes each time',
    takesS: 900,
    readingS: 20,
    by: 'owner',
    cost: 1,
    risk: 0,
    settles: [['tank-waterlogged', 'tank-undersized']],
  },
  isolation: {
    name: 'isolation test',
    steps: [
      step(
        'Make sure that the relief valve stands between the pump and the house valve.',
        'relief-works-first',
      ),
      step('Near cut-out, wait five minutes after a pump stop, with no water running.'),
      step(
        'Close the valve to the house and let the pressure stand for 30 minutes. The pressure ' +
          'switch stays in charge of the pump.',
        'never-close-off-a-running-pump',
      ),
      step('Open the valve and let nobody draw water for another 30 minutes.'),
      step('Write both times in the well file: what still falls with the valve shut is lost.'),
    ],
    takes: 'an hour',
    takesS: 3900,
    readingS: 60,
    by: 'owner',
    cost: 1,
    risk: 1,
    settles: [
      ['leak-house', 'fixture-running', 'check-valve-leak', 'leak-before-house-valve'],
      ['leak-burst', 'drop-pipe-parted'],
    ],
  },
  precharge: {
    name: 'precharge test',
    steps: [
      step('Turn the water heater off.', 'heater-off-before-draining'),
      BREAKER_OFF,
      step('Drain the tank through a low tap until the pressure is zero and no water comes.'),
      step(
        'Read the air valve of the tank with a tyre gauge. Water at the air valve means that the ' +
          'bladder has failed.',
        'tank-drained-power-off',
        'tank-rating',
      ),
      step('Close the tap.'),
      BREAKER_ON,
      step('Turn the water heater on once the pipes are full.'),
    ],
    takes: '20 minutes',
    takesS: 1200,
    readingS: null,
    by: 'owner',
    cost: 1,
    risk: 1,
    settles: [['tank-waterlogged', 'precharge-low', 'tank-isolated', 'precharge-high']],
  },
  drain: {
    name: 'drain test',
    steps: [
      step('Turn the water heater off.', 'heater-off-before-draining'),
      step('With the tank well above cut-in, let no other water run.'),
      BREAKER_OFF,
      step(
        'Let the tank run empty slowly through one low tap, two gallons a minute or less.',
        'hose-backflow',
      ),
      step('Leave the tap open five minutes after the water has stopped, then close it.'),
      BREAKER_ON,
      step('Turn the water heater on once the pipes are full.'),
    ],
    takes: '20 minutes',
    takesS: 1500,
    readingS: 15,
    by: 'owner',
    cost: 1,
    risk: 1,
    settles: [
      ['tank-waterlogged', 'precharge-low', 'tank-isolated', 'precharge-high'],
      ['pressure-drift', 'switch-drift'],
    ],
  },
  fill: {
    name: 'fill test',
    steps: [
      step('Make sure that the relief valve stands before the house valve.', 'relief-works-first'),
      step('See that its outlet is free.', 'never-plug-relief'),
      step(
        'Close the valve to the house. The pressure switch stays in charge of the pump.',
        'never-close-off-a-running-pump',
      ),
      step(
        'Let the tank down by its drain until the pump starts, close the drain at once, and let ' +
          'the pump fill to cut-out. Three times.',
      ),
      step('Open the valve to the house.'),
    ],
    takes: 'half an hour',
    takesS: 1800,
    readingS: 5,
    by: 'owner',
    cost: 1,
    risk: 1,
    settles: [
      ['heavy-use', 'static-level-falling', 'valve-part-shut'],
      ['leak-burst', 'pump-worn'],
    ],
  },
  throttle: {
    name: 'throttle test',
    steps: [
      step('See that the relief valve works.', 'relief-works-first'),
      step(
        'Open an outdoor hose wide and wait until the pump runs steadily into it.',
        'hose-backflow',
      ),
      step(
        'Throttle the hose so that the pressure stands at four values in turn, two minutes each, ' +
          'and time a bucket at each. Never close the hose, and stay well below cut-out.',
        'never-close-off-a-running-pump',
      ),
      step('End with the first value again: that shows whether the level fell meanwhile.'),
      step('Write each pressure and flow in the well file.'),
    ],
    takes: '20 minutes',
    takesS: 1500,
    readingS: 30,
    by: 'owner',
    cost: 1,
    risk: 1,
    settles: [WELL_OR_PUMP],
  },
  recovery: {
    name: 'recovery test',
    steps: [
      step('Begin after a night of rest.'),
      step(
        'Draw a steady flow through a hose for 30 minutes and measure it with a bucket. Stop at ' +
          'once, and rest the well, if flow or amps fall off.',
        'hose-backflow',
      ),
      step('Then use the house as usual for two hours: each pump run shows how far it is back.'),
      step('Write start and stop of the draw and its flow in the well file.'),
    ],
    takes: 'three hours',
    takesS: 10_800,
    readingS: 10,
    by: 'owner',
    cost: 2,
    risk: 1,
    settles: [['level-falling-in-run', 'screen-clogged', 'static-level-falling', 'pump-worn']],
  },
  sounding: {
    name: 'sounding',
    steps: [
      step(
        'Have a contractor measure the depth to water in the rested well, and with the pump ' +
          'running, with a clean, disinfected tape or sounder.',
        'disinfect-and-sample',
        'stay-out-of-pits',
        'gas-ignition',
      ),
      step('Write each depth in the well file with its time.'),
    ],
    takes: "a contractor's visit",
    takesS: 5400,
    readingS: null,
    by: 'contractor',
    cost: 3,
    risk: 2,
    settles: [WELL_OR_PUMP, ['level-falling-in-run', 'screen-clogged', 'running-dry']],
  },
  electrician: {
    name: "electrician's check",
    steps: [
      step(
        'Have a licensed electrician or pump installer measure voltage and current with the ' +
          'pump running.',
        'mains-by-electrician',
      ),
      step(
        'Have the insulation and the start parts measured with the power off.',
        'breaker-off-and-tested',
        'breaker-reset-once',
      ),
    ],
    takes: "an electrician's visit",
    takesS: 5400,
    readingS: null,
    by: 'electrician',
    cost: 3,
    risk: 2,
    settles: [
      ['voltage-low', 'voltage-high', 'run-capacitor-weak'],
      ['rotor-locked', 'start-circuit-weak', 'overload-tripping'],
      ['joint-hot', 'pump-dragging'],
    ],
  },
  look: {
    name: 'look at the plant',
    steps: [
      step(
        'Look and listen without opening anything: gauge, valves, breaker position, wet spots, ' +
          'the sensors and their wires. Touch no wiring.',
        'mains-by-electrician',
        'stay-out-of-pits',
        'flood-stay-away',
      ),
    ],
    takes: 'ten minutes',
    takesS: 600,
    readingS: null,
    by: 'owner',
    cost: 0,
    risk: 0,
    settles: [
      ['heavy-use', 'leak-burst'],
      ['switch-no-start', 'power-out', 'frozen'],
      ['tank-isolated', 'tank-waterlogged'],
      ['relief-lifting', 'switch-welded'],
    ],
  },
};

/** All steps in one piece. */
export const stepsInWords = (test: TestName): string =>
  OWNER_TESTS[test].steps.map(({ says }) => says).join(' ');
