import { dirname } from 'node:path';
import { parseAlarmFile } from '../../wellfile/alarm-file.ts';
import { formatIssue } from '../../wellfile/issue.ts';
import { readNamed } from '../check/read-well.ts';
import { UsageError } from '../usage.ts';
import type { AlarmOptions } from './alarms.ts';

/** The settings of an alarm file; all that is wrong is said at once. */
export async function readAlarms(file: string, wells: readonly string[]): Promise<AlarmOptions> {
  const parsed = parseAlarmFile(await readNamed(file, 'an alarm file'));
  if (!parsed.ok)
    throw new UsageError(parsed.issues.map((issue) => formatIssue(issue, file)).join('\n'));
  const { settings } = parsed;
  for (const { name, wells: named } of settings.receivers)
    for (const id of named ?? [])
      if (wells.length > 0 && !wells.includes(id))
        throw new UsageError(
          `${file}: receiver ${name}: expected wells of ${wells.join(', ')}, found "${id}"`,
        );
  return { settings, folder: dirname(file) };
}
