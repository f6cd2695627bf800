import type { InstallationResult } from '../../model/installation.ts';
import { PSI_PA } from './constants.ts';
import { atLeast, worked } from './result.ts';
import type { Site } from './site.ts';

/** What stands between the pump and a burst tank. */
export function pressureChecks(site: Site): InstallationResult[] {
  return [cutOutBelowRating(site), reliefBelowRating(site), reliefAboveCutOut(site)];
}

function cutOutBelowRating(site: Site): InstallationResult {
  return worked({
    id: 'cut-out-below-rating',
    title: 'Tank rating above cut-out',
    formula: 'm = prated - pout',
    source: 'Difference of pressures.',
    kind: 'pressure',
    inputs: { prated: site.get('tankRatedPaGauge'), pout: site.get('cutOutPaGauge') },
    value: ({ prated, pout }) => prated - pout,
    limit: atLeast(0, 'cut-out not above the rating', 'tank label'),
    says: {
      good: 'The switch stops the pump in time, as long as it works.',
      bad:
        'The tank is held above its rating: it can burst. Turn the pump off at its breaker and ' +
        'have a licensed contractor look at the setting.',
    },
    acts: ['see-to-relief', 'work-on-switch', 'read-results'],
  });
}

function reliefBelowRating(site: Site): InstallationResult {
  return worked({
    id: 'relief-below-rating',
    title: 'Rating above the relief valve',
    formula: 'm = prated - prelief',
    source: 'Difference of pressures.',
    kind: 'pressure',
    inputs: { prated: site.get('tankRatedPaGauge'), prelief: site.get('reliefPaGauge') },
    value: ({ prated, prelief }) => prated - prelief,
    limit: atLeast(0, 'relief opens at the rating at most', 'common practice; local code rules'),
    says: {
      good: 'It opens in time. It must also pass the whole flow of the pump.',
      bad: 'The relief valve does not protect the tank. Have one of the right setting fitted.',
    },
    acts: ['see-to-relief', 'replace-tank'],
  });
}

function reliefAboveCutOut(site: Site): InstallationResult {
  return worked({
    id: 'relief-above-cut-out',
    title: 'Relief valve above cut-out',
    formula: 'm = prelief - pout',
    source: 'Difference of pressures.',
    kind: 'pressure',
    inputs: { prelief: site.get('reliefPaGauge'), pout: site.get('cutOutPaGauge') },
    value: ({ prelief, pout }) => prelief - pout,
    limit: atLeast(10 * PSI_PA, 'at least 10 psi, so that it stays shut', 'common practice'),
    says: {
      good: 'It stays shut in normal running.',
      bad:
        'It may weep or lift at every cut-out. Never plug it: have the switch set lower, or a ' +
        'valve fitted that suits both switch and tank.',
    },
    acts: ['see-to-relief', 'work-on-switch'],
  });
}
