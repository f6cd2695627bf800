import { isIP } from 'node:net';
import { HOUSE_DOMAINS, HOUSE_NETWORKS, isOfHouse } from './host-names.ts';

/** Tags of DER (X.690 section 8) and of GeneralName (RFC 5280 section 4.2.1.6). */
const SEQUENCE = 0x30;
const PERMITTED = 0xa0;
const DNS_NAME = 0x82;
const IP_ADDRESS = 0x87;

/**
 * DER of the extension NameConstraints (RFC 5280 section 4.2.1.10): the authority vouches for
 * names and addresses of a house and for those given, and for nothing else in the world.
 */
export function nameConstraints(names: readonly string[]): Uint8Array<ArrayBuffer> {
  const more = names.filter((name) => !isOfHouse(name));
  const domains = [...HOUSE_DOMAINS, ...more.filter((name) => isIP(name) === 0)];
  const single = more
    .filter((name) => isIP(name) !== 0)
    .map((name) => `${name}/${isIP(name) === 4 ? 32 : 128}`);
  const subtrees = [
    ...domains.map((name) => der(DNS_NAME, Buffer.from(name, 'ascii'))),
    ...[...HOUSE_NETWORKS, ...single].map((network) => der(IP_ADDRESS, addressAndMask(network))),
  ].map((name) => der(SEQUENCE, name));
  return Uint8Array.from(der(SEQUENCE, der(PERMITTED, Buffer.concat(subtrees))));
}

function der(tag: number, content: Buffer): Buffer {
  const { length } = content;
  const size =
    length < 0x80 ? [length] : length < 0x100 ? [0x81, length] : [0x82, length >> 8, length & 0xff];
  return Buffer.concat([Buffer.from([tag, ...size]), content]);
}

function addressAndMask(network: string): Buffer {
  const [address = '', bits] = network.split('/');
  const bytes = isIP(address) === 4 ? address.split('.').map(Number) : bytesOfIpv6(address);
  const mask = bytes.map((_, i) => {
    const ones = Math.min(8, Math.max(0, Number(bits) - 8 * i));
    return (0xff << (8 - ones)) & 0xff;
  });
  return Buffer.from([...bytes.map((byte, i) => byte & mask[i]!), ...mask]);
}

/** The URL parser puts an address in its one short form (RFC 5952), hexadecimal throughout. */
function bytesOfIpv6(address: string): number[] {
  const short = new URL(`http://[${address}]`).hostname.slice(1, -1);
  const [front = [], back = []] = short
    .split('::')
    .map((part) => part.split(':').filter((group) => group !== ''));
  const zeros = Array<string>(8 - front.length - back.length).fill('0');
  return [...front, ...zeros, ...back].flatMap((group) => {
    const value = Number.parseInt(group, 16);
    return [value >> 8, value & 0xff];
  });
}
