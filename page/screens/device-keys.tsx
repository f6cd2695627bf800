import { useState } from 'preact/hooks';
import { localMoment } from '../../src/report/moments.ts';
import { askDevices, type DeviceLetIn, type MadeKey, makeKey, shutOut } from '../data/devices.ts';
import { useAsked } from '../data/use-asked.ts';
import { SAY as PAGE } from '../words.ts';
import type { Shown } from './shown.ts';

const SAY = PAGE.work.visit;

interface KeysProps extends Pick<Shown, 'well'> {
  made: MadeKey | null;
  setMade(made: MadeKey | null): void;
}

/** Keys of the devices of a well: made, replaced, over. */
export function DeviceKeys({ well, made, setMade }: KeysProps) {
  const [name, setName] = useState('');
  const [changes, setChanges] = useState(0);
  const [said, setSaid] = useState('');
  const devices = useAsked(() => askDevices(well.id), [well.id, changes]).value ?? [];
  const doing = async (act: () => Promise<string>) => {
    try {
      setSaid(await act());
      setChanges((before) => before + 1);
    } catch (error) {
      setSaid(PAGE.alarms.failed(error));
    }
  };
  const make = (device: string) =>
    doing(async () => {
      setMade(await makeKey(well.id, device));
      return SAY.keyMade(device);
    });
  const end = (device: string) =>
    doing(async () => {
      await shutOut(well.id, device);
      if (made?.user === `${well.id}/${device}`) setMade(null);
      return SAY.keyOver(device);
    });
  const send = (event: Event) => {
    event.preventDefault();
    void make(name).then(() => setName(''));
  };
  return (
    <>
      <p>{SAY.keys}</p>
      <ul class="plain-list">
        {devices.map((one) => (
          <Device key={one.name} {...{ one, make, end }} zone={well.timeZone} />
        ))}
      </ul>
      <form class="figure" onSubmit={send}>
        <label for="device-name">
          {SAY.deviceName}
          <small>{SAY.example('tee')}</small>
        </label>
        <input
          id="device-name"
          value={name}
          autocomplete="off"
          autocapitalize="none"
          pattern="[a-z0-9\-]{1,32}"
          title={SAY.deviceNameRule}
          onInput={(event) => setName(event.currentTarget.value)}
        />
        <button type="submit" class="first" disabled={name === ''}>
          {SAY.makeKey}
        </button>
      </form>
      <p role="status">{said}</p>
    </>
  );
}

interface DeviceProps {
  one: DeviceLetIn;
  zone: string;
  make(device: string): Promise<void>;
  end(device: string): Promise<void>;
}

/** A device that is let in; what ends its key is pressed twice. */
function Device({ one, zone, make, end }: DeviceProps) {
  const [asked, setAsked] = useState<'replace' | 'end' | null>(null);
  const device = one.name.slice(one.name.indexOf('/') + 1);
  const sure = () => {
    setAsked(null);
    void (asked === 'end' ? end(device) : make(device));
  };
  return (
    <li>
      <p>
        <strong>{device}</strong> {SAY.keySince(localMoment(one.since, zone))}
      </p>
      <p class="knobs">
        {asked === null ? (
          <>
            <button type="button" onClick={() => setAsked('replace')}>
              {SAY.replaceKey(device)}
            </button>
            <button type="button" onClick={() => setAsked('end')}>
              {SAY.endKey(device)}
            </button>
          </>
        ) : (
          <>
            <span role="status">{SAY.keySure[asked](device)}</span>
            <button type="button" class="first" onClick={sure}>
              {asked === 'end' ? SAY.endKey(device) : SAY.replaceKey(device)}
            </button>
            <button type="button" onClick={() => setAsked(null)}>
              {SAY.leaveKey}
            </button>
          </>
        )}
      </p>
    </li>
  );
}
