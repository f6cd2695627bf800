import { capital } from '../base/capital.ts';
import type { FaultName } from '../model/faults.ts';
import type { SetAsideReason } from '../model/reading.ts';
import type { Begun, Ended, TestName, Urgency } from '../model/study.ts';

/** A clause as a sentence: a capital first, a full stop last. */
export const sentence = (clause: string): string =>
  capital(clause) + (/[.!?]$/.test(clause) ? '' : '.');

/** Every word the report says beside figures, so that it can be said in another language. */
export const WORDS = {
  notKnown: 'not known',
  notKnownCell: '-',
  titles: {
    head: 'In short',
    findings: 'Findings',
    months: 'Month by month',
    days: 'Day by day',
    runs: 'Pump runs',
    draws: 'Draws',
    condition: 'Level and pump',
    unknown: 'Not known',
    testsDone: 'Tests made',
    tests: 'Tests that would tell',
    told: 'About this log and the well file',
  },
  logSpan: (from: string, to: string, zone: string) =>
    `Log from ${from} to ${to}, times of ${zone}. What stands after ± is the 95 % uncertainty.`,
  head: { water: 'Water', toDo: 'To do', trust: 'Trust' },
  waterYes: (level: string, when: string) =>
    `Yes: the last whole run reached cut-out${level === '' ? '' : ` (${level})`} on ${when}.`,
  waterInDoubt: (why: string) => `In doubt: ${why}.`,
  waterNotShown: 'This log cannot say: it holds no whole pump run.',
  waterLogEndsInRun: 'The log ends in a run.',
  lastRun: (when: string, how: string) => `the last run, begun ${when}, ${how}`,
  nothingToDo: 'Nothing in this log asks for you.',
  toDo: (urgency: string, title: string) => `${urgency}: ${title}.`,
  toDoBelow: 'What was seen and what to do stands under Findings.',
  scale: {
    'bucket-test': (percent: string) =>
      `Volumes rest on the bucket test, good to ±\u00a0${percent}.`,
    nameplate: (percent: string) =>
      `Volumes rest on the nameplate of the tank, good to ±\u00a0${percent}; the bucket test ` +
      'would narrow that.',
    relative:
      'Volumes are not known: do the bucket test. Until then they are counted in drawdowns, one ' +
      'being what the tank gives from cut-out to cut-in.',
  },
  scaleLost: (since: string) => `Since ${since} volumes are not known: do the bucket test.`,
  scaleChanges: 'The scale changed within this log; each figure uses the scale of its time.',
  scaleNone: 'No scale was found for volumes.',
  readings: (used: string, aside: string) => `Readings: ${used} used, ${aside}`,
  noneSetAside: 'none set aside.',
  setAside: (count: string, reasons: string) => `${count} set aside (${reasons}).`,
  sampling: (interval: string) => `One pressure reading every ${interval} on average.`,
  samplingOnChange: (interval: string) =>
    `Pressure is reported on change: one reading every ${interval} on average.`,
  samplingRuns: (error: string) => `Starts and stops are good to ±\u00a0${error}.`,
  sensorInDoubt: (title: string) => `In doubt: ${title}.`,
  columns: {
    month: 'Month',
    days: 'Days',
    date: 'Date',
    used: 'Used',
    lost: 'Lost',
    pumped: 'Pumped',
    starts: 'Starts',
    runTime: 'Run',
    runTimeUnit: 'h:mm',
    energy: 'Energy',
    cost: 'Cost',
    levelDrop: 'Drop',
    pumpIndex: 'Index',
    start: 'Start',
    stop: 'Stop',
    cutIn: 'Cut-in',
    cutOut: 'Cut-out',
    amps: 'Amps',
    remarks: 'Remarks',
  },
  drawdowns: 'drawdowns',
  partDay: '*',
  partDayNote: '* only part of the day was recorded; what was not seen is not counted.',
  daysNote:
    'Used is what people drew; lost leaves steadily at rest, wherever it goes. Drop is how far ' +
    'the pumping level fell below the rested one, deepest of the day. Index is delivery now ' +
    'over delivery when learnt.',
  monthsNote:
    'Used, lost, pumped, starts and run are means per day over the days seen whole, which Days ' +
    'counts; so are the drop, deepest of each day, and the index. Energy and cost are sums of ' +
    'the month.',
  monthRemarks: '* of these months:',
  service: (did: string, date: string) => `${date} service: ${did}`,
  monthLacks: (what: string, known: number, all: number) =>
    `${what} known on ${known} of ${all} days`,
  total: (days: number) => `Total of ${days} days`,
  typicalDay: 'Typical day (median of the whole days)',
  sums: {
    used: 'used',
    lost: 'lost',
    pumped: 'pumped',
    starts: 'starts',
    run: 'of running',
    energy: 'energy',
    cost: 'cost',
  },
  someDays: (known: number, all: number) => `(known on ${known} of ${all} days)`,
  shortened: (what: 'days' | 'runs', shown: number, all: number, days: number) =>
    `The last ${shown} of ${all} ${what}; --days ${days} shows them all.`,
  noDays: 'No day is closed in this log.',
  noRuns: 'No pump run is in this log.',
  noDraws: 'No draw is in this log.',
  draws: (count: string) => `${count} in all.`,
  largestDraw: (volume: string, from: string, to: string, flow: string) =>
    `The largest: ${volume}, ${from} to ${to}${flow === '' ? '' : `, up to ${flow}`}.`,
  condition: {
    levelDrop: 'Level drop',
    pumpingLevel: 'Pumping level',
    specificCapacity: 'Specific capacity',
    recovery: 'Recovery',
    pump: 'Pump delivers',
    pumpIndex: 'Pump index',
    energy: 'Energy per volume',
  },
  slackLevel: (figure: string) =>
    `not told from none: at most ${figure} below the rested level. The recovery test tells more`,
  pumpAt: (figure: string, pressure: string, amps: string) =>
    `${figure} at ${pressure}${amps === '' ? '' : `, taking ${amps}`}`,
  recovers: (figure: string) => `by two thirds within ${figure} of a stop`,
  recoversSoon: (figure: string) => `by two thirds within ${figure} of a stop, at most`,
  belowGround: (figure: string, date: string) => `${figure} below ground, deepest on ${date}`,
  ofDay: (figure: string, date: string) => `${figure}, on ${date}`,
  deepest: (figure: string, date: string) => `${figure} below the rested level, deepest on ${date}`,
  againstFloor: (figure: string, floor: string, times: string) =>
    `${figure}; physics allows no less than ${floor}, so ${times} times the floor`,
  belowFloor: (figure: string, floor: string) =>
    `${figure}, below the least that physics allows (${floor}): a sensor, the scale or the lift ` +
    'is wrong',
  indexNote:
    'The pump index moves with the level too: the lift is not seen from the tank tee. A falling ' +
    'index alone does not say that the pump is worn.',
  testDone: (test: string, when: string) => `${test}, ${when}`,
  testUnusable: (why: string) => `Not usable: ${why}.`,
  testFound: (what: string, found: string) => `${sentence(what).slice(0, -1)}: ${found}.`,
  testFits: (faults: string) => `Fits best: ${faults}.`,
  testUnlikely: (faults: string) => `Speaks against: ${faults}.`,
  doTest: (test: TestName, name: string) => TEST_ASKED[test] ?? `do the ${name}`,
  cannotJudge: (says: string) => sentence(says),
  because: (reason: string) => `(${reason})`,
  finding: {
    state: 'State',
    seen: 'Seen',
    instead: 'Or else',
    alike: 'Alike',
    test: 'Test',
    action: 'Do',
    wait: 'Wait',
    caution: 'Caution',
  },
  stateOpen: (odds: string, since: string, raised: string) =>
    `${odds}. Since ${since}; could be said from ${raised} on.`,
  over: (title: string) => `Over: ${title}.`,
  stateOver: (odds: string, since: string, cleared: string) =>
    `${odds}. From ${since}; over since ${cleared}.`,
  replaced: 'Taken back: a better account of the same signs stands in another finding.',
  odds: (percent: string) => `Belief ${percent}`,
  evidence: (says: string, observed: string, expected: string | null) =>
    expected === null
      ? `${sentence(says)} Found ${observed}.`
      : `${sentence(says)} Found ${observed}, expected ${expected}.`,
  moves: (fault: string | null, odds: string, rival: string) =>
    `It speaks ${odds} for ${fault === null ? 'this' : `“${fault}”`} against a sound well${rival}.`,
  movesRival: (fault: string | null, odds: string, rival: string) =>
    `It speaks ${odds} for ${fault === null ? 'this' : `“${fault}”`} against “${rival}”.`,
  overRival: (odds: string, rival: string) => `, and ${odds} against “${rival}”`,
  /** Where both fit what was seen alike. */
  movesNone: (fault: string | null, rival: string) =>
    `It does not tell ${fault === null ? 'this' : `“${fault}”`} from “${rival}”.`,
  overRivalNone: (rival: string) => `, and does not tell it from “${rival}”`,
  nothingElse: 'nothing else is in question.',
  alternative: (title: string, percent: string) => `${title} ${percent}`,
  noTest: 'no test is needed.',
  takes: (time: string) => `It takes ${time}.`,
} as const;

