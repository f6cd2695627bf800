import { describe, expect, it } from 'vitest';
import { instant } from './instant.ts';

describe('an instant', () => {
  // RFC 3339 section 5.8.
  it.each([
    [482_196_050.52, '1985-04-12T23:20:50.520Z'],
    [851_042_397, '1996-12-20T00:39:57.000Z'],
  ])('%d s is %s', (timeS, text) => {
    expect(instant(timeS)).toBe(text);
    expect(Date.parse(text) / 1000).toBe(timeS);
  });

  it('comes back from its own text, whatever digits a second has', () => {
    for (let ms = 0; ms < 1000; ms++) {
      const text = new Date(1_775_433_600_000 + ms).toISOString();
      expect(instant(Date.parse(text) / 1000)).toBe(text);
    }
  });
});
