import type { InstallationReport, InstallationResult } from '../../model/installation.ts';
import type { Well } from '../../model/well.ts';
import { motorCooling, suctionHead } from './cooling-checks.ts';
import { electricChecks } from './electric-checks.ts';
import { energyChecks } from './energy-checks.ts';
import { pressureChecks } from './pressure-checks.ts';
import { shutOffChecks } from './shut-off-checks.ts';
import { Site } from './site.ts';
import { startChecks } from './start-checks.ts';
import { tankChecks } from './tank-checks.ts';
import { waterChecks } from './water-checks.ts';

/** What can be worked out about an installation from its well file alone. */
export function checkInstallation(well: Well): InstallationReport {
  const site = new Site(well);
  const water = waterChecks(site);
  const tank = tankChecks(site);
  const results = [
    ...water.list,
    ...shutOffChecks(site),
    suctionHead(site, water),
    ...tank.list,
    ...startChecks(site, { drawdown: tank.drawdown, flow: water.atMiddle }),
    ...pressureChecks(site),
    ...electricChecks(site),
    motorCooling(site, water.atCutOut),
    ...energyChecks(site, { flow: water.atMiddle, total: water.total }),
  ];
  return { results, missing: missingKeys(results) };
}

function missingKeys(results: readonly InstallationResult[]): InstallationReport['missing'] {
  const counts = new Map<string, number>();
  for (const key of results.flatMap(({ needs }) => needs)) {
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  const missing = [...counts].map(([key, count]) => ({ key, count }));
  return missing.sort((a, b) => b.count - a.count);
}
