import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { TSchema } from 'typebox';

const FORMATS = join(import.meta.dirname, '..', '..', 'docs', 'formats');

type Schema = Record<string, unknown>;

/** A schema that the page has by name: put in once the page is made. */
const named = (name: string) => ({ 'x-named': name }) as unknown as TSchema;

export const STUDY_SCHEMA = named('study');
/** A study without the lists that have addresses of their own. */
export const OUTLINE_SCHEMA = named('outline');
/** Records of a study; a day has `open` and `runs` as well, a period counts of days, too. */
export const RECORD_SCHEMAS = {
  runs: named('run'),
  days: named('dayAlive'),
  periods: named('period'),
  draws: named('draw'),
  findings: named('finding'),
};

/** What `POST` takes; the intake reads it itself. */
const SENML = {
  required: true,
  description: 'A pack of readings, SenML JSON (RFC 8428), plain or gzipped',
  content: {
    'application/senml+json': {
      schema: {
        type: 'array',
        items: {
          type: 'object',
          properties: {
            bn: { type: 'string' },
            bt: { type: 'number' },
            n: { type: 'string' },
            u: { type: 'string' },
            t: { type: 'number' },
            v: { type: 'number' },
          },
        },
      },
    },
  },
};

const OF_RUNS = {
  type: ['object', 'null'],
  properties: { middle: { type: 'number' }, width: { type: 'number' } },
  required: ['middle', 'width'],
  additionalProperties: false,
};
const RUNS_OF_DAY = {
  type: 'object',
  description: 'what its runs were like: their middle, and the robust width of how they lie apart',
  properties: { cutInPaGauge: OF_RUNS, cutOutPaGauge: OF_RUNS, meanCurrentA: OF_RUNS },
  required: ['cutInPaGauge', 'cutOutPaGauge', 'meanCurrentA'],
  additionalProperties: false,
};

/** Schemas of a study, as its own document has them. */
async function studySchemas(): Promise<Record<string, Schema>> {
  const { $schema, $defs, ...study } = JSON.parse(
    await readFile(join(FORMATS, 'study.schema.json'), 'utf8'),
  );
  const { day } = $defs;
  const properties = { ...day.properties, open: { type: 'boolean' }, runs: RUNS_OF_DAY };
  const dayAlive = { ...day, properties, required: [...day.required, 'open'] };
  const count = { type: 'integer', minimum: 1 };
  const counts = { days: count, wholeDays: { ...count, minimum: 0 }, ofDays: count };
  const period = {
    ...dayAlive,
    // Of many days.
    properties: { ...properties, coveredS: { type: 'number', minimum: 0 }, ...counts },
    required: [...dayAlive.required, ...Object.keys(counts)],
  };
  const { runs, days, draws, findings, ...few } = study.properties;
  const isFew = (name: string) => Object.hasOwn(few, name);
  const outline = { ...study, properties: few, required: study.required.filter(isFew) };
  return { ...$defs, dayAlive, period, outline, study };
}

/** The page of OpenAPI with all schemas that it names, and what a device hands in. */
export async function withSchemas(page: object): Promise<object> {
  const made = structuredClone(page) as {
    paths: Record<string, Record<string, Schema>>;
    components?: object;
  };
  for (const of of Object.values(made.paths)) if (of.post) of.post.requestBody ??= SENML;
  const components = { ...made.components, schemas: await studySchemas() };
  const whole = JSON.stringify({ ...made, components });
  const placed = whole
    .replaceAll('"#/$defs/', '"#/components/schemas/')
    .replaceAll(/\{"x-named":"(\w+)"\}/g, '{"$ref":"#/components/schemas/$1"}');
  return JSON.parse(placed);
}
