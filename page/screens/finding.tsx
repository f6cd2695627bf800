import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { capital } from '../../src/base/capital.ts';
import { ACT_CAUTIONS, CAUTIONS, type CautionId } from '../../src/model/cautions.ts';
import { OWNER_TESTS } from '../../src/model/owner-tests.ts';
import type { Evidence, FindingEntry, TestName } from '../../src/model/study.ts';
import { percent, shownAs } from '../../src/report/figures.ts';
import { cautionsOf, evidenceText } from '../../src/report/findings-text.ts';
import { faultWords } from '../../src/report/head.ts';
import { localMoment } from '../../src/report/moments.ts';
import { URGENCY_WORDS } from '../../src/report/words.ts';
import { Plumb } from '../drawing/plumb.tsx';
import { Recorder } from '../drawing/recorder.tsx';
import { scaleOf } from '../parts/figures.ts';
import { SAY, URGENCY_SIGN } from '../words.ts';
import { firstOf, lastOf, type Shown } from './shown.ts';

interface FindingProps {
  finding: FindingEntry;
  shown: Shown;
  /** How it stands with those who are told of it. */
  alarm?: ComponentChildren;
}

/** A finding: evidence where it was seen, what else, the test that decides, what to do. */
export function Finding({ finding, shown, alarm }: FindingProps) {
  const { figures } = shown;
  const say = SAY.condition;
  const { fault, urgency, evidence, instead, alike, nextTest, action, cleared } = finding;
  const others = instead.filter(({ probability }) => probability >= 0.005);
  const open = cleared === null;
  const { label, wait } = URGENCY_WORDS[urgency];
  return (
    <article class={`finding ${open ? urgency : 'cleared'}`} aria-label={faultWords(fault)}>
      <h3>
        <span aria-hidden="true" class="sign">
          {URGENCY_SIGN[urgency]}
        </span>{' '}
        {open ? `${label}: ${faultWords(fault)}` : capital(faultWords(fault))}
      </h3>
      <p class="caption">
        {say.belief(percent(finding.probability))},{' '}
        {say.since(localMoment(finding.since, figures.zone))}
      </p>
      {open && (
        <div class="act">
          <h4>{say.action}</h4>
          <p>
            {action} {wait}
          </p>
          <Cautions ids={cautionsOf(finding)} />
          {alarm}
        </div>
      )}
      <div class="evidence">
        <h4>{say.evidence}</h4>
        <ol>
          {evidence.map((one) => (
            <li key={one.says}>
              {evidenceText(one, fault, figures)}
              <SeenAt {...one} zone={figures.zone} />
              <Drawn evidence={one} shown={shown} />
            </li>
          ))}
        </ol>
      </div>
      <div class="where">
        <h4>{say.where}</h4>
        <Where finding={finding} shown={shown} />
      </div>
      {others.length > 0 && (
        <div class="else">
          <h4>{say.instead}</h4>
          <ul class="odds">
            {others.map((other) => (
              <li key={other.fault}>
                <span>{faultWords(other.fault)}</span> <span>{percent(other.probability)}</span>
                <span class="share" aria-hidden="true">
                  <span style={{ width: `${100 * other.probability}%` }} />
                </span>
              </li>
            ))}
          </ul>
          {open && alike !== null && <p>{alike.says}</p>}
        </div>
      )}
      {open && nextTest !== null && <NextTest test={nextTest} />}
    </article>
  );
}

/** When a piece of evidence was seen; on the strip its number stands there. */
function SeenAt({ from, to, zone }: Pick<Evidence, 'from' | 'to'> & { zone: string }) {
  if (from === undefined || to === undefined) return null;
  return (
    <div class="caption">
      {SAY.condition.seenAt(localMoment(from, zone), localMoment(to, zone))}
    </div>
  );
}

/** Observed against expected with its doubt, on one scale. */
function Drawn({ evidence, shown: { figures } }: { evidence: Evidence; shown: Shown }) {
  const { observed, expected, expectedStd, unit } = evidence;
  if (expected === null || expectedStd === null) return null;
  const { kind } = shownAs(unit);
  const { si } = scaleOf(kind, figures);
  return <Plumb observed={observed / si} expected={expected / si} half={(2 * expectedStd) / si} />;
}

/** The record round the time from which the finding dates. */
function Where({ finding, shown }: Omit<FindingProps, 'alarm'>) {
  const { well, figures, restated } = shown;
  const sinceS = Date.parse(finding.since) / 1000;
  const seen = [finding.raised, ...finding.evidence.flatMap(({ to }) => to ?? [])];
  const lastSeenS = Math.max(...seen.map((at) => Date.parse(at) / 1000));
  const spanS = Math.max(3 * 3600, 1.6 * (lastSeenS - sinceS));
  const [window] = useState({ fromS: sinceS - 0.25 * spanS, toS: sinceS + 0.75 * spanS });
  const [findings] = useState([finding]);
  return (
    <Recorder
      {...{ well, figures, window, spanS, findings, restated }}
      evidence={finding.evidence}
      firstS={firstOf(shown)}
      lastS={lastOf(shown)}
      label={`${SAY.condition.where}, ${faultWords(finding.fault)}`}
    />
  );
}

export function Cautions({ ids }: { ids: readonly CautionId[] }) {
  if (ids.length === 0) return null;
  return (
    <ul class="cautions" aria-label={SAY.condition.cautions}>
      {ids.map((id) => (
        <li key={id} data-caution={id}>
          {CAUTIONS[id]}
        </li>
      ))}
    </ul>
  );
}

function NextTest({ test }: { test: TestName }) {
  return (
    <div class="test">
      <h4>
        {SAY.condition.nextTest}: {OWNER_TESTS[test].name}
      </h4>
      <TestSteps test={test} />
      <p>{SAY.condition.takes(OWNER_TESTS[test].takes)}</p>
    </div>
  );
}

/** How a test is made, each caution beside its step. */
export function TestSteps({ test }: { test: TestName }) {
  const { steps } = OWNER_TESTS[test];
  const beside = new Set(steps.flatMap(({ cautions }) => cautions));
  const rest = ACT_CAUTIONS[test].filter((id) => !beside.has(id));
  return (
    <>
      <Cautions ids={rest} />
      <ol class="steps">
        {steps.map(({ says, cautions }) => (
          <li key={says}>
            {says}
            <Cautions ids={cautions} />
          </li>
        ))}
      </ol>
    </>
  );
}
