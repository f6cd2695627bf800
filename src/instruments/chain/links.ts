import type { Resolved } from './resolve.ts';
import { dividerShare, stepV } from './signal.ts';
import type { ChainLink, ChannelName, Divider } from './types.ts';
import { amps, hertz, ohms, percent, pressure, volts } from './words.ts';

/** The boxes of one channel from the pipe or the conductor to the controller. */
export function linksOf(resolved: Resolved, channel: ChannelName): ChainLink[] {
  const sensor = channel === 'pressure' ? transducerLinks(resolved) : transformerLinks(resolved);
  return [...sensor, converterLink(resolved, channel), controllerLink(resolved)];
}

const known = (lines: (string | null | false)[]): string[] => {
  const kept = lines.filter((line): line is string => typeof line === 'string');
  return kept.length > 0 ? kept : ['not told'];
};

const dividerLinks = (divider: Divider | null): ChainLink[] =>
  divider === null
    ? []
    : [
        {
          name: 'Divider',
          lines: [
            `${ohms(divider.seriesOhm)} over ${ohms(divider.groundOhm)}`,
            `passes ${percent(dividerShare(divider))}`,
          ],
        },
      ];

function transducerLinks({ pressure: line, context: { units } }: Resolved): ChainLink[] {
  const { rangePaGauge, outputV, supplyV, ratiometric, divider } = line?.transducer ?? {};
  const lines = known([
    rangePaGauge != null && `0 to ${pressure(rangePaGauge, units)}`,
    outputV != null && `${volts(outputV.zero)} to ${volts(outputV.full)}`,
    supplyV != null && `supply ${volts(supplyV)}`,
    ratiometric != null && (ratiometric ? 'follows its supply' : 'output stands by itself'),
  ]);
  return [{ name: 'Transducer', lines }, ...dividerLinks(divider ?? null)];
}

function transformerLinks({ current }: Resolved): ChainLink[] {
  if (current === null) return [{ name: 'Transformer', lines: ['not told'] }];
  const { rangeA, output, burdenOhm, biasV, divider, accuracyClass } = current.transformer;
  const rated = output && (output.unit === 'V' ? volts(output.rms) : amps(output.rms));
  const lines = known([
    rangeA !== null && rated !== null && `${amps(rangeA)} gives ${rated}`,
    accuracyClass !== null && `class ${accuracyClass}`,
    current.run !== null && `running: ${amps(current.run.currentA)}`,
  ]);
  const burden: ChainLink[] =
    output?.unit === 'A'
      ? [{ name: 'Burden', lines: [burdenOhm === null ? 'none told' : ohms(burdenOhm)] }]
      : [];
  const bias: ChainLink[] = [{ name: 'Bias', lines: [biasV ? volts(biasV) : 'none'] }];
  return [{ name: 'Transformer', lines }, ...burden, ...dividerLinks(divider), ...bias];
}

function converterLink({ converter, ...resolved }: Resolved, channel: ChannelName): ChainLink {
  if (converter === null) return { name: 'Converter', lines: ['not told'] };
  const rangeV = resolved[channel]?.rangeV ?? null;
  const { bits, rateHz, supplyV } = converter;
  const step = rangeV === null ? Number.NaN : stepV(converter, rangeV);
  const lines = known([
    bits !== null && `${bits} bits${converter.signed ? ', both signs' : ''}`,
    rangeV !== null && `range ${volts(rangeV)}`,
    Number.isFinite(step) && `step ${Number((1000 * step).toPrecision(3))} mV`,
    rateHz !== null && hertz(rateHz),
    supplyV !== null && `supply ${volts(supplyV)}`,
  ]);
  return { name: 'Converter', lines };
}

function controllerLink({ chain: { bus } }: Resolved): ChainLink {
  const { logicV, pullUpOhm, pulledToV } = bus ?? {};
  const lines = known([
    logicV != null && `logic ${volts(logicV)}`,
    pullUpOhm != null && `pull-ups ${ohms(pullUpOhm)}`,
    pulledToV != null && `to ${volts(pulledToV)}`,
  ]);
  return { name: 'Controller', lines };
}
