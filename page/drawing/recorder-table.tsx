import { useState } from 'preact/hooks';
import { bareGauge, type Figures, unitOf } from '../../src/report/figures.ts';
import type { Stretch } from '../data/levels.ts';
import { Scrolls } from '../parts/scrolls.tsx';
import { dateTime } from '../parts/times.ts';
import { SAY } from '../words.ts';
import type { Sheet } from './paper.ts';
import { spanOf } from './paper-window.ts';

const ROWS = 24;

/** What lies on the paper as figures, for whoever reads rather than looks. */
export function RecorderTable({ sheet, figures }: { sheet: Sheet; figures: Figures }) {
  const [open, setOpen] = useState(false);
  const { columns } = SAY.recorder;
  return (
    <details class="as-table" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{SAY.recorder.asTable}</summary>
      {open && (
        <Scrolls label={SAY.recorder.asTable}>
          <table>
            <thead>
              <tr>
                <th scope="col">{columns.time}</th>
                {sheet.lanes.flatMap(({ pen }) =>
                  [columns.least, columns.mean, columns.greatest].map((what) => (
                    <th scope="col" class="number" key={pen + what}>
                      {SAY.recorder[pen]} {what}, {unitOf(pen, figures)}
                    </th>
                  )),
                )}
              </tr>
            </thead>
            <tbody>{open && rows(sheet, figures)}</tbody>
          </table>
        </Scrolls>
      )}
    </details>
  );
}

function rows({ window, lanes }: Sheet, figures: Figures) {
  const lengthS = spanOf(window) / ROWS;
  return Array.from({ length: ROWS }, (_, i) => {
    const fromS = window.fromS + i * lengthS;
    return (
      <tr key={i}>
        <th scope="row">{dateTime(fromS, figures.zone, spanOf(window))}</th>
        {lanes.flatMap(({ pen, stretches }) => {
          const found = together(stretches, fromS, fromS + lengthS);
          return [found?.least, found?.mean, found?.greatest].map((value, k) => (
            <td class="number" key={`${pen}${k}`}>
              {bareGauge(value ?? null, pen, figures)}
            </td>
          ));
        })}
      </tr>
    );
  });
}

function together(stretches: readonly Stretch[], fromS: number, toS: number): Stretch | null {
  const within = stretches.filter((one) => one.fromS >= fromS && one.fromS < toS);
  if (within.length === 0) return null;
  return {
    ...{ fromS, toS },
    least: Math.min(...within.map(({ least }) => least)),
    greatest: Math.max(...within.map(({ greatest }) => greatest)),
    mean: within.reduce((sum, { mean }) => sum + mean, 0) / within.length,
  };
}
