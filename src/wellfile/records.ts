import type { BucketTest, CalibrationRecord, ResetKind, ServiceRecord } from '../model/well.ts';
import { BUCKET_UNCERTAINTY, MEASURED_UNCERTAINTY, stdOf } from './default-uncertainty.ts';
import { type EquipmentRead, readEquipment } from './equipment.ts';
import { readInstant } from './instant.ts';
import { type QuantitySpec, readSi, readStd } from './quantity.ts';
import type { Cell } from './source.ts';
import type { Table } from './table.ts';

const INSTANT = 'a date and time such as 2026-04-08T20:30:00Z';

/** The times of a test; a test at one moment may leave `stop` out. */
export function readTimes(
  test: Table,
  mayBeMoment = false,
): { startS: number; stopS: number } | null {
  const start = test.need('start', INSTANT);
  const startS = start && readInstant(start, 'time');
  if (mayBeMoment && !test.cell('stop').isThere) {
    return startS === null ? null : { startS, stopS: startS };
  }
  const stop = test.need('stop', INSTANT);
  const stopS = stop && readInstant(stop, 'time');
  if (start === null || stop === null || startS === null || stopS === null) return null;
  if (stopS > startS) return { startS, stopS };
  return stop.report('stop-before-start', `a time after start = ${start.written}`);
}

const BUCKET: QuantitySpec = { kind: 'volume', least: '0.1 gal', most: '10000 gal' };

export function readBucketTest(test: Table): BucketTest | null {
  const times = readTimes(test);
  const volume = test.need('volume', 'the volume drawn such as "8.00 gal"');
  const uncertainty = test.cell('uncertainty');
  test.close();
  const volumeM3 = volume && readSi(volume, BUCKET);
  const of = { value: volumeM3 ?? 1, kind: 'volume' } as const;
  const volumeM3Std = uncertainty.isThere ? readStd(uncertainty, of) : bucketStd(of);
  if (times === null || volumeM3 === null || volumeM3Std === null) return null;
  return { ...times, volumeM3, volumeM3Std };
}

const bucketStd = (of: { value: number; kind: 'volume' }) =>
  Math.max(stdOf(BUCKET_UNCERTAINTY.share, of), stdOf(BUCKET_UNCERTAINTY.least, of));

const RAW: Record<'V' | 'count', QuantitySpec> = {
  V: { kind: 'voltage', least: '-1000 V', most: '1000 V' },
  count: { kind: 'count', least: '-16777216 count', most: '16777216 count' },
};

const REFERENCE: Record<'pressure' | 'current', QuantitySpec & { sure: string }> = {
  pressure: {
    kind: 'pressure',
    least: '-15 psi',
    most: '500 psi',
    sure: MEASURED_UNCERTAINTY['calibration.points (pressure)'],
  },
  current: {
    kind: 'current',
    least: '0 A',
    most: '1000 A',
    sure: MEASURED_UNCERTAINTY['calibration.points (current)'],
  },
};

export function readCalibration(table: Table): CalibrationRecord | null {
  const channel =
    table.need('channel', '"pressure" or "current"') &&
    table.choice('channel', ['pressure', 'current']);
  const sensor = table.text('sensor');
  const from = table.need('from', INSTANT);
  const fromS = from && readInstant(from, 'date');
  const raw = table.need('raw', '"V" or "count"') && table.choice('raw', ['V', 'count']);
  const list = table.need('points', `a list of ${POINT}`);
  table.close();
  if (channel === null || raw === null || list === null) return null;
  const points = readPoints(list, RAW[raw], REFERENCE[channel]);
  if (fromS === null || points === null) return null;
  return { channel, sensor, fromS, untilS: null, raw, points };
}

/**
 * A calibration belongs to the sensor that is there when it begins: the next service that
 * replaces the sensor ends it, so that the new one does not inherit it.
 */
export function endedByServices(
  calibrations: readonly CalibrationRecord[],
  services: readonly ServiceRecord[],
): CalibrationRecord[] {
  return calibrations.map((calibration) => {
    const ends = services
      .filter(({ resets }) => resets.includes(`${calibration.channel}-sensor`))
      .map(({ onS }) => onS)
      .filter((onS) => onS > calibration.fromS);
    return { ...calibration, untilS: ends.length > 0 ? Math.min(...ends) : null };
  });
}

const POINT = 'raw value, reference and its uncertainty such as ["0.5 V", "0 psi", "0.3 psi"]';

/** Points of raw value, reference and, if given, the standard uncertainty of the reference. */
function readPoints(
  list: Cell,
  rawSpec: QuantitySpec,
  referenceSpec: QuantitySpec & { sure: string },
): CalibrationRecord['points'] | null {
  const items = list.items(`a list of ${POINT}`);
  if (items?.length === 0) return list.impossible('at least one point');
  return (items ?? []).flatMap((item) => {
    const [rawCell, referenceCell, stdCell] = item.items(POINT, 2, 3) ?? [];
    const raw = rawCell ? readSi(rawCell, rawSpec) : null;
    const reference = referenceCell ? readSi(referenceCell, referenceSpec) : null;
    const of = { value: reference ?? 1, kind: referenceSpec.kind };
    const referenceStd = stdCell ? readStd(stdCell, of) : stdOf(referenceSpec.sure, of);
    if (raw === null || reference === null || referenceStd === null) return [];
    return [{ raw, reference, referenceStd }];
  });
}

const RESETS: readonly ResetKind[] = [
  'tank',
  'pump',
  'well',
  'switch',
  'pressure-sensor',
  'current-sensor',
  'plumbing',
];

export interface ServiceRead {
  record: ServiceRecord;
  equipment: EquipmentRead;
}

export function readService(table: Table): ServiceRead | null {
  const on = table.need('on', INSTANT);
  const onS = on && readInstant(on, 'date');
  const did = table.text('did') ?? '';
  const resets = table.choices('resets', RESETS);
  const now = table.section('now');
  const equipment = readEquipment(now);
  now.close();
  table.close();
  if (onS === null) return null;
  return { record: { onS, did, resets, now: equipment.given }, equipment };
}
