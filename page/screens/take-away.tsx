import { useState } from 'preact/hooks';
import { ofWell } from '../data/api.ts';
import { fetchBackup } from '../data/backup.ts';
import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';
import { type Keeper, KeeperName } from './keeper-name.tsx';

const say = SAY.book.takeAway;
/** Where each is, and what its file is called behind the id of the well. */
const FILES = [
  ['study.txt', 'study.txt'],
  ['study', 'study.json'],
  ['log.csv', 'log.csv'],
  ['log.senml', 'log.senml.json'],
  ['book', 'book.json'],
] as const;

/** What is kept of this well as files: for a study elsewhere, for papers, for a safe place. */
export function TakeAway({ wellId, keeper }: { wellId: string; keeper: Keeper }) {
  const { mayAct } = useWho();
  const [opened, setOpened] = useState(false);
  const [said, setSaid] = useState('');
  const backup = async () => {
    if (keeper.name === '') return setSaid(SAY.alarms.noName);
    setSaid(say.underWay);
    try {
      await fetchBackup(keeper.name);
      keeper.keep();
      setSaid(say.done);
    } catch (error) {
      setSaid(SAY.alarms.failed(error));
    }
  };
  return (
    <section aria-label={say.title}>
      <h2>{say.title}</h2>
      <details onToggle={(event) => event.currentTarget.open && setOpened(true)}>
        <summary>{say.open}</summary>
        <ul>
          {FILES.map(([address, name]) => (
            <li key={address}>
              <a href={`/api/v1${ofWell(wellId, address)}`} download={`${wellId}-${name}`}>
                {say.files[address]}
              </a>
            </li>
          ))}
        </ul>
        {opened && mayAct && (
          <>
            <p>{say.backupNote}</p>
            <KeeperName keeper={keeper} />
            <div class="knobs">
              <button type="button" onClick={backup}>
                {say.backup}
              </button>
            </div>
          </>
        )}
        <p role="status">{said}</p>
      </details>
    </section>
  );
}
