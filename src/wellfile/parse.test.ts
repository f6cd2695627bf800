import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Well } from '../model/well.ts';
import { parseWellFile } from './parse.ts';

const text = readFileSync(new URL('./juniper-bench.toml', import.meta.url), 'utf8');

// NIST SP 811 Appendix B.8 (from memory).
const PSI = 6894.757293168;
const GAL = 3.785411784e-3;
const FT = 0.3048;
const GPM = 6.30902e-5;
const utc = (instant: string) => Date.parse(instant) / 1000;

function wellOf(file: string): { well: Well; told: string[] } {
  const result = parseWellFile(file);
  if (!result.ok) throw new Error(JSON.stringify(result.issues, null, 1));
  return result;
}

describe('a whole well file', () => {
  const { well, told } = wellOf(text);
  const { equipment } = well;

  it('needs nothing told', () => expect(told).toEqual([]));

  it('reads the head of the file', () => {
    expect(well).toMatchObject({
      name: 'Juniper bench',
      id: 'juniper-bench',
      timeZone: 'America/Boise',
      units: 'us',
      people: 4,
    });
    expect(well.altitudeM.value).toBeCloseTo(4120 * FT, 9);
    expect(well.altitudeM).toMatchObject({ source: 'measured', onS: null });
    expect(well.altitudeM.std).toBeCloseTo(50 * FT, 9);
  });

  it('takes quantities to SI with the uncertainty of their source', () => {
    expect(equipment.staticLevelM?.value).toBeCloseTo(143 * FT, 9);
    expect(equipment.staticLevelM?.std).toBeCloseTo(10 * FT, 9);
    expect(equipment.staticLevelM?.source).toBe('drillers-log');
    expect(equipment.intakeDepthM?.std).toBeCloseTo(30 * FT, 9);
    expect(equipment.intakeDepthM?.onS).toBe(utc('2019-10-03T06:00:00Z'));
    expect(equipment.tankVolumeM3?.value).toBeCloseTo(62 * GAL, 12);
    expect(equipment.tankVolumeM3?.std).toBeCloseTo(0.05 * 62 * GAL, 12);
    expect(equipment.prechargePaGauge?.std).toBeCloseTo(PSI, 6);
    expect(equipment.cutInPaGauge?.value).toBeCloseTo(30 * PSI, 5);
    expect(equipment.ratedFlowM3PerS?.value).toBeCloseTo(7 * GPM, 9);
    // 745.7 W a horsepower; NEC Chapter 9 Table 8: 10 AWG solid has 5.261 mm2.
    expect(equipment.powerW?.value).toBeCloseTo(0.75 * 745.7, 1);
    expect((equipment.cableAreaM2?.value ?? 0) * 1e6).toBeCloseTo(5.261, 2);
    expect(equipment.phases).toBe(1);
    expect(equipment.motor).toBe('3-wire');
    expect(equipment.curve).toHaveLength(4);
    expect(equipment.curve?.[3]?.headM).toBeCloseTo(230 * FT, 9);
  });

  it('reads price, logging, columns, known uses and sensing', () => {
    expect(well.energyPrice?.currency).toBe('USD');
    expect(well.energyPrice?.perJ).toBeCloseTo(0.115 / 3.6e6, 15);
    expect(well.logging).toMatchObject({
      policy: 'on-change',
      longestSilenceS: 120,
      columns: {
        'Tee [psi]': 'pressure [psi]',
        'Pump "leg 1"': 'current [A]',
        clock: 'time',
      },
    });
    expect(well.logging.deadbandPa).toBeCloseTo(0.2 * PSI, 6);
    expect(well.knownUses).toEqual([
      { what: 'orchard drip', days: [1, 5], fromS: 81_000, toS: 4500 },
      { what: 'softener', days: [0, 1, 2, 3, 4, 5, 6], fromS: 0, toS: 86_400 },
    ]);
    expect(well.sensing).toEqual({
      converter: { bits: 16, range: '4.096 V' },
      fitted: '2026-03-15',
    });
  });

  it('reads calibrations, with a default for a reference that tells no uncertainty', () => {
    const [pressure, current] = well.calibrations;
    expect(pressure).toMatchObject({
      sensor: 'tee-1',
      raw: 'V',
      fromS: utc('2026-03-15T15:00:00Z'),
    });
    expect(pressure?.points[0]?.referenceStd).toBeCloseTo(0.2 * PSI, 6);
    expect(pressure?.points[1]?.referenceStd).toBeCloseTo(0.5 * PSI, 6);
    expect(current).toMatchObject({
      sensor: null,
      raw: 'count',
      fromS: utc('2026-03-16T06:00:00Z'),
    });
    expect(current?.points[1]).toMatchObject({ raw: 3020, reference: 8.1 });
    expect(current?.points[1]?.referenceStd).toBeCloseTo(0.162, 9);
  });

  it('ends a calibration with the service that replaces its own sensor, the first after it', () => {
    const service = (on: string, reset: string) =>
      `[[service]]\non = ${on}\ndid = "x"\nresets = ["${reset}"]\n`;
    const extra = [
      service('2026-03-14T00:00:00Z', 'pressure-sensor'),
      service('2026-07-02T00:00:00Z', 'pressure-sensor'),
      service('2026-09-02T00:00:00Z', 'pressure-sensor'),
    ].join('');
    const [pressure, current] = wellOf(`${text}\n${extra}`).well.calibrations;
    expect(pressure?.untilS).toBe(utc('2026-07-02T00:00:00Z'));
    expect(current?.untilS).toBeNull();
    const other = service('2026-08-02T00:00:00Z', 'current-sensor');
    const [first, second] = wellOf(`${text}\n${other}`).well.calibrations;
    expect(first?.untilS).toBeNull();
    expect(second?.untilS).toBe(utc('2026-08-02T00:00:00Z'));
  });

  it('reads bucket tests: 1 %, not below 0.05 gal, or as told', () => {
    const [first, second] = well.bucketTests;
    expect(first?.startS).toBe(utc('2026-03-20T19:00:00Z'));
    expect(first?.stopS).toBe(utc('2026-03-20T19:04:30Z'));
    expect(first?.volumeM3Std).toBeCloseTo(0.06 * GAL, 12);
    expect(second?.stopS).toBe(utc('2026-06-20T19:02:00.5Z'));
    expect(second?.volumeM3Std).toBeCloseTo(0.1 * GAL, 12);
    const small = text.replace('"6.00 gal"', '"2 gal"');
    expect(wellOf(small).well.bucketTests[0]?.volumeM3Std).toBeCloseTo(0.05 * GAL, 12);
  });

  it('reads the other tests with what each measures', () => {
    const byKind = Object.fromEntries(well.otherTests.map((test) => [test.kind, test]));
    expect(Object.keys(byKind)).toHaveLength(7);
    expect(byKind.isolation_test?.measured).toEqual({ houseValveShut: 1 });
    expect(byKind.precharge_test?.measured.pressurePaGauge).toBeCloseTo(26.5 * PSI, 5);
    expect(byKind.precharge_test?.stopS).toBe(byKind.precharge_test?.startS);
    expect(byKind.drain_test?.measured.volumeM3).toBeCloseTo(18 * GAL, 9);
    expect(byKind.fill_test?.measured).toEqual({});
    expect(byKind.throttle_test?.points).toHaveLength(2);
    expect(byKind.throttle_test?.points?.[1]?.flowM3PerSStd).toBeCloseTo(0.12 * GPM, 10);
    expect(byKind.recovery_test?.measured.flowM3PerS).toBeCloseTo(4 * GPM, 9);
    expect(byKind.sounding?.measured.levelM).toBeCloseTo(151.5 * FT, 9);
    expect(byKind.sounding?.measured.pumpRunning).toBe(0);
  });

  it('reads services with what holds from then on, dotted or inline', () => {
    const [tank, pump] = well.services;
    expect(tank?.onS).toBe(utc('2026-05-11T06:00:00Z'));
    expect(tank?.did).toBe('new pressure tank and switch set up [not the relief valve] # ');
    expect(tank?.resets).toEqual(['tank', 'switch']);
    expect(Object.keys(tank?.now ?? {}).sort()).toEqual([
      'cutInPaGauge',
      'cutOutPaGauge',
      'prechargePaGauge',
      'tankVolumeM3',
    ]);
    expect(pump?.onS).toBe(utc('2026-08-01T15:00:00Z'));
    expect(pump?.now.curve).toHaveLength(2);
  });
});

