import { useState } from 'preact/hooks';
import { deviceLines } from '../../src/report/device-lines.ts';
import { askWays, type MadeKey } from '../data/devices.ts';
import { useAsked } from '../data/use-asked.ts';
import { useWho } from '../data/who.ts';
import { SAY as PAGE } from '../words.ts';
import { DeviceKeys } from './device-keys.tsx';
import { OwnerCan } from './owner-can.tsx';
import type { Shown } from './shown.ts';

const SAY = PAGE.work.visit;
/** As it is saved under. */
const AUTHORITY = 'ca.crt';

/** Exactly where to point a device, and its key where it needs one. */
export function Pairing({ well }: Pick<Shown, 'well'>) {
  const { signsIn, mayAct } = useWho();
  const [made, setMade] = useState<MadeKey | null>(null);
  return (
    <section aria-label={SAY.pair}>
      <h2>{SAY.pair}</h2>
      {signsIn && mayAct && <DeviceKeys {...{ well, made, setMade }} />}
      {made !== null && (
        <dl class="ways">
          <Way name={SAY.user} line={made.user} />
          <Way name={SAY.key} line={made.key} />
        </dl>
      )}
      <OwnerCan what="pair" />
      <Lines wellId={well.id} made={made} />
    </section>
  );
}

function Lines({ wellId, made }: { wellId: string; made: MadeKey | null }) {
  const { signsIn } = useWho();
  const ways = useAsked(askWays, []).value;
  const { user, key } = made ?? { user: `${wellId}/<device>`, key: '<key>' };
  const { post, tryPost, mqtt } = deviceLines({
    ...{ wellId, address: location.origin },
    host: location.hostname.replace(/^\[(.*)\]$/, '$1'),
    mqttPort: ways?.mqttPort ?? null,
    plainMqttPort: ways?.plainMqttPort ?? null,
    keyed: signsIn ? { user, key, authorityFile: AUTHORITY } : null,
  });
  return (
    <>
      <p>{SAY.pairIntro}</p>
      {ways?.isLocal && <p>{SAY.local}</p>}
      {signsIn && (
        <p>
          {SAY.authority}{' '}
          <a href={`/${AUTHORITY}`} download={AUTHORITY}>
            {AUTHORITY}
          </a>
        </p>
      )}
      <dl class="ways">
        <Way name={SAY.http} line={post} />
        {mqtt.map(({ at }) => (
          <Way key={at} name={SAY.mqtt} line={at} />
        ))}
        {[tryPost, ...mqtt.map(({ tryIt }) => tryIt)].map((line) => (
          <Way key={line} name={SAY.byHand} line={line} />
        ))}
      </dl>
      <p class="caption">{signsIn ? SAY.senderKeyed : SAY.sender}</p>
    </>
  );
}

function Way({ name, line }: { name: string; line: string }) {
  return (
    <>
      <dt>{name}</dt>
      <dd>
        <code>{line}</code>
      </dd>
    </>
  );
}
