import { instant } from '../base/instant.ts';
import type { Alarm } from '../model/alarm.ts';
import { CAUTIONS } from '../model/cautions.ts';
import { CONSEQUENCES } from '../report/consequences.ts';
import { alarmAction, alarmCautions, alarmTitle } from '../report/notice-text.ts';
import { URGENCY_WORDS } from '../report/words.ts';

/** An alarm as it is shown: what, why it matters, how long it can wait, the act, its cautions. */
export interface ShownAlarm extends Omit<Alarm, `${string}S` | 'acknowledged' | 'shelved'> {
  title: string;
  consequence: string;
  timeToAct: string;
  action: string;
  cautions: { id: string; says: string }[];
  seen: string;
  raised: string | null;
  gone: string | null;
  returned: string | null;
  acknowledged: { at: string; by: string } | null;
  shelved: { until: string; by: string } | null;
}

const instantOf = (timeS: number | null): string | null => (timeS === null ? null : instant(timeS));

export function shownAlarm(alarm: Alarm): ShownAlarm {
  const { seenS, raisedS, goneS, returnedS, acknowledged, shelved, ...rest } = alarm;
  return {
    ...rest,
    title: alarmTitle(alarm),
    consequence: CONSEQUENCES[alarm.fault],
    timeToAct: URGENCY_WORDS[alarm.urgency].wait,
    action: alarmAction(alarm),
    cautions: alarmCautions(alarm, null).map((id) => ({ id, says: CAUTIONS[id] })),
    seen: instant(seenS),
    raised: instantOf(raisedS),
    gone: instantOf(goneS),
    returned: instantOf(returnedS),
    acknowledged: acknowledged && { at: instant(acknowledged.atS), by: acknowledged.by },
    shelved: shelved && { until: instant(shelved.untilS), by: shelved.by },
  };
}
