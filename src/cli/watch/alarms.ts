import { AlarmKeeper, type Receiver } from '../../alarms/alarm-keeper.ts';
import { instant } from '../../base/instant.ts';
import type { LivingEvent } from '../../living/events.ts';
import type { LivingWells } from '../../living/living-wells.ts';
import type { AlarmEntry } from '../../model/alarm.ts';
import type { AlarmSettings } from '../../model/alarm-settings.ts';
import type { Well } from '../../model/well.ts';
import { type Beat, Heartbeat } from '../../notify/heartbeat.ts';
import { openNotifier, SettingsFileError, secretFrom } from '../../notify/open.ts';
import { Subscriptions } from '../../notify/subscriptions.ts';
import type { Clock } from '../../ports/clock.ts';
import { SubscriptionRefused } from '../../ports/push-desk.ts';
import type { Pack, ReadingStore } from '../../ports/reading-store.ts';
import { UsageError } from '../usage.ts';
import type { Say } from './say.ts';

/** Who is told: the settings, and the folder that their files are named from. */
export interface AlarmOptions {
  settings: AlarmSettings;
  folder: string;
}

export interface AlarmParts {
  store: ReadingStore;
  clock: Clock;
  wells: LivingWells;
  /** As they were given; an edited file is asked for from `wells`. */
  files: readonly Well[];
  options: AlarmOptions | null;
  /** Where browsers that subscribe are kept. */
  subscriptionFile: string;
  tell: (event: LivingEvent) => void;
  say: Say;
  /** Why no readings are taken; null where they are. */
  holds: () => string | null;
}

/** Telling what is under way may take so long when the service stops, ms. */
const LAST_WORDS_MS = 3000;

/** The alarms of all wells, and those who are told. */
export class Alarms {
  readonly #parts: AlarmParts;
  readonly #keepers = new Map<string, AlarmKeeper>();
  readonly #receivers: Receiver[];
  readonly subscriptions: Subscriptions | null;
  #heartbeat: Heartbeat | null = null;
  #busy = false;

  private constructor(
    parts: AlarmParts,
    to: { receivers: Receiver[]; subscriptions: Subscriptions | null },
  ) {
    this.#parts = parts;
    this.#receivers = to.receivers;
    this.subscriptions = to.subscriptions;
  }

  static async open(parts: AlarmParts): Promise<Alarms> {
    const { options, clock, files } = parts;
    const receivers = await receiversOf(options, clock);
    const alarms = new Alarms(parts, { receivers, subscriptions: await subscriptionsOf(parts) });
    for (const well of files) await alarms.add(well);
    await alarms.#openHeartbeat();
    return alarms;
  }

  get(wellId: string): AlarmKeeper | null {
    return this.#keepers.get(wellId) ?? null;
  }

  /** A pack was kept: its device lives. */
  heard({ wellId, device, readings }: Pack): void {
    let newestS = -Infinity;
    for (let i = 0; i < readings.count; i++) newestS = Math.max(newestS, readings.timeS[i]!);
    this.#keepers.get(wellId)?.heard(device, newestS);
  }

