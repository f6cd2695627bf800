import { readFileSync } from 'node:fs';
import { loadMicroPython } from '@micropython/micropython-webassembly-pyscript/micropython.mjs';
import type { Link } from './link.ts';

const here = (path: string) => readFileSync(new URL(path, import.meta.url), 'utf8');
const PARTS = ['board', 'machine', 'network', 'socket', 'select', 'time'];
/** What a board has; `grewBytes` tells that it never took more. */
export const HEAP_BYTES = 100_000;
/** Turns of the board between two looks at what comes unasked. */
const LOOK_EVERY = 10;

/** What may differ from test/device/board/board.py. */
export type Bench = Record<string, number | readonly (readonly number[])[]>;
export type Flash = Map<string, Uint8Array>;

interface MicroPython {
  FS: {
    mkdirTree(path: string): void;
    readdir(path: string): string[];
    isDir(mode: number): boolean;
    stat(path: string): { mode: number };
    readFile(path: string): Uint8Array;
    writeFile(path: string, content: string | Uint8Array): void;
  };
  globals: { get(name: string): unknown };
  registerJsModule(name: string, module: object): void;
  runPython(code: string): void;
}

const literal = (value: unknown) =>
  typeof value === 'boolean' ? (value ? 'True' : 'False') : JSON.stringify(value);
const assigned = (to: string, values: Record<string, unknown>) =>
  Object.entries(values).map(([name, value]) => `${to}.${name} = ${literal(value)}`);

/**
 * The package keeps what it must free in globals, so that garbage of a board that lost its power
 * would be freed in the one that came after it. Nothing is freed, then.
 */
async function loadAlone(stdout: (line: string) => void): Promise<MicroPython> {
  const usual = globalThis.FinalizationRegistry;
  globalThis.FinalizationRegistry = class {
    register() {}
  } as never;
  try {
    return (await loadMicroPython({ heapsize: HEAP_BYTES, stdout })) as MicroPython;
  } finally {
    globalThis.FinalizationRegistry = usual;
  }
}

/**
 * The file that a keeper copies, unchanged, on MicroPython with a simulated board. One board has
 * power at a time; `flash` is what stays without.
 */
export class Board {
  readonly said: string[];
  readonly #mp: MicroPython;
  readonly #link: Link;

  private constructor(mp: MicroPython, link: Link, said: string[]) {
    this.#mp = mp;
    this.#link = link;
    this.said = said;
  }

  static async on(
    link: Link,
    given: { settings?: Record<string, unknown>; bench?: Bench; flash?: Flash; seed?: number } = {},
  ): Promise<Board> {
    const said: string[] = [];
    const stdout = (line: string) => said.push(line);
    const mp = await loadAlone(stdout);
    mp.registerJsModule('link', link.forBoard());
    mp.FS.mkdirTree('/board');
    mp.FS.mkdirTree('/flash/waiting');
    for (const part of PARTS) mp.FS.writeFile(`/board/${part}.py`, here(`board/${part}.py`));
    for (const [path, content] of given.flash ?? []) mp.FS.writeFile(`/flash/${path}`, content);
    mp.FS.writeFile('/flash/main.py', here('../../device/main.py'));
    mp.FS.writeFile('/flash/settings.py', here('../../device/settings.py'));
    const lines = [
      'import gc, os, sys, json',
      'size = gc.mem_alloc() + gc.mem_free()',
      "os.chdir('/flash')",
      "sys.path.insert(0, '/board')",
      "sys.modules.pop('time', None)",
      'import board, random, settings',
      // Boards draw these from their hardware.
      'os.urandom = lambda count: bytes(random.getrandbits(8) for _ in range(count))',
      `random.seed(${given.seed ?? 1})`,
      ...assigned('board', given.bench ?? {}),
      ...assigned('settings', { WELL: 'ridge-house', WATCHDOG: true, ...given.settings }),
      'import main',
      'peak = gc.mem_alloc()',
      'gc.collect()',
      'sender = main.Sender()',
      'def turn(skip_us):',
      '    global peak',
      '    board.us += skip_us',
      '    sender.turn()',
      '    peak = max(peak, gc.mem_alloc())',
      '    return board.us / 1e6',
    ];
    mp.runPython(lines.join('\n'));
    return new Board(mp, link, said);
  }

  /** Runs until the true time [s]; the board is busy elsewhere for `skipS` after each step. */
  async until(trueS: number, skipS = 0): Promise<void> {
    const turn = this.#mp.globals.get('turn') as (skipUs: number) => number;
    const skipUs = Math.round(skipS * 1e6);
    for (let i = 0; ; i++) {
      const nowS = turn(skipUs);
      this.#link.setTime(nowS);
      if (nowS >= trueS) return;
      if (i % LOOK_EVERY === 0) await new Promise((done) => setImmediate(done));
      await this.#link.answered();
    }
  }

  /** The network is there; until all that waits is sent. */
  async sendAll(): Promise<void> {
    this.#link.isUp = true;
    for (let tries = 0; tries < 90; tries++) {
      await this.until(this.ask<number>('board.us') / 1e6 + 5);
      if (this.ask<number>('len(sender.queue.files) + len(sender.queue.readings)') <= 1) return;
    }
    throw new Error(`still waiting: ${this.said.slice(-5).join('\n')}`);
  }

  /** The value of a Python expression. */
  ask<T>(expression: string): T {
    this.#mp.runPython(`answer = json.dumps(${expression})`);
    return JSON.parse(this.#mp.globals.get('answer') as string) as T;
  }

  /** The most that was in use, with all garbage: the simulated parts of the board included. */
  get peakBytes(): number {
    return this.ask<number>('peak');
  }

  /** What was added to the heap, which grows where it is too small. */
  get grewBytes(): number {
    return this.ask<number>('gc.mem_alloc() + gc.mem_free() - size');
  }

  run(code: string): void {
    this.#mp.runPython(code);
  }

  flash(): Flash {
    const { FS } = this.#mp;
    const kept: Flash = new Map();
    for (const name of FS.readdir('/flash/waiting')) {
      if (!name.startsWith('.')) kept.set(`waiting/${name}`, FS.readFile(`/flash/waiting/${name}`));
    }
    return kept;
  }
}
