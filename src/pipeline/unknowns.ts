import { cannotJudge } from '../model/cannot-judge.ts';
import type { AtHand } from '../model/knowable.ts';
import type { Study, UnknownEntry } from '../model/study.ts';
import type { Well } from '../model/well.ts';

/** Whether an interval reaches down to nothing. */
const isSlack = (value: number | null, std: number | null): boolean =>
  value !== null && value < 2 * (std ?? 0);

/** Why what is null in the study is null, and the test that would tell. */
export function unknowns(study: Study, well: Well, has: AtHand): UnknownEntry[] {
  const out: UnknownEntry[] = [];
  const relative = study.scale.some(({ basis }) => basis === 'relative');
  const nameplate = study.scale.some(({ basis }) => basis === 'nameplate');
  const anyDay = (null_: (day: Study['days'][number]) => boolean): boolean =>
    study.days.some(null_);
  if (relative)
    out.push({
      field: 'days.usedM3',
      because: 'neither a bucket test nor the size of the tank gives the scale of volumes',
      test: 'bucket',
    });
  else if (nameplate)
    out.push({
      field: 'scale.tankConstantPaM3',
      because:
        'the scale of volumes rests on the nameplate of the tank: a bucket test halves ' +
        'its doubt and more',
      test: 'bucket',
    });
  if (anyDay((day) => day.lossM3 === null && day.lossPerTank === undefined))
    out.push({
      field: 'days.lossM3',
      because: 'on some of the days no pressure was seen with the pump at rest',
      test: null,
    });
  if (study.days.length === 0 || anyDay((day) => day.lossHouseShare === null))
    out.push({
      field: 'days.lossHouseShare',
      because:
        'two sensors at rest cannot tell whether water leaves to the house or back down the well',
      test: 'isolation',
    });
  if (anyDay((day) => day.pumpingLevelM === null))
    out.push({
      field: 'days.pumpingLevelM',
      because:
        well.equipment.staticLevelM === null
          ? 'the static water level of the well is not in the well file'
          : 'no run that could be followed fell on some of the days',
      test: 'sounding',
    });
  out.push(...levelUnknowns(study, relative));
  if (anyDay((day) => day.pumpIndex === null))
    out.push({
      field: 'days.pumpIndex',
      because:
        'it takes twelve runs to learn delivery, and a plain run after four hours of rest ' +
        'to compare',
      test: 'fill',
    });
  if (anyDay((day) => day.pumpIndex !== null && day.pumpIndex < 0.95))
    out.push({
      field: 'days.pumpIndex',
      because:
        'a lower level and a worn pump look alike in a run: which of the two it is, a ' +
        'sounding tells',
      test: 'sounding',
    });
  if (anyDay((day) => day.energyJ === null))
    out.push({
      field: 'days.energyJ',
      because: 'the current of the pump was not seen',
      test: 'look',
    });
  return [...out, ...unseenCurrents(study.runs), ...unjudged(study, has)];
}

/** Faults of which this log can say nothing, and no finding of which stands in it. */
function unjudged(study: Study, has: AtHand): UnknownEntry[] {
  const judged = new Set(study.findings.map(({ fault }) => fault));
  return cannotJudge(has, judged).map(({ says }) => ({
    field: 'findings',
    because: says,
    test: null,
  }));
}

function unseenCurrents(runs: Study['runs']): UnknownEntry[] {
  if (runs.every((run) => run.meanCurrentA !== null)) return [];
  const because = 'some runs were found from pressure alone: their current was missing or in doubt';
  return [{ field: 'runs.meanCurrentA', because, test: 'look' }];
}

/** What is not known of level, recovery and delivery. */
function levelUnknowns(study: Study, relative: boolean): UnknownEntry[] {
  const out: UnknownEntry[] = [];
  const anyDay = (null_: (day: Study['days'][number]) => boolean): boolean =>
    study.days.some(null_);
  if (anyDay((day) => day.levelDropM === null))
    out.push({
      field: 'days.levelDropM',
      because: relative
        ? 'the level is learnt from flows, and volumes have no scale'
        : 'it takes twenty runs whose start or stop is plain to tell how far the level falls, ' +
          'and one on the day while they tell little',
      test: relative ? 'bucket' : 'recovery',
    });
  else if (anyDay((day) => isSlack(day.levelDropM, day.levelDropMStd)))
    out.push({
      field: 'days.levelDropM',
      because:
        'on some days the runs do not show that the level falls at all: its interval reaches ' +
        'down to none, and only its upper end says something',
      test: 'recovery',
    });
  if (anyDay((day) => day.specificCapacityM2PerS === null))
    out.push({
      field: 'days.specificCapacityM2PerS',
      because: 'the runs do not show the level to fall by an amount that can be told',
      test: 'recovery',
    });
  if (study.recovery.recoveryS === null)
    out.push({
      field: 'recovery.recoveryS',
      because: relative
        ? 'the level is learnt from flows, and volumes have no scale'
        : anyDay((day) => day.levelDropM !== null)
          ? 'the runs tell no more of this well than what any well may do'
          : 'too few runs have shown a plain start or stop',
      test: relative ? 'bucket' : 'recovery',
    });
  if (study.pump.every((point) => point.deliveryM3PerS === null))
    out.push({
      field: 'pump',
      because: relative
        ? 'volumes have no scale'
        : 'it takes twelve plain runs to learn what the pump delivers',
      test: relative ? 'bucket' : 'fill',
    });
  return out;
}
