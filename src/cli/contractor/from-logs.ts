import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { writeFile } from 'node:fs/promises';
import { basename } from 'node:path';
import type { ReadingBatch } from '../../model/reading.ts';
import type { Study } from '../../model/study.ts';
import type { Well } from '../../model/well.ts';
import { sheetPdf } from '../../paper/pdf.ts';
import { contractorSheet } from '../../report/contractor/compose.ts';
import { sheetHtml } from '../../report/contractor/html.ts';
import type { DataFile } from '../../report/contractor/look-up.ts';
import { overlaidRuns, thenNow } from '../../report/contractor/spans.ts';
import { UsageError } from '../usage.ts';
import { Traces } from './traces.ts';

export interface FromLogs {
  study: Study;
  well: Well;
  wellFile: string;
  logs: string[];
  /** Reads the logs once more. */
  read(take: (batch: ReadingBatch) => void): Promise<unknown>;
  complaint: string;
  /** Ends in .html or .pdf. */
  out: string;
}

/** Writes the page for the contractor of recorded logs to a new file. */
export async function writeContractorPage(asked: FromLogs): Promise<void> {
  const { study, well, wellFile, logs, read, complaint, out } = asked;
  const { now, past } = overlaidRuns(study, thenNow(study, well));
  const traces = new Traces(well, now === null ? past : [...past, now]);
  await read((batch) => traces.take(batch));
  const data: DataFile[] = [];
  for (const path of logs) data.push(await fileOf(path, 'readings'));
  data.push(await fileOf(wellFile, 'well file'));
  const sheet = contractorSheet({
    ...{ study, well, complaint, by: '', data, made: new Date().toISOString() },
    overlaid: traces.overlaid(now),
  });
  const page = out.endsWith('.pdf') ? await sheetPdf(sheet) : sheetHtml(sheet);
  await writeFile(out, page, { flag: 'wx' }).catch((error: NodeJS.ErrnoException) => {
    const found = error.code === 'EEXIST' ? 'one there already' : (error.code ?? error.message);
    throw new UsageError(`--contractor: expected to write a new file ${out}, found ${found}`);
  });
}

async function fileOf(path: string, what: string): Promise<DataFile> {
  const hash = createHash('sha256');
  for await (const piece of createReadStream(path)) hash.update(piece as Buffer);
  return { name: basename(path), what, sha256: hash.digest('hex') };
}
