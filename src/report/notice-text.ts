import { instant } from '../base/instant.ts';
import { ADVICE } from '../model/advice.ts';
import type { Alarm, NoticeKind, Outage, WellGlance } from '../model/alarm.ts';
import { ACT_CAUTIONS, CAUTIONS, type CautionId } from '../model/cautions.ts';
import type { FindingEntry, TestName } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import { formatValue } from '../units/format.ts';
import { CONSEQUENCES } from './consequences.ts';
import { percent } from './figures.ts';
import { localMoment } from './moments.ts';
import { FAULT_WORDS, sentence, URGENCY_WORDS } from './words.ts';

/** What a notice says: one line, and the whole. */
export interface NoticeWords {
  subject: string;
  text: string;
}

const line = (label: string, says: string): string => `${label}: ${says}`;

/** What an alarm tells of, as a clause. */
export const alarmTitle = ({ fault, device }: Pick<Alarm, 'fault' | 'device'>): string =>
  device === null
    ? FAULT_WORDS[fault]
    : device === ''
      ? 'no readings come any more'
      : `no readings come from "${device}" any more`;

const SILENT_ACTION =
  'See whether the device has power and the network is up. Until it speaks again look at the ' +
  'pressure gauge now and then, and listen whether the pump runs without end.';

/** What to do, and the acts it speaks of. */
function adviceFor({ fault, device }: Alarm): { action: string; acts: readonly string[] } {
  return device === null ? ADVICE[fault] : { action: SILENT_ACTION, acts: ['look'] };
}

export const alarmAction = (alarm: Alarm): string => adviceFor(alarm).action;

/** The cautions that an alarm's acts must carry, each once. */
export function alarmCautions(alarm: Alarm, nextTest: TestName | null): CautionId[] {
  const { acts } = adviceFor(alarm);
  const carried = acts.flatMap((act) => ACT_CAUTIONS[act as keyof typeof ACT_CAUTIONS]);
  const tests = nextTest === null ? [] : ACT_CAUTIONS[nextTest];
  return [...new Set([...carried, ...tests])];
}

/** An alarm as its receivers are told. */
export function alarmWords(
  kind: NoticeKind,
  alarm: Alarm,
  of: { well: Well; finding: FindingEntry | null },
): NoticeWords {
  const { well, finding } = of;
  const title = alarmTitle(alarm);
  const since = localMoment(alarm.since, well.timeZone);
  if (kind === 'over') {
    return {
      subject: `Over: ${title} (${well.name})`,
      text: `${sentence(title)} That is over, by the readings; it was so since ${since}.`,
    };
  }
  const { label, wait } = URGENCY_WORDS[alarm.urgency];
  const nextTest = finding?.nextTest ?? null;
  const odds = finding === null ? '' : ` Belief ${percent(finding.probability)}.`;
  const worse = kind === 'worse' ? ' It was told as less urgent before.' : '';
  const instead = (finding?.instead ?? []).filter(({ probability }) => probability >= 0.05);
  const others = instead.map(
    (one) => `${FAULT_WORDS[one.fault as Alarm['fault']]} ${percent(one.probability)}`,
  );
  // What is most likely harmless is told for what else it may be.
  const worst = ADVICE[alarm.fault].urgency === 'note' && alarm.device === null ? instead : [];
  const fear = worst.find((one) => ADVICE[one.fault as Alarm['fault']].urgency === 'now');
  const feared = fear === undefined ? '' : `, or ${FAULT_WORDS[fear.fault as Alarm['fault']]}`;
  const parts = [
    `${sentence(`${title}${feared}`)} Since ${since}.${odds}${worse}`,
    line('Do', alarmAction(alarm)),
    ...alarmCautions(alarm, nextTest).map((id) => line('Caution', CAUTIONS[id])),
    line('Wait', wait),
    line('If left', CONSEQUENCES[(fear?.fault ?? alarm.fault) as Alarm['fault']]),
    ...(finding?.evidence ?? []).slice(0, 2).map(({ says }) => line('Seen', sentence(says))),
    ...(others.length === 0 ? [] : [line('Or else', `${others.join(', ')}.`)]),
  ];
  return { subject: `${label}: ${title}${feared} (${well.name})`, text: parts.join('\n\n') };
}

/** The outage that is over, and what the well did. */
export function outageWords(outage: Outage, well: Well): NoticeWords {
  const { fromS, toS, cause, readings, before, after } = outage;
  const at = (timeS: number) => localMoment(instant(timeS), well.timeZone);
  const span = `from ${at(fromS)} to ${at(toS)}`;
  const what =
    cause === 'power'
      ? `Neither the service nor a device was there ${span}: most likely the power was out.`
      : `The service was not there ${span}; the devices kept ${readings} readings of that time.`;
  const parts = [
    what,
    line('Before', glance(before, well)),
    line('After', glance(after, well)),
    ...(cause === 'power'
      ? [
          line(
            'Do',
            'See that the pump breaker is on and that pressure rises to cut-out. Where water was ' +
              'drawn meanwhile, run a tap until no air comes.',
          ),
          ...ACT_CAUTIONS['reset-breaker'].map((id) => line('Caution', CAUTIONS[id])),
        ]
      : []),
  ];
  const title = cause === 'power' ? 'power is back' : 'the service is back';
  return { subject: `Since ${at(toS)} ${title} (${well.name})`, text: parts.join('\n\n') };
}

function glance(seen: WellGlance | null, well: Well): string {
  if (seen === null) return 'not known.';
  const { pressurePaGauge, currentA, pumpOn, at } = seen;
  const decimals = well.units === 'us' ? 1 : 0;
  const pressure =
    pressurePaGauge === null
      ? 'pressure not known'
      : formatValue(pressurePaGauge, 'pressure', well.units, decimals);
  const pump = pumpOn === null ? 'pump not known' : pumpOn ? 'pump on' : 'pump off';
  const amps = currentA === null ? '' : `, ${formatValue(currentA, 'current', well.units, 1)}`;
  return `${pressure}, ${pump}${amps}, at ${localMoment(at, well.timeZone)}.`;
}

/** What a test of a receiver says; `by` asked for it, where that is known. */
export const testWords = (receiver: string, by: string | null): NoticeWords => ({
  subject: `Test: this is how ${receiver} is told`,
  text:
    `Nothing is wrong. ${by === null ? 'This was asked for' : `${by} asked for this`}, to see ` +
    'that it arrives. When an alarm comes, what to do and its cautions stand here. It is ' +
    'advisory and protects nothing: motor overload, dry-run cut-off and relief valve must be ' +
    'there on their own.',
});
