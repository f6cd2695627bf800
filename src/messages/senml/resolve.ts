/** The version of SenML that RFC 8428 is. */
const SENML_VERSION = 10;
/** Below this a time counts from the moment of arrival (RFC 8428 section 4.5.3). */
const LEAST_ABSOLUTE_S = 2 ** 28;

/** Base fields in force, RFC 8428 section 4.1. */
export interface SenmlBase {
  name: string;
  timeS: number;
  unit: string | null;
  value: number;
  sum: number;
}

/** A record with its base fields worked in, RFC 8428 section 4.6. */
export interface SenmlRecord {
  name: string;
  /** The base name before its last `/`: the device, where names are device, `/`, sensor. */
  device: string;
  unit: string | null;
  /** Unix s, or s after arrival when `relative`. */
  timeS: number;
  relative: boolean;
  value: number | string | boolean | null;
  /** Text is base64url data. */
  isData: boolean;
  sum: number | null;
}

export const SENML_ISSUES = [
  'not-a-record',
  'wrong-type',
  'bad-name',
  'no-value',
  'several-values',
  'version-not-known',
  'field-not-known',
] as const;

export type SenmlIssue = (typeof SENML_ISSUES)[number];

export type Resolved = { record: SenmlRecord } | { issue: SenmlIssue } | null;

const NUMBERS = ['bt', 'bv', 'bs', 'bver', 't', 'ut', 'v', 's'];
const TEXTS = ['bn', 'bu', 'n', 'u', 'vs', 'vd'];
const NAME = /^[A-Za-z0-9][A-Za-z0-9\-:./_]*$/;

export function newBase(): SenmlBase {
  return { name: '', timeS: 0, unit: null, value: 0, sum: 0 };
}

/**
 * Resolves one JSON record (RFC 8428 sections 4 and 5), taking its base fields into `base` for
 * those that follow. Null for a record that only sets base fields. Only a version larger than
 * ours is refused; a field that ends in `_` and is not known must be (section 4.4).
 */
export function resolveRecord(base: SenmlBase, json: unknown): Resolved {
  if (json === null || typeof json !== 'object' || Array.isArray(json)) {
    return { issue: 'not-a-record' };
  }
  const fields = json as Record<string, unknown>;
  if (!typesHold(fields)) return { issue: 'wrong-type' };
  if (Object.keys(fields).some((key) => key.endsWith('_'))) return { issue: 'field-not-known' };
  if (fields.bver !== undefined && (fields.bver as number) > SENML_VERSION) {
    return { issue: 'version-not-known' };
  }
  takeBase(base, fields);
  const values = ['v', 'vs', 'vb', 'vd'].filter((key) => fields[key] !== undefined);
  if (values.length > 1) return { issue: 'several-values' };
  if (values.length === 0 && fields.s === undefined && fields.n === undefined) {
    if (fields.t === undefined) return null;
  }
  const name = base.name + ((fields.n as string | undefined) ?? '');
  if (!NAME.test(name)) return { issue: 'bad-name' };
  if (values.length === 0 && fields.s === undefined) return { issue: 'no-value' };
  return { record: recordOf(base, fields, name) };
}

/** Resolves a whole pack; `issues` says what is wrong with which record, counted from 0. */
export function resolvePack(json: unknown): {
  records: (SenmlRecord & { index: number })[];
  issues: { index: number; issue: SenmlIssue }[];
} {
  const pack = Array.isArray(json) ? json : [json];
  const base = newBase();
  const records: (SenmlRecord & { index: number })[] = [];
  const issues: { index: number; issue: SenmlIssue }[] = [];
  for (const [index, one] of pack.entries()) {
    const resolved = resolveRecord(base, one);
    if (resolved === null) continue;
    if ('record' in resolved) records.push({ ...resolved.record, index });
    else issues.push({ index, issue: resolved.issue });
  }
  return { records, issues };
}

function typesHold(fields: Record<string, unknown>): boolean {
  const isNumber = (key: string) =>
    fields[key] === undefined || (typeof fields[key] === 'number' && Number.isFinite(fields[key]));
  const isText = (key: string) => fields[key] === undefined || typeof fields[key] === 'string';
  const flag = fields.vb === undefined || typeof fields.vb === 'boolean';
  return flag && NUMBERS.every(isNumber) && TEXTS.every(isText);
}

function takeBase(base: SenmlBase, fields: Record<string, unknown>): void {
  const { bn, bt, bu, bv, bs } = fields;
  if (typeof bn === 'string') base.name = bn;
  if (typeof bt === 'number') base.timeS = bt;
  if (typeof bu === 'string') base.unit = bu;
  if (typeof bv === 'number') base.value = bv;
  if (typeof bs === 'number') base.sum = bs;
}

function recordOf(base: SenmlBase, fields: Record<string, unknown>, name: string): SenmlRecord {
  const { u, t, v, vs, vb, vd, s } = fields;
  const timeS = base.timeS + (typeof t === 'number' ? t : 0);
  const value =
    typeof v === 'number' ? base.value + v : ((vs ?? vb ?? vd ?? null) as string | boolean | null);
  return {
    name,
    device: deviceOf(base.name, name.slice(base.name.length)),
    unit: typeof u === 'string' ? u : base.unit,
    timeS,
    relative: timeS < LEAST_ABSOLUTE_S,
    value,
    isData: vd !== undefined,
    sum: typeof s === 'number' ? base.sum + s : null,
  };
}

function deviceOf(baseName: string, ownName: string): string {
  if (ownName.startsWith('/')) return baseName;
  return baseName.slice(0, Math.max(0, baseName.lastIndexOf('/')));
}
