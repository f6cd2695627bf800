import fc from 'fast-check';
import { expect, it } from 'vitest';
import { CHANNELS } from '../model/reading.ts';
import { exportCsv } from './export.ts';
import { MemoryStore } from './memory/store.ts';

it('has no cell that a spreadsheet would run: headings of our own and numbers', async () => {
  const value = fc.double({ noNaN: true, noDefaultInfinity: true });
  const reading = fc.record({
    timeS: fc.integer({ min: 1, max: 1000 }),
    channel: fc.integer({ min: 0, max: CHANNELS.length - 1 }),
    value: fc.oneof(value, fc.constantFrom(-0, -1, 1e308, -5e-324)),
  });
  await fc.assert(
    fc.asyncProperty(fc.array(reading, { minLength: 1, maxLength: 20 }), async (readings) => {
      const store = new MemoryStore();
      const pack = { boot: null, seq: null, arrivedS: 2000, refused: [] };
      await store.keep([
        {
          ...{ ...pack, wellId: 'ridge', device: '=cmd|calc' },
          readings: {
            count: readings.length,
            timeS: Float64Array.from(readings, ({ timeS }) => timeS),
            channel: Uint8Array.from(readings, ({ channel }) => channel),
            value: Float64Array.from(readings, ({ value }) => value),
          },
        },
      ]);
      let text = '';
      for await (const piece of exportCsv(store, { wellId: 'ridge', fromS: 0, toS: 1e9 }))
        text += piece;
      const [heading = '', ...rows] = text.trimEnd().split('\n');
      for (const cell of heading.split(',')) expect(cell).toMatch(/^[a-z]/);
      // A minus before digits is a number to every spreadsheet.
      for (const cell of rows.flatMap((row) => row.split(',')))
        expect(cell).toMatch(/^(?:-?\d+(?:\.\d+)?(?:e[-+]\d+)?)?$/);
    }),
    { numRuns: 50 },
  );
});
