import { EXAMPLE } from '../units/kinds.ts';
import { parseQuantity } from '../units/parse.ts';
import type { Question } from './interview-questions.ts';
import { tomlText as quoted } from './toml-text.ts';

/** What stands in the file for an answer, or why none can. */
export type Written = { toml: string } | { expected: string; found: string };

/** How an answer says where its figure comes from. */
const SOURCES: Record<string, string> = {
  measured: 'measured',
  nameplate: 'nameplate',
  guess: 'guess',
  guessed: 'guess',
  "driller's log": 'drillers-log',
  'drillers-log': 'drillers-log',
  'drillers log': 'drillers-log',
};
const SOURCE = new RegExp(`^(.*?)[\\s,]+(${Object.keys(SOURCES).join('|')})$`, 'iu');

/** Keys whose value is text alone: they take no source. */
const PLAIN = new Set(['energy.price']);

/** An answer as the file writes it. Whether it can be is seen when the file is read. */
export function written({ key, answer, example }: Question, text: string): Written {
  if (answer === 'text') return { toml: quoted(text) };
  if (answer === 'whole') return writtenWhole(text, example);
  if (answer === 'curve') return writtenCurve(text, example);
  if (typeof answer !== 'string') return { toml: quoted(choiceOf(answer, text)) };
  const [, value = text, name = ''] = PLAIN.has(key) ? [] : (SOURCE.exec(text) ?? []);
  const parsed = parseQuantity(value, answer);
  if (!parsed.ok) return { expected: parsed.expected, found: shown(parsed.found) };
  const source = SOURCES[name.toLowerCase()];
  const plain = quoted(value.trim());
  return { toml: source ? `{ value = ${plain}, source = "${source}" }` : plain };
}

/** A word, or its place in the list. */
function choiceOf(words: readonly string[], text: string): string {
  const lower = text.toLowerCase();
  return words.find((word, i) => word === lower || String(i + 1) === text) ?? text;
}

function writtenWhole(text: string, example: string): Written {
  if (/^\d{1,9}$/.test(text)) return { toml: String(Number(text)) };
  return { expected: `a whole number such as ${example}`, found: shown(text) };
}

function writtenCurve(text: string, example: string): Written {
  const points = text.split(';').map((point) => /^(.+?)\s+at\s+(.+)$/.exec(point.trim()));
  const pairs: string[] = [];
  for (const point of points) {
    const [, flow = '', head = ''] = point ?? [];
    if (point === null) return { expected: `points such as ${example}`, found: shown(text) };
    for (const [part, kind] of [
      [flow, 'flow'],
      [head, 'head'],
    ] as const) {
      const parsed = parseQuantity(part, kind);
      if (parsed.ok) continue;
      return { expected: `${parsed.expected}, as in ${EXAMPLE[kind]}`, found: shown(parsed.found) };
    }
    pairs.push(`[${quoted(flow)}, ${quoted(head)}]`);
  }
  return { toml: `[${pairs.join(', ')}]` };
}

const LONGEST_SHOWN = 60;

const shown = (text: string) =>
  JSON.stringify(text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN)}…` : text);
