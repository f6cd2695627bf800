import type { Study, UnknownEntry } from '../model/study.ts';
import type { Well } from '../model/well.ts';

/** Why what is null in the study is null, and the test that would tell. */
export function unknowns(study: Study, well: Well): UnknownEntry[] {
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
  out.push(...unseenCurrents(study.runs));
  return out;
}

function unseenCurrents(runs: Study['runs']): UnknownEntry[] {
  const unseen = runs.filter((run) => run.meanCurrentA === null);
  const out: UnknownEntry[] = [];
  if (unseen.some(({ foundBy }) => foundBy === 'pressure'))
    out.push({
      field: 'runs.meanCurrentA',
      because: 'some runs were found from pressure alone: their current was missing or in doubt',
      test: 'look',
    });
  if (unseen.some(({ foundBy }) => foundBy === 'current'))
    out.push({
      field: 'runs.meanCurrentA',
      because: 'a run was on when the log began, before the current had shown what off is',
      test: null,
    });
  return out;
}
