import { useMemo } from 'preact/hooks';
import {
  type ChainReport,
  chainFigureSvg,
  checkChain,
  contextOf,
  parseSensing,
} from '../../src/instruments/index.ts';
import type { Well } from '../../src/model/well.ts';
import { useWho } from '../data/who.ts';
import { useWidth } from '../parts/use-width.ts';
import { SAY as PAGE } from '../words.ts';
import { ChainQuestions } from './chain-questions.tsx';
import { Cautions } from './finding.tsx';
import type { Shown } from './shown.ts';

const SAY = PAGE.work.gauges;

function checkedChain(well: Well) {
  const read = well.sensing === null ? null : parseSensing(well.sensing);
  return { read, report: read?.ok ? checkChain(read.chain, contextOf(well)) : null };
}

/** The check of the measuring chain that the well file tells of, as it is drawn. */
export function Chain({ well }: Pick<Shown, 'well'>) {
  const { mayAct } = useWho();
  const { read, report } = useMemo(() => checkedChain(well), [well]);
  return (
    <section>
      <h2>{SAY.chain}</h2>
      {read === null && <p>{SAY.chainNone}</p>}
      {read?.ok === false && (
        <>
          <p>{SAY.chainWrong}</p>
          <ul>
            {read.issues.map(({ key, expected, found }) => (
              <li key={key}>{`${key}: expected ${expected}, found ${found}`}</li>
            ))}
          </ul>
        </>
      )}
      {report !== null && <Checked report={report} />}
      {mayAct && <ChainQuestions well={well} />}
    </section>
  );
}

function Checked({ report }: { report: ChainReport }) {
  const { findings, notJudged, cautions } = report;
  const others = cautions.filter((id) => !findings.some((one) => one.cautions.includes(id)));
  const [holder, width] = useWidth<HTMLDivElement>(376);
  return (
    <div ref={holder}>
      <Svg svg={chainFigureSvg(report, width)} of="drawn-chain" />
      {findings.length === 0 && <p>{SAY.chainSound}</p>}
      {findings.map(({ does, says, cautions: beside }) => (
        <div key={says}>
          <p>
            <strong>{SAY.does[does]}:</strong> {says}.
          </p>
          <Cautions ids={beside} />
        </div>
      ))}
      {others.length > 0 && <h3>{SAY.beforeFitting}</h3>}
      <Cautions ids={others} />
      {notJudged.length > 0 && (
        <details>
          <summary>{SAY.notJudged}</summary>
          <ul>
            {notJudged.map((says) => (
              <li key={says}>{says}</li>
            ))}
          </ul>
        </details>
      )}
    </div>
  );
}

/** A drawing as text; its only style is said by the sheet, for styles in place are not allowed. */
export function Svg({ svg, of }: { svg: string; of: string }) {
  const __html = svg.replace(/ style="[^"]*"/, '');
  return <div class={of} dangerouslySetInnerHTML={{ __html }} />;
}
