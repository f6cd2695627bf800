import type { Study } from '../../src/model/study.ts';
import type { Well } from '../../src/model/well.ts';
import { Pipeline } from '../../src/pipeline/pipeline.ts';
import { studyOf } from '../../src/pipeline/result.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';

const PSI_PA = 6894.757293168;
const PRESSURE = 0;
const CURRENT = 1;

export function wellOf(toml: string): Well {
  const parsed = parseWellFile(toml);
  if (!parsed.ok) throw new Error(`well file: ${JSON.stringify(parsed.issues)}`);
  return parsed.well;
}

/** The same well file as the keeper had it before the bucket test. */
export function withoutBucket(toml: string): string {
  const parts = toml.split(/^(?=\[)/m);
  return parts.filter((part) => !part.startsWith('[[bucket_test]]')).join('');
}

/** Readings gathered as a log would hold them, two decimals, for as many studies as needed. */
export class GatheredLog {
  readonly #timeS: number[] = [];
  readonly #channel: number[] = [];
  readonly #value: number[] = [];

  pressure(timeS: number, psi: number): void {
    this.#add(timeS, PRESSURE, (Math.round(psi * 100) / 100) * PSI_PA);
  }

  current(timeS: number, amps: number): void {
    this.#add(timeS, CURRENT, Math.round(amps * 100) / 100);
  }

  #add(timeS: number, channel: number, value: number): void {
    this.#timeS.push(Math.round(timeS * 10) / 10);
    this.#channel.push(channel);
    this.#value.push(value);
  }

  study(toml: string): Study {
    const pipeline = new Pipeline(wellOf(toml));
    pipeline.take({
      count: this.#timeS.length,
      timeS: Float64Array.from(this.#timeS),
      channel: Uint8Array.from(this.#channel),
      value: Float64Array.from(this.#value),
    });
    pipeline.end();
    return studyOf(pipeline, { setAside: [], told: [] });
  }
}
