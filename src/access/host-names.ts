import { BlockList, isIP, isIPv4 } from 'node:net';
import { hostname, networkInterfaces } from 'node:os';

/** Names and addresses of this machine by which a house knows it. */
export function hostNames(): string[] {
  const host = hostname().toLowerCase();
  const names = /^[a-z0-9-]+$/.test(host) ? [host, `${host}.local`] : [host];
  const addresses = Object.values(networkInterfaces())
    .flatMap((all) => all ?? [])
    .map(({ address }) => address)
    .filter(isOfHouse);
  return [...new Set(['localhost', '127.0.0.1', '::1', ...names, ...addresses])];
}

/**
 * Addresses that networks at home have (RFC 1918, RFC 4193, and this machine itself): the authority
 * can vouch for no others, so that its key is worth nothing outside.
 */
export const HOUSE_NETWORKS = [
  '127.0.0.0/8',
  '10.0.0.0/8',
  '172.16.0.0/12',
  '192.168.0.0/16',
  '169.254.0.0/16',
  '::1/128',
  'fc00::/7',
] as const;

/** Ends of names that are of no one in the world (RFC 6761, 6762, 8375), and common ones. */
export const HOUSE_DOMAINS = ['localhost', 'local', 'home.arpa', 'internal', 'lan'] as const;

const ofHouse = new BlockList();
for (const network of HOUSE_NETWORKS) {
  const [address = '', bits] = network.split('/');
  ofHouse.addSubnet(address, Number(bits), familyOf(address));
}

function familyOf(address: string): 'ipv4' | 'ipv6' {
  return isIPv4(address) ? 'ipv4' : 'ipv6';
}

/** Whether a name or address is one of a house, wherever that stands. */
export function isOfHouse(name: string): boolean {
  if (isIP(name) !== 0) return ofHouse.check(name, familyOf(name));
  return HOUSE_DOMAINS.some((domain) => name === domain || name.endsWith(`.${domain}`));
}
