import { nearestWord } from '../../base/nearest.ts';
import { EXAMPLE } from '../../units/kinds.ts';
import { parseQuantity, type QuantityKind } from '../../units/parse.ts';
import type { SensingIssue } from './types.ts';

/** A quantity of the chain: its kind and, as a keeper writes them, its bounds. */
export interface Spec {
  kind: QuantityKind;
  least: string;
  most: string;
}

const isTable = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const LONGEST_SHOWN = 60;

function shown(value: unknown): string {
  const text = JSON.stringify(value) ?? String(value);
  return text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN)}…` : text;
}

/**
 * One table of `[sensing]` being read. Asking for a key makes it a known one, so `close` can
 * report the others. A getter gives null for what is absent and for what is wrong; the latter
 * is reported.
 */
export class SensingTable {
  readonly issues: SensingIssue[];
  readonly path: string;
  readonly isThere: boolean;
  readonly #given: Record<string, unknown>;
  readonly #known: string[] = [];

  constructor(given: unknown, path: string, issues: SensingIssue[]) {
    this.path = path;
    this.issues = issues;
    this.isThere = given !== undefined;
    this.#given = isTable(given) ? given : {};
    if (this.isThere && !isTable(given)) this.#say('', 'a table', shown(given));
  }

  section(key: string): SensingTable {
    return new SensingTable(this.raw(key), `${this.path}.${key}`, this.issues);
  }

  /** The value as written; undefined where the key is not there. */
  raw(key: string): unknown {
    this.#known.push(key);
    return Object.hasOwn(this.#given, key) ? this.#given[key] : undefined;
  }

  quantity(key: string, spec: Spec): number | null {
    const given = this.raw(key);
    return given === undefined ? null : this.#read(key, given, spec);
  }

  /** One quantity or a list of them. */
  quantities(key: string, spec: Spec, count: { least: number; most: number }): number[] | null {
    const given = this.raw(key);
    if (given === undefined) return null;
    const items: unknown[] = Array.isArray(given) ? given : [given];
    if (items.length < count.least || items.length > count.most) {
      const { least, most } = count;
      const many = least === most ? `${least}` : `${least} to ${most}`;
      return this.wrong(key, `${many} of ${wantedOf(spec)}`);
    }
    const read = items.map((item) => this.#read(key, item, spec));
    return read.every((value) => value !== null) ? read : null;
  }

  flag(key: string): boolean | null {
    const given = this.raw(key);
    if (given === undefined || typeof given === 'boolean') return given ?? null;
    return this.wrong(key, 'true or false');
  }

  whole(key: string, least: number, most: number): number | null {
    const given = this.raw(key);
    if (given === undefined) return null;
    const isFit = typeof given === 'number' && Number.isInteger(given);
    if (isFit && given >= least && given <= most) return given;
    return this.wrong(key, `a whole number from ${least} to ${most}`);
  }

  choice<Word extends string>(key: string, words: readonly Word[]): Word | null {
    const given = this.raw(key);
    if (given === undefined) return null;
    const word = words.find((one) => one === String(given));
    return word ?? this.wrong(key, `one of ${words.map((one) => `"${one}"`).join(', ')}`);
  }

  wrong(key: string, expected: string, found: unknown = this.#given[key]): null {
    this.#say(key, expected, typeof found === 'string' ? `"${found}"` : shown(found));
    return null;
  }

  /** Reports the keys that nobody asked for. */
  close(): void {
    for (const key of Object.keys(this.#given)) {
      if (this.#known.includes(key)) continue;
      const near = nearestWord(key, this.#known);
      const hint = near === null ? `one of ${this.#known.join(', ')}` : `"${near}"?`;
      this.#say(key, `a known key: ${hint}`, `"${key}"`);
    }
  }

  #read(key: string, given: unknown, spec: Spec): number | null {
    if (typeof given !== 'string') return this.wrong(key, wantedOf(spec), given);
    const parsed = parseQuantity(given, spec.kind);
    if (!parsed.ok) return this.wrong(key, parsed.expected, given);
    if (parsed.value >= bound(spec.least, spec) && parsed.value <= bound(spec.most, spec)) {
      return parsed.value;
    }
    return this.wrong(key, `between ${spec.least} and ${spec.most}`, given);
  }

  #say(key: string, expected: string, found: string): void {
    const at = key === '' ? this.path : `${this.path}.${key}`;
    this.issues.push({ key: at, expected, found });
  }
}

const wantedOf = (spec: Spec) => `text with a unit such as "${EXAMPLE[spec.kind]}"`;

function bound(text: string, { kind }: Spec): number {
  const parsed = parseQuantity(text, kind);
  return parsed.ok ? parsed.value : Number.NaN;
}
