import { type LookupAddress, lookup } from 'node:dns';
import { BlockList, isIP, type LookupFunction } from 'node:net';

function networks(family: 'ipv4' | 'ipv6', all: string): BlockList {
  const list = new BlockList();
  for (const one of all.split(' ')) {
    const [network = '', bits] = one.split('/');
    list.addSubnet(network, Number(bits), family);
  }
  return list;
}

/** Of the machine, the house and nobody: special purposes of RFC 6890 and its updates. */
const OURS = networks(
  'ipv4',
  '0.0.0.0/8 10.0.0.0/8 100.64.0.0/10 127.0.0.0/8 169.254.0.0/16 172.16.0.0/12 192.0.0.0/24 ' +
    '192.168.0.0/16 198.18.0.0/15 224.0.0.0/3',
);
/** What is given out as unicast of the world (RFC 4291, section 2.4) ... */
const WORLD = networks('ipv6', '2000::/3');
/** ... less what carries an IPv4 address, which may be any (RFC 4380, RFC 3056). */
const CARRIES = networks('ipv6', '2001::/32 2002::/16');

/** Whether an IP address leads to this machine or into the house, or is that of no one server. */
export function isOfTheHouse(address: string): boolean {
  if (isIP(address) === 4) return OURS.check(address, 'ipv4');
  const mapped = /^::ffff:(\d+\.\d+\.\d+\.\d+)$/i.exec(address)?.[1];
  if (mapped !== undefined) return isOfTheHouse(mapped);
  return !WORLD.check(address, 'ipv6') || CARRIES.check(address, 'ipv6');
}

/** Said in place of an address that a target may not have. */
export class OfTheHouse extends Error {}

/**
 * Looks a name up once, for a connection that then goes to the very address that was judged: a name
 * that leads elsewhere a moment later is of no use to anybody.
 */
export const lookupOutside: LookupFunction = (hostname, options, done) => {
  lookup(hostname, { ...options, all: true }, (error, found: LookupAddress[]) => {
    const inside = found?.find(({ address }) => isOfTheHouse(address));
    const [first] = found ?? [];
    if (error !== null) done(error, '', 0);
    else if (inside !== undefined || first === undefined)
      done(new OfTheHouse(`${hostname} leads to ${inside?.address ?? 'nowhere'}`), '', 0);
    else if (options.all) done(null, found);
    else done(null, first.address, first.family);
  });
};