/** What is asked for where it is not the keeper's own test to do. */
const TEST_ASKED: Partial<Record<TestName, string>> = {
  sounding: 'have the level sounded',
  electrician: 'have an electrician measure',
  look: 'look at the plant',
};

export const URGENCY_WORDS: Record<Urgency, { label: string; wait: string }> = {
  now: { label: 'Now', wait: 'It cannot wait: every hour can do harm.' },
  today: { label: 'Today', wait: 'Until tonight, not longer.' },
  days: { label: 'Within days', wait: 'Some days, if it does not grow.' },
  weeks: { label: 'Within weeks', wait: 'Some weeks: plan it.' },
  note: { label: 'Note', wait: 'As long as you like: nothing has to be done.' },
};

/** What ended or began a run, where it was not the plain way; follows "the last run". */
export const ENDED_WORDS: Record<Ended, { remark: string; told: string }> = {
  'cut-out': { remark: '', told: 'reached cut-out' },
  'below-cut-out': { remark: 'stopped below cut-out', told: 'stopped below cut-out' },
  tripped: { remark: 'tripped', told: 'was cut off by a trip' },
  stalled: { remark: 'stalled', told: 'stalled' },
  chatter: { remark: 'chattered', told: 'ended in chatter of the switch' },
  gap: { remark: 'end not recorded', told: 'has no recorded end' },
  'log-end': { remark: 'log ends', told: 'goes on when the log ends' },
};

