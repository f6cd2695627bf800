import { isIP } from 'node:net';
import { join } from 'node:path';
import { deviceLines, hostInUrl } from '../../report/device-lines.ts';
import type { AlarmOptions } from './alarms.ts';
import { isLoopback } from './loopback.ts';
import type { Service } from './service.ts';

const ASIDE =
  'Advisory only: it protects nothing. Motor overload, dry-run cut-off and relief valve must be\n' +
  'there on their own.\n';

const letIn = (folder: string, http: string) =>
  `Who may see and do what: ./wellwright access show ${folder}. A key for a device is made\n` +
  `on the page, or by ./wellwright access let-in ${folder} <well>/<device>\n` +
  `A phone fetches the certificate to trust at ${http}/ca.crt; compare its fingerprint\n` +
  'with that of "access show" first (docs/access.md).\n';

const PLAIN_MQTT =
  'Caution: MQTT without TLS is open, as asked. Whoever listens in on the house network can\n' +
  'read the keys of devices that use it, and send false readings of their wells with them.\n';

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

/** By which name or address a phone or a device of the house asks for this service. */
function nameOf({ options, access }: Service): string {
  const { host } = options;
  if (host !== '0.0.0.0' && host !== '::') return host;
  const known = (access?.names ?? []).filter((name) => isIP(name) !== 0 && !isLoopback(name));
  const reached = known.filter((name) => host === '::' || isIP(name) === 4);
  return reached.find((name) => isIP(name) === 4) ?? reached[0] ?? 'localhost';
}

/** Where a device of a well sends its readings, and a line each to try it by hand. */
function linesOf(service: Service, http: string, id: string): string[] {
  const { ports, access, options } = service;
  const authorityFile = join(options.accessFolder ?? '', 'authority.crt');
  const { post, tryPost, mqtt } = deviceLines({
    ...{ wellId: id, address: http, host: nameOf(service) },
    ...{ mqttPort: ports.mqtt, plainMqttPort: ports.plainMqtt },
    keyed: access && { user: `${id}/<device>`, key: '<key>', authorityFile },
  });
  const { broker } = options;
  return [
    `  page      ${http}/wells/${id}`,
    `  look      ${http}/api/v1/wells/${id}/now`,
    `            ${http}/api/v1/wells/${id}/study.txt`,
    `  HTTP      ${post}`,
    `  try it    ${tryPost}`,
    ...mqtt.flatMap(({ at, tryIt }) => [`  MQTT      ${at}`, `  try it    ${tryIt}`]),
    ...(broker === null ? [] : [`  taken     from ${broker.url}, topic wells/${id}/readings`]),
  ];
}

/** Exactly what to point a device at and where to look, once the service is up. */
export function greeting(service: Service): string {
  const { options, ports, access } = service;
  const { broken = [] } = options;
  const scheme = access === null ? 'http' : 'https';
  const http = `${scheme}://${hostInUrl(nameOf(service))}:${ports.http}`;
  const parts = options.wells.map(
    ({ well }) => `${[well.name, ...linesOf(service, http, well.id)].join('\n')}\n`,
  );
  const all = [
    `Open the page: ${http}/\n`,
    ...broken.map(({ id, says }) => `${id} waits, its readings are kept. Its file:\n${says}\n`),
    ...(options.wells.length + broken.length === 0 ? [FIRST] : []),
    `Readings are kept in ${options.store}\n`,
    ...parts,
    `${alarmsLine(options.alarms)}\n`,
    `Events as they happen: ${http}/api/v1/events; all addresses: ${http}/api/v1/openapi.json\n` +
      'A sender for a microcontroller: device/main.py, docs/device.md. What may be sent:\n' +
      'docs/formats/live-readings.md. Ctrl-C stops it; nothing acknowledged is lost.\n',
    ...(access === null ? [] : [letIn(options.accessFolder ?? '', http)]),
    ...(ports.plainMqtt === null ? [] : [PLAIN_MQTT]),
    ASIDE,
  ];
  return `${all.join('\n')}\n`;
}
