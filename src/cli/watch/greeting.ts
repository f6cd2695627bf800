import type { AlarmOptions } from './alarms.ts';
import type { Service } from './service.ts';

const ASIDE =
  'Advisory only: it protects nothing. Motor overload, dry-run cut-off and relief valve must be\n' +
  'there on their own.\n';

const OPEN =
  'Caution: it listens beyond this machine, and asks nobody for a name or password yet. Whoever\n' +
  'reaches these ports can read everything and send false readings. Keep them inside a network\n' +
  'of people you trust.\n';

const FIRST =
  'No well file is here yet: the page makes one from questions, and says where to point a\n' +
  'device.\n';

/** Who is told of alarms. */
function alarmsLine(alarms: AlarmOptions | undefined): string {
  const names = (alarms?.settings.receivers ?? []).map(({ name, way }) => `${name} (${way})`);
  return names.length === 0
    ? 'Alarms are shown and nobody is told: --alarms <file> says whom, docs/alarms.md how.'
    : `Told of alarms: ${names.join(', ')}. A test for each: ./wellwright alarms test <file>`;
}

/** Whether an address is of this machine alone. */
export const isLoopback = (host: string): boolean =>
  host === 'localhost' || host === '::1' || host.startsWith('127.');

/** Exactly what to point a device at and where to look, once the service is up. */
export function greeting({ options, ports }: Service): string {
  const { host, wells, broker } = options;
  const name = host === '0.0.0.0' || host === '::' ? 'localhost' : host;
  const http = `http://${name.includes(':') ? `[${name}]` : name}:${ports.http}`;
  const parts = wells.map(({ well }) => {
    const id = well.id;
    const reading = `'[{"n":"pressure","u":"Pa","v":379000}]'`;
    const lines = [
      `${well.name}`,
      `  page      ${http}/wells/${id}`,
      `  look      ${http}/api/v1/wells/${id}/now`,
      `            ${http}/api/v1/wells/${id}/study.txt`,
      `  HTTP      POST ${http}/api/v1/wells/${id}/readings`,
      `  try it    curl -d ${reading} -H 'content-type: application/senml+json' ` +
        `${http}/api/v1/wells/${id}/readings`,
    ];
    if (ports.mqtt !== null) {
      lines.push(
        `  MQTT      mqtt://${name}:${ports.mqtt}, topic wells/${id}/readings, QoS 1; ` +
          `results on wells/${id}/results`,
        `  try it    mosquitto_pub -h ${name} -p ${ports.mqtt} -q 1 -t wells/${id}/readings ` +
          `-m ${reading}`,
      );
    }
    if (broker !== null) lines.push(`  taken     from ${broker.url}, topic wells/${id}/readings`);
    return `${lines.join('\n')}\n`;
  });
  const all = [
    `Open the page: ${http}/\n`,
    ...(wells.length === 0 ? [FIRST] : []),
    `Readings are kept in ${options.store}\n`,
    ...parts,
    `${alarmsLine(options.alarms)}\n`,
    `Events as they happen: ${http}/api/v1/events; all addresses: ${http}/api/v1/openapi.json\n` +
      'A sender for a microcontroller: device/main.py, docs/device.md. What may be sent:\n' +
      'docs/formats/live-readings.md. Ctrl-C stops it; nothing acknowledged is lost.\n',
    ...(isLoopback(host) ? [] : [OPEN]),
    ASIDE,
  ];
  return `${all.join('\n')}\n`;
}
