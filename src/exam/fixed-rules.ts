import type { FaultName } from '../model/faults.ts';
import type { Urgency } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import { PSI_PA } from '../units/table.ts';
import type { Said } from './said.ts';

/**
 * The kind of rules people set up for themselves: fixed pressures, amps, minutes and starts an
 * hour, each with a delay, and nothing learnt. They get what a careful owner would give them: the
 * set points and the nameplate of this very well.
 */
interface Rule {
  fault: FaultName;
  urgency: Urgency;
  /** The sign must hold for this long, s. */
  forS: number;
  sign: (at: Reading, than: Limits) => boolean;
}

interface Reading {
  gaugePa: number;
  amps: number;
  running: boolean;
  /** Since the pump started or stopped, s. */
  lastedS: number;
  startsLastHour: number;
  nightStarts: number;
  lastNightStarts: number;
  /** Rise of pressure in the last minute or so with no amps, Pa. */
  riseAtRestPa: number;
}

interface Limits {
  cutInPa: number;
  cutOutPa: number;
  reliefPa: number;
  fullLoadA: number;
}

const RULES: readonly Rule[] = [
  rule('pressure-wire-open', 'days', 60, (at) => at.gaugePa < -2 * PSI_PA),
  rule('pressure-wire-short', 'days', 60, (at, than) => at.gaugePa > than.reliefPa + 40 * PSI_PA),
  rule('switch-no-start', 'now', 60, (at, than) => {
    return at.gaugePa > -2 * PSI_PA && at.gaugePa < than.cutInPa - 10 * PSI_PA && !at.running;
  }),
  rule('rotor-locked', 'now', 3, (at, than) => at.amps > 2.5 * than.fullLoadA),
  rule('pump-dragging', 'today', 30, (at, than) => {
    return at.amps > 1.15 * than.fullLoadA && at.amps <= 2.5 * than.fullLoadA;
  }),
  rule('running-dry', 'now', 30, (at, than) => {
    return at.running && at.amps < 0.75 * than.fullLoadA && at.gaugePa < than.cutInPa;
  }),
  rule('switch-welded', 'now', 10, (at, than) => {
    return at.running && at.gaugePa > than.cutOutPa + 10 * PSI_PA && at.gaugePa < than.reliefPa;
  }),
  rule('relief-lifting', 'today', 10, (at, than) => {
    return at.gaugePa >= than.reliefPa && at.gaugePa <= than.reliefPa + 40 * PSI_PA;
  }),
  rule('leak-burst', 'now', 0, (at) => at.running && at.lastedS > 3600),
  rule('tank-waterlogged', 'today', 0, (at) => at.startsLastHour > 15),
  // Two nights running: a softener rinses in one.
  rule('leak-house', 'days', 0, (at) => Math.min(at.nightStarts, at.lastNightStarts) >= 3),
  rule('current-clamp-off', 'days', 0, (at) => at.riseAtRestPa > 8 * PSI_PA),
];

function rule(fault: FaultName, urgency: Urgency, forS: number, sign: Rule['sign']): Rule {
  return { fault, urgency, forS, sign };
}

const RUNNING_SHARE = 0.3;
/** What a rule does not say again before the sign was gone for this long, s. */
const AGAIN_S = 12 * 3600;
const SILENCE_S = 1800;
const HOUR_S = 3600;
const DAY_S = 86_400;
/** Of the clock of the readings, which in an exam is that of the house. */
const NIGHT_FROM_S = 1 * HOUR_S;
const NIGHT_TO_S = 5 * HOUR_S;
const MINUTE_S = 60;

interface Standing {
  sinceS: number;
  lastS: number;
  said: Said | null;
}

