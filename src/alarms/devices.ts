/** What is known of how a device reports. */
export interface DeviceState {
  device: string;
  /** When its last pack came [Unix s]. */
  lastS: number;
  /** Its latest pauses between packs [s]. */
  pausesS: number[];
}

/** Nothing for so long, and for three times its usual longest pause, is silence. */
const SILENT_S = 600;
const TIMES = 3;
/** A device that gathers for longer than this is told as silent between its packs. */
const LONGEST_SILENT_S = 2 * 86_400;
const KEPT_PAUSES = 32;
/** Packs of one moment are no pause. */
const LEAST_PAUSE_S = 0.5;
/** A device gone for so long while others speak was replaced. */
const FORGOTTEN_S = 30 * 86_400;
/** More are not watched one by one. */
const MOST = 64;

/** When each device of a well spoke last, and which ones do not any more. */
export class DeviceWatch {
  readonly #devices = new Map<string, DeviceState>();
  /** Nothing could come before this [Unix s]. */
  readonly #sinceS: number;

  constructor(known: readonly DeviceState[], sinceS: number) {
    for (const one of known) this.#devices.set(one.device, structured(one));
    this.#sinceS = sinceS;
  }

  get states(): DeviceState[] {
    return [...this.#devices.values()].map(structured);
  }

  note(device: string, atS: number): void {
    const known = this.#devices.get(device);
    if (known === undefined) {
      if (this.#devices.size < MOST) this.#devices.set(device, { device, lastS: atS, pausesS: [] });
      return;
    }
    // The silence that the service itself made is not the device's.
    const pauseS = atS - Math.max(known.lastS, this.#sinceS);
    if (pauseS >= LEAST_PAUSE_S) {
      known.pausesS.push(pauseS);
      if (known.pausesS.length > KEPT_PAUSES) known.pausesS.shift();
    }
    known.lastS = Math.max(known.lastS, atS);
  }

  /** Those of which nothing comes, and since when. */
  silent(nowS: number): { device: string; sinceS: number }[] {
    this.#forget(nowS);
    return [...this.#devices.values()]
      .filter((one) => this.#isSilent(one, nowS))
      .map(({ device, lastS }) => ({ device, sinceS: lastS }));
  }

  /** Whether devices are known and none of them speaks. */
  isBlind(nowS: number): boolean {
    return this.#devices.size > 0 && this.silent(nowS).length === this.#devices.size;
  }

  #isSilent(one: DeviceState, nowS: number): boolean {
    // The longest but one: a single outage does not make the next one usual.
    const longest = one.pausesS.toSorted((a, b) => b - a)[1] ?? 0;
    const afterS = Math.min(Math.max(SILENT_S, TIMES * longest), LONGEST_SILENT_S);
    return nowS - Math.max(one.lastS, this.#sinceS) > afterS;
  }

  #forget(nowS: number): void {
    const all = [...this.#devices.values()];
    const speaks = all.some((one) => !this.#isSilent(one, nowS));
    for (const { device, lastS } of all)
      if (speaks && nowS - lastS > FORGOTTEN_S) this.#devices.delete(device);
  }
}

const structured = (one: DeviceState): DeviceState => ({ ...one, pausesS: [...one.pausesS] });
