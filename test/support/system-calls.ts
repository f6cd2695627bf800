import { readFileSync } from 'node:fs';

/** Strings whole and in hexadecimal: a page of the store has 8192 bytes. */
export const TRACER = [
  ...['strace', '-f', '-qq', '-xx', '-s', '9000'],
  ...['-e', 'trace=pwrite64,fsync,fdatasync,write,writev,sendto,sendmsg', '-o'],
];

/** A call that went well, with what it wrote as hexadecimal digits. */
export interface SystemCall {
  name: string;
  file: string;
  hex: string;
}

/** What the system was asked for, in order; a call that others came between is where it ended. */
export function systemCalls(trace: string): SystemCall[] {
  const begun = new Map<string, string>();
  return trace.split('\n').flatMap((line) => {
    const [thread = ''] = line.split(' ', 1);
    if (line.endsWith(' <unfinished ...>')) {
      begun.set(thread, line.slice(0, -' <unfinished ...>'.length));
      return [];
    }
    const whole = line.replace(/<\.\.\. \w+ resumed>/, () =>
      (begun.get(thread) ?? '').slice(thread.length),
    );
    const call = /^\d+ +(?:\d+ +)?(\w+)\((\d+)(.*)\) += \d+$/.exec(whole);
    if (call === null) return [];
    const [, name = '', file = '', rest = ''] = call;
    const strings = [...rest.matchAll(/"((?:\\x[0-9a-f]{2})*)"/g)].map(([, hex]) => hex);
    return [{ name, file, hex: strings.join('').replaceAll('\\x', '') }];
  });
}

/** The process that the tracer runs: it hands no signal on. */
export function tracedBy(tracer: number | undefined): number {
  const children = readFileSync(`/proc/${tracer}/task/${tracer}/children`, 'utf8');
  return Number(children.trim().split(' ')[0]);
}
