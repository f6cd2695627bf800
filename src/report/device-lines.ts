/** Where a well hears its devices. */
export interface WaysIn {
  wellId: string;
  /** Of the service over HTTP, without a path: `https://192.168.1.7:8443`. */
  address: string;
  /** Name or address of its machine. */
  host: string;
  mqttPort: number | null;
  /** Of MQTT without TLS beside it. */
  plainMqttPort: number | null;
  /** What a device has to show, and the file it trusts the service by; null: nothing. */
  keyed: { user: string; key: string; authorityFile: string } | null;
}

export interface DeviceLines {
  post: string;
  /** A line of a shell that hands in one reading. */
  tryPost: string;
  mqtt: { at: string; tryIt: string }[];
}

const READING = `'[{"n":"pressure","u":"Pa","v":379000}]'`;

export const hostInUrl = (host: string): string => (host.includes(':') ? `[${host}]` : host);

/** Exactly where a device hands in its readings, and a line each to try it by hand. */
export function deviceLines(ways: WaysIn): DeviceLines {
  const { wellId, address, host, mqttPort, plainMqttPort, keyed } = ways;
  const url = `${address}/api/v1/wells/${wellId}/readings`;
  const curl = keyed && `--cacert ${keyed.authorityFile} -u '${keyed.user}:${keyed.key}' `;
  const login = keyed === null ? '' : `-u '${keyed.user}' -P '${keyed.key}' `;
  const mqtt = (port: number, isTls: boolean) => ({
    at:
      `${isTls ? 'mqtts' : 'mqtt'}://${hostInUrl(host)}:${port}, ` +
      `topic wells/${wellId}/readings, QoS 1; results on wells/${wellId}/results`,
    tryIt:
      `mosquitto_pub ${isTls ? `--cafile ${keyed?.authorityFile} ` : ''}${login}-h ${host} ` +
      `-p ${port} -q 1 -t wells/${wellId}/readings -m ${READING}`,
  });
  return {
    post: `POST ${url}`,
    tryPost: `curl ${curl ?? ''}-d ${READING} -H 'content-type: application/senml+json' ${url}`,
    mqtt: [
      ...(mqttPort === null ? [] : [mqtt(mqttPort, keyed !== null)]),
      ...(plainMqttPort === null ? [] : [mqtt(plainMqttPort, false)]),
    ],
  };
}