/** Takes readings as they come and says what the rules say. */
export class FixedRules {
  readonly said: Said[] = [];
  readonly #limits: Limits;
  readonly #standing: Standing[];
  readonly #starts: number[] = [];
  readonly #at: Reading = {
    gaugePa: Number.NaN,
    amps: Number.NaN,
    running: false,
    lastedS: 0,
    startsLastHour: 0,
    nightStarts: 0,
    lastNightStarts: 0,
    riseAtRestPa: 0,
  };
  #changedS = Number.NaN;
  #lastS = Number.NaN;
  #night = Number.NaN;
  #lowest: { timeS: number; pa: number } = { timeS: Number.NaN, pa: Number.NaN };

  constructor(well: Well) {
    const { cutInPaGauge, cutOutPaGauge, reliefPaGauge, fullLoadCurrentA } = well.equipment;
    this.#limits = {
      cutInPa: cutInPaGauge?.value ?? 40 * PSI_PA,
      cutOutPa: cutOutPaGauge?.value ?? 60 * PSI_PA,
      reliefPa: reliefPaGauge?.value ?? 75 * PSI_PA,
      fullLoadA: fullLoadCurrentA?.value ?? Number.NaN,
    };
    this.#standing = RULES.map(() => ({ sinceS: Number.NaN, lastS: Number.NaN, said: null }));
  }

  /** Readings of one moment; NaN where a channel sent none. Times must not go back. */
  step(timeS: number, gaugePa: number, amps: number): void {
    if (timeS < this.#lastS) return;
    if (timeS - this.#lastS > SILENCE_S) this.#gap(timeS);
    this.#lastS = timeS;
    const at = this.#at;
    if (!Number.isNaN(gaugePa)) at.gaugePa = gaugePa;
    if (!Number.isNaN(amps)) this.#amps(timeS, amps);
    at.lastedS = timeS - this.#changedS;
    this.#watchRise(timeS);
    while (this.#starts.length > 0 && this.#starts[0]! < timeS - HOUR_S) this.#starts.shift();
    at.startsLastHour = this.#starts.length;
    const night = Math.floor(timeS / DAY_S);
    if (night !== this.#night) {
      at.lastNightStarts = night === this.#night + 1 ? at.nightStarts : 0;
      this.#night = night;
      at.nightStarts = 0;
    }
    RULES.forEach((one, i) => {
      this.#apply(one, this.#standing[i]!, timeS);
    });
  }

  #amps(timeS: number, amps: number): void {
    const at = this.#at;
    at.amps = amps;
    const running = amps > RUNNING_SHARE * this.#limits.fullLoadA;
    if (running === at.running && !Number.isNaN(this.#changedS)) return;
    if (running && !Number.isNaN(this.#changedS)) {
      this.#starts.push(timeS);
      const secondOfDay = timeS % DAY_S;
      if (secondOfDay > NIGHT_FROM_S && secondOfDay < NIGHT_TO_S) at.nightStarts++;
    }
    at.running = running;
    this.#changedS = timeS;
  }

  #watchRise(timeS: number): void {
    const at = this.#at;
    const stale = !(timeS - this.#lowest.timeS < MINUTE_S) || at.running;
    if (stale || at.gaugePa < this.#lowest.pa) this.#lowest = { timeS, pa: at.gaugePa };
    at.riseAtRestPa = at.running ? 0 : at.gaugePa - this.#lowest.pa;
  }

  #apply(one: Rule, standing: Standing, timeS: number): void {
    if (!one.sign(this.#at, this.#limits)) {
      standing.sinceS = Number.NaN;
      if (standing.said !== null && timeS - standing.lastS > AGAIN_S) {
        standing.said.closedS = timeS;
        standing.said = null;
      }
      return;
    }
    if (Number.isNaN(standing.sinceS)) standing.sinceS = timeS;
    standing.lastS = timeS;
    if (standing.said !== null || timeS - standing.sinceS < one.forS) return;
    standing.said = this.#say(one.fault, one.urgency, timeS);
  }

  #gap(timeS: number): void {
    this.#say('data-gap', 'note', timeS).closedS = timeS;
  }

  #say(fault: FaultName, urgency: Urgency, timeS: number): Said {
    const said: Said = {
      id: `rule-${this.said.length + 1}`,
      urgency,
      raisedS: timeS,
      closedS: Number.POSITIVE_INFINITY,
      replacedBy: null,
      history: [{ atS: timeS, fault, probability: 1 }],
      instead: [],
    };
    this.said.push(said);
    return said;
  }
}