export const BEGUN_WORDS: Record<Begun, string> = {
  'cut-in': '',
  other: 'not at cut-in',
  'log-start': 'log begins',
  gap: 'begin not recorded',
};

export const RUN_WORDS = {
  breaks: (count: number) => (count === 1 ? '1 break' : `${count} breaks`),
  byPressure: 'seen in pressure only',
};

export const SET_ASIDE_WORDS: Record<SetAsideReason, string> = {
  'unreadable-time': 'with a time that cannot be read',
  'unreadable-value': 'with a value that cannot be read',
  'unknown-channel': 'of a channel that is not known',
  'wrong-unit': 'in a unit that does not fit',
  'missing-cell': 'with a cell missing',
  'cut-line': 'on a line cut short',
  'no-such-local-time': 'at a local time that does not exist',
  'no-anchor': 'without a clock to anchor them',
  'no-calibration': 'without a calibration in force',
  'not-finite': 'not a number',
  duplicate: 'sent twice',
  late: 'come too late',
  'clock-unset': 'from a clock not yet set',
  'clock-ahead': 'from a clock run ahead',
  'clock-back': 'from a clock stepped back',
  'counter-full': 'at a full counter (65535)',
  'outside-sensor-range': 'outside what the sensor can say',
  stuck: 'stuck at one value',
};

