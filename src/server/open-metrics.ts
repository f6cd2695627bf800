/** What is said of one thing at one moment. */
export interface Sample {
  labels?: Record<string, string>;
  value: number;
}

/** A family of OpenMetrics: what it counts or shows, and how it stands. */
export interface Family {
  name: string;
  type: 'counter' | 'gauge';
  help: string;
  /** The name ends in it (OpenMetrics 1.0, section 4.4). */
  unit?: 'seconds' | 'bytes';
  samples: Sample[];
}

export const OPEN_METRICS = 'application/openmetrics-text; version=1.0.0; charset=utf-8';

/** Families in the text format of OpenMetrics 1.0, section 5.1. */
export const openMetrics = (families: readonly Family[]): string =>
  `${families.map(familyText).join('')}# EOF\n`;

function familyText({ name, type, help, unit, samples }: Family): string {
  const lines = [`# TYPE ${name} ${type}`];
  if (unit !== undefined) lines.push(`# UNIT ${name} ${unit}`);
  lines.push(`# HELP ${name} ${escaped(help)}`);
  const sampleName = type === 'counter' ? `${name}_total` : name;
  for (const { labels = {}, value } of samples)
    lines.push(`${sampleName}${labelText(labels)} ${Number.isNaN(value) ? 'NaN' : value}`);
  return `${lines.join('\n')}\n`;
}

function labelText(labels: Record<string, string>): string {
  const pairs = Object.entries(labels).map(([name, value]) => `${name}="${escaped(value)}"`);
  return pairs.length === 0 ? '' : `{${pairs.join(',')}}`;
}

/** Section 5.2: a line break, a quote and a backslash do not stand as they are. */
const escaped = (text: string): string =>
  text.replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('\n', '\\n');
