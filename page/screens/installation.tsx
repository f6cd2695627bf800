import { useMemo } from 'preact/hooks';
import { checkInstallation } from '../../src/instruments/installation/check-installation.ts';
import { equipmentNow } from '../../src/instruments/installation/site.ts';
import type { Well } from '../../src/model/well.ts';
import { installationText } from '../../src/report/installation-text.ts';
import { SAY as PAGE } from '../words.ts';
import { Cautions } from './finding.tsx';

const SAY = PAGE.work.installation;

/** What can be worked out from the well file alone, as `check` does. */
export function Installation({ well }: { well: Well }) {
  const now = useMemo(() => ({ ...well, equipment: equipmentNow(well) }), [well]);
  const report = useMemo(() => checkInstallation(now), [now]);
  const beyond = report.results.filter(({ verdict }) => verdict === 'beyond');
  const known = report.results.filter(({ value }) => value !== null).length;
  return (
    <>
      <p>{SAY.known(known, report.results.length)}</p>
      {beyond.length === 0 && <p>{SAY.none}</p>}
      {beyond.map(({ id, title, says, limit, cautions }) => (
        <div key={id}>
          <p>
            <strong>{title}:</strong> {says} {limit !== null && SAY.limit(limit.rule, limit.source)}
          </p>
          <Cautions ids={cautions} />
        </div>
      ))}
      <h3>{SAY.working}</h3>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reached by keys */}
      <pre class="lines" tabIndex={0}>
        {installationText(report, now)}
      </pre>
    </>
  );
}
