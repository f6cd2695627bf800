/**
 * Whom an address stands for when senders are counted: an IPv4 address itself, of IPv6 its network
 * of 64 bits, all of which one house has (RFC 6177).
 */
export function networkOf(address: string): string {
  const plain = address.replace(/^::ffff:(?=[\d.]+$)/i, '').replace(/%.*$/, '');
  if (!plain.includes(':')) return plain;
  const groupsOf = (part: string | undefined) => part?.split(':').filter((one) => one !== '') ?? [];
  const [head, tail] = plain.split('::');
  const [first, last] = [groupsOf(head), groupsOf(tail)];
  const zeros = Array.from({ length: Math.max(8 - first.length - last.length, 0) }, () => '0');
  const network = [...first, ...zeros, ...last].slice(0, 4).join(':').toLowerCase();
  return `${network}::/64`;
}
