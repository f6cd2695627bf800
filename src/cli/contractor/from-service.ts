import { createHash } from 'node:crypto';
import { setImmediate as turn } from 'node:timers/promises';
import type { WellBook } from '../../book/well-book.ts';
import type { Study } from '../../model/study.ts';
import type { Well } from '../../model/well.ts';
import type { ReadingStore } from '../../ports/reading-store.ts';
import { TREND_DAYS } from '../../report/contractor/charts.ts';
import { contractorSheet } from '../../report/contractor/compose.ts';
import type { DataFile } from '../../report/contractor/look-up.ts';
import type { Sheet } from '../../report/contractor/sheet.ts';
import { overlaidRuns, thenNow } from '../../report/contractor/spans.ts';
import { exportCsv } from '../../store/export.ts';
import { Traces } from './traces.ts';

const DAY_S = 86_400;

interface Asked {
  study: Study;
  well: Well;
  complaint: string;
  by: string;
  nowS: number;
}

/** The page for the contractor of a well that lives in this service. */
export async function sheetFromService(
  { study, well, complaint, by, nowS }: Asked,
  { store, book }: { store: ReadingStore; book: WellBook | null },
): Promise<Sheet> {
  const { now, past } = overlaidRuns(study, thenNow(study, well));
  const runs = now === null ? past : [...past, now];
  const traces = new Traces(well, runs);
  for (const { fromS, toS } of traces.spans)
    for await (const batch of store.readings(well.id, fromS, toS)) traces.take(batch);
  const data = [await logFile(store, study, well), ...(await wellFile(book, well))];
  const made = new Date(nowS * 1000).toISOString();
  return contractorSheet({
    ...{ study, well, complaint, by, made, data },
    overlaid: traces.overlaid(now),
  });
}

/** What `log.csv` of the last days gives, to the last byte. */
async function logFile(store: ReadingStore, { span }: Study, { id }: Well): Promise<DataFile> {
  const toS = Math.ceil(Date.parse(span.to) / 1000) + 1;
  const fromS = Math.max(toS - TREND_DAYS * DAY_S, Math.floor(Date.parse(span.from) / 1000));
  const hash = createHash('sha256');
  for await (const piece of exportCsv(store, { wellId: id, fromS, toS })) {
    hash.update(piece);
    // Days of readings are long to go through: whatever else waits has its turn between.
    await turn();
  }
  const [from, to] = [fromS, toS].map((atS) => new Date(atS * 1000).toISOString());
  const name = `/api/v1/wells/${id}/log.csv?from=${from}&to=${to}`;
  return { name, what: 'readings', sha256: hash.digest('hex') };
}

async function wellFile(book: WellBook | null, { id }: Well): Promise<DataFile[]> {
  const file = await book?.file().catch(() => null);
  if (file == null) return [];
  const name = `/api/v1/wells/${id}/file-text`;
  return [{ name, what: 'well file, the member text', sha256: file.hash }];
}
