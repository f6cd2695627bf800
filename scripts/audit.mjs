/**
 * Asks the registry for known weaknesses of what the service runs on, as CI does:
 *
 *   node scripts/audit.mjs
 *
 * Fails on one that is high or critical. Where the registry gives no answer, as without a network,
 * it says that nothing was audited, and does not fail.
 */
import { spawnSync } from 'node:child_process';

const FAILS = ['high', 'critical'];

const asked = spawnSync('npm', ['audit', '--omit=dev', '--json'], {
  encoding: 'utf8',
  timeout: 120_000,
  shell: process.platform === 'win32',
});
const report = parsed(asked.stdout);
if (report?.vulnerabilities === undefined) {
  const why = report?.message ?? report?.error?.summary ?? asked.error?.message ?? 'no answer';
  console.log(`Dependencies were NOT audited: expected an answer of the registry, found ${why}`);
} else {
  const found = Object.values(report.vulnerabilities);
  for (const one of found) console.log(`${one.severity}: ${one.name} ${one.range}${causes(one)}`);
  const bad = found.filter(({ severity }) => FAILS.includes(severity));
  console.log(`Dependencies audited: ${found.length} weaknesses known, ${bad.length} of them high`);
  process.exitCode = bad.length === 0 ? 0 : 1;
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function causes({ via }) {
  const titles = via.flatMap((one) => (typeof one === 'string' ? [] : [one.title]));
  return titles.length === 0 ? '' : `: ${titles.join('; ')}`;
}
