import { expect, it } from 'vitest';
import { fullestSheet } from '../../test/support/fullest-sheet.ts';
import { sheetPdf } from './pdf.ts';

const pagesIn = (pdf: Buffer): number =>
  [...pdf.toString('latin1').matchAll(/\/Type \/Page\b/g)].length;

it.each(['us', 'si'] as const)(
  'holds the fullest page on two sheets of paper (%s)',
  async (units) => {
    const pdf = await sheetPdf(fullestSheet(units));
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
    expect(pagesIn(pdf)).toBe(2);
    const box = units === 'us' ? '[0 0 612 792]' : '[0 0 595.28 841.89]';
    expect(pdf.toString('latin1')).toContain(`/MediaBox ${box}`);
  },
);