describe('a file that says little', () => {
  it('needs only a name; gaps are null and what is assumed is told', () => {
    const { well, told } = wellOf('name = "Höhe 7, oben"');
    expect(well.id).toBe('hohe-7-oben');
    expect(well.timeZone).toBe('UTC');
    expect(well.units).toBe('us');
    expect(well.altitudeM.std).toBeGreaterThan(100);
    expect(told.map((line) => line.split(' ')[0])).toEqual([
      'id',
      'time_zone',
      'altitude',
      'units',
    ]);
    expect(new Set(Object.values(well.equipment))).toEqual(new Set([null]));
    expect(well.logging).toEqual({
      policy: null,
      deadbandPa: null,
      longestSilenceS: null,
      columns: {},
    });
    expect(well).toMatchObject({ people: null, energyPrice: null, sensing: null });
  });

  it('makes an id even of a name without one letter that an id may have', () => {
    expect(wellOf('name = "井戸"').well.id).toBe('well');
    expect(wellOf(`name = "${'ab '.repeat(20)}"`).well.id).toMatch(/^[a-z0-9-]{1,32}$/);
  });

  it('tells what is unsafe though possible, and whom to ask', () => {
    const { told } = wellOf(
      'name = "x"\nid = "x"\ntime_zone = "UTC"\naltitude = "0 ft"\nunits = "si"\n' +
        'tank.rated_pressure = "75 psi"\nswitch.cut_out = "80 psi"\nrelief.opens = "78 psi"',
    );
    expect(told).toHaveLength(3);
    expect(told[0]).toContain('switch.cut_out is above tank.rated_pressure');
    for (const line of told) expect(line).toContain('licensed contractor');
  });
});