/** Names of what can be unknown, by the field of the result. */
export const FIELD_WORDS: Record<string, string> = {
  'scale.tankConstantPaM3': 'Tank constant',
  'runs.pumpedM3': 'Volume pumped in a run',
  'runs.cutInPaGauge': 'Cut-in',
  'runs.cutOutPaGauge': 'Cut-out',
  'runs.meanCurrentA': 'Current of a run',
  'days.usedM3': 'Water used',
  'days.lossM3': 'Water lost',
  'days.lossHouseShare': 'Side of the loss',
  'days.pumpedM3': 'Water pumped',
  'days.energyJ': 'Energy',
  'days.cost': 'Cost',
  'days.levelDropM': 'Level drop',
  'days.pumpingLevelM': 'Pumping level',
  'days.pumpIndex': 'Pump index',
  'days.specificCapacityM2PerS': 'Specific capacity',
  'days.energyPerVolumeJPerM3': 'Energy per volume',
  'days.energyFloorJPerM3': 'Least energy per volume',
  'recovery.recoveryS': 'Recovery of the level',
  pump: 'What the pump delivers',
  'draws.volumeM3': 'Volume of a draw',
  'draws.peakFlowM3PerS': 'Peak flow of a draw',
};

export const FAULT_WORDS: Record<FaultName, string> = {
  'tank-waterlogged': 'the tank has lost its air (waterlogged)',
  'precharge-low': 'the precharge of the tank is low',
  'precharge-high': 'the precharge is above cut-in',
  'tank-isolated': 'the tank is cut off from the line',
  'tank-undersized': 'the tank is too small for this pump',
  'leak-house': 'water leaks on the house side',
  'leak-burst': 'a pipe has burst',
  'fixture-running': 'a toilet or fixture keeps running',
  'heavy-use': 'heavy use of water',
  'relief-lifting': 'the relief valve opens',
  'check-valve-leak': 'the check valve lets water back down the well',
  'leak-before-house-valve': 'water leaks between the well and the house valve',
  'drop-pipe-parted': 'the drop pipe is holed or parted',
  'level-falling-in-run': 'the level falls much within a run',
  'running-dry': 'the pump runs dry',
  'gas-in-water': 'there is air or gas in the water',
  'screen-clogged': 'the well screen is clogging',
  'static-level-falling': 'the rested level of the well is falling',
  'pump-worn': 'the pump is worn',
  'intake-clogged': 'the pump intake is clogging',
  'valve-part-shut': 'a valve before the tank tee is partly shut',
  'pump-uncoupled': 'the motor turns without the pump',
  'pump-dragging': 'the pump or motor drags',
  'pump-changed': 'the pump has been changed',
  'rotor-locked': 'the motor is stalled',
  'start-circuit-weak': 'the start circuit is weak',
  'run-capacitor-weak': 'the run capacitor is weak',
  'overload-tripping': 'the motor overload keeps tripping',
  'voltage-low': 'the supply voltage is low',
  'voltage-high': 'the supply voltage is high',
  'joint-hot': 'a joint in the pump wiring is poor and heats',
  'power-out': 'the power is out',
  'switch-nipple-plugged': 'the pressure switch nipple is plugged',
  'switch-drift': 'the pressure switch has drifted',
  'switch-chatter': 'the pressure switch chatters',
  'switch-welded': 'the pressure switch does not open',
  'cut-out-unreachable': 'the pump cannot reach cut-out',
  'switch-no-start': 'the pump is not switched on',
  'water-hammer': 'water hammer',
  frozen: 'part of the system is frozen',
  'filter-plugged': 'a filter is plugged',
  'pressure-wire-open': 'a wire of the pressure sensor is open',
  'pressure-wire-short': 'a wire of the pressure sensor is shorted',
  'pressure-supply-sag': 'the supply of the pressure sensor sags',
  'pressure-drift': 'the pressure sensor has drifted',
  'pressure-port-plugged': 'the port of the pressure sensor is plugged',
  'current-clamp-gap': 'the current clamp is not closed',
  'current-clamp-off': 'the current clamp does not see the pump',
  'current-clipped': 'the current reading is clipped',
  'adc-stuck': 'the converter is stuck',
  'clock-jump': 'the clock jumped',
  'data-gap': 'readings are missing',
  'sampling-too-slow': 'the readings come too seldom',
  'unknown-trouble': 'something this tool has no name for',
};