  /** What each well has to tell now. Never throws. */
  async advance(): Promise<void> {
    this.#heartbeat?.advance();
    if (this.#busy) return;
    this.#busy = true;
    try {
      for (const [id, keeper] of this.#keepers) {
        const living = this.#parts.wells.get(id);
        if (living !== null)
          await keeper
            .advance(living.now(), living.isOpen)
            .catch((error: unknown) => this.#trouble(id, error));
      }
    } finally {
      this.#busy = false;
    }
  }

  async close(): Promise<void> {
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<void>((resolve) => {
      timer = setTimeout(resolve, LAST_WORDS_MS);
    });
    await Promise.race([this.#allClosed(), late]);
    clearTimeout(timer);
    await Promise.all(this.#receivers.map(({ notifier }) => notifier.close()));
  }

  /** Resolves once nothing is on its way to anybody. */
  async settled(): Promise<void> {
    await this.#heartbeat?.settled();
    await Promise.all([...this.#keepers.values()].map((keeper) => keeper.settled()));
  }

  async #allClosed(): Promise<void> {
    await this.#heartbeat?.settled();
    await Promise.all([...this.#keepers.values()].map((keeper) => keeper.close()));
  }

  /** The alarms of one more well. */
  async add(well: Well): Promise<void> {
    const { store, clock, wells } = this.#parts;
    const { id } = well;
    const keeper = await AlarmKeeper.open(() => wells.get(id)?.well ?? well, {
      ...{ store, clock, receivers: () => this.#told() },
      tell: (entry) => this.#tell(id, entry),
      trouble: (error) => this.#trouble(id, error),
    });
    this.#keepers.set(id, keeper);
  }

  async #openHeartbeat(): Promise<void> {
    const { options, clock, say } = this.#parts;
    const heartbeat = options?.settings.heartbeat ?? null;
    if (options === null || heartbeat === null) return;
    const { address, everyS, secretFile } = heartbeat;
    const secret =
      secretFile === null ? null : await secretFrom(secretFile, options.folder).catch(usage);
    this.#heartbeat = new Heartbeat({
      ...{ address, everyS, secret, clock },
      beat: () => this.#beat(),
      trouble: (says) =>
        say(
          says === null
            ? { level: 'told', says: 'the heartbeat is heard again' }
            : { level: 'trouble', says: `the heartbeat is not heard: ${says}` },
        ),
    });
  }

  /** Those of the file, and browsers that subscribed. */
  #told(): readonly Receiver[] {
    return [...this.#receivers, ...(this.subscriptions?.receivers ?? [])];
  }

  #beat(): Beat {
    const { wells, clock, holds } = this.#parts;
    const states = wells.states();
    return {
      at: instant(clock.nowS()),
      well: holds() === null && states.every(({ state }) => state === 'alive'),
      wells: [...this.#keepers].map(([well, { alarms }]) => ({
        well,
        lastReading: wells.get(well)?.now().lastReading ?? null,
        standing: alarms.filter(({ state }) => state !== 'normal').length,
      })),
    };
  }

  #tell(well: string, entry: AlarmEntry): void {
    const { tell, say, clock } = this.#parts;
    tell({ kind: 'alarm', well, at: instant(clock.nowS()), entry });
    if (entry.what === 'notice') say({ level: 'told', well, says: entry.notice.subject });
    else if (entry.what === 'delivery' && entry.outcome !== 'delivered')
      say({
        level: 'trouble',
        well,
        says: `${entry.receiver} was not told (${entry.outcome}): ${entry.says}`,
      });
  }

  #trouble(well: string, error: unknown): void {
    const says = error instanceof Error ? error.message : String(error);
    this.#parts.say({ level: 'trouble', well, says });
  }
}

async function receiversOf(options: AlarmOptions | null, clock: Clock): Promise<Receiver[]> {
  if (options === null) return [];
  const { settings, folder } = options;
  return Promise.all(
    settings.receivers.map(async (one) => ({
      settings: one,
      notifier: await openNotifier(one, { folder, clock }).catch(usage),
    })),
  );
}

async function subscriptionsOf(parts: AlarmParts): Promise<Subscriptions | null> {
  const { options, clock, say, subscriptionFile } = parts;
  const settings = options?.settings.push ?? null;
  if (settings === null) return null;
  return Subscriptions.open({
    ...{ file: subscriptionFile, settings, clock },
    taken: options!.settings.receivers.map(({ name }) => name),
    trouble: (says) => say({ level: 'trouble', says }),
  }).catch(usage);
}

/** What a person can mend is an error of usage. */
function usage(error: unknown): never {
  if (error instanceof SettingsFileError || error instanceof SubscriptionRefused)
    throw new UsageError(error.message);
  throw error;
}
