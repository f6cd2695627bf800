/**
 * Every bound of the intake, and the counter that tells when it bit; null where it is met at the
 * start only, which then fails. docs/limits.md prints this table with the reason for each.
 */
export const LIMITS = {
  packBytes: { most: 256 * 1024, counter: 'refused:too-large' },
  jsonDepth: { most: 8, counter: 'refused:too-deep' },
  recordsAPack: { most: 2000, counter: 'refused:too-many-records' },
  nameChars: { most: 128, counter: 'refused:name-too-long' },
  topicChars: { most: 256, counter: 'topic-not-ours' },
  devicesAWell: { most: 32, counter: 'refused:too-many-devices' },
  readingsPerSADevice: { most: 20_000, counter: 'held-too-fast' },
  wells: { most: 256, counter: null },
  aheadS: { most: 900, counter: 'refused:clock-ahead' },
  oldestS: { most: 400 * 86_400, counter: 'refused:too-old' },
  queuePacks: { most: 5000, counter: 'held-full' },
  queueBytes: { most: 32 * 1024 * 1024, counter: 'held-full' },
  commitPacks: { most: 1000, counter: 'commits' },
  tryAgainS: { most: 5, counter: 'held-store-refuses' },
  waitingPacksABoot: { most: 10_000, counter: 'settled-early' },
  settleQuietS: { most: 60, counter: 'settled' },
  settleSilentS: { most: 600, counter: 'settled' },
  bootsADevice: { most: 64, counter: 'boots-forgotten' },
  connections: { most: 512, counter: 'connections-turned-away' },
  connectionsAnAddress: { most: 128, counter: 'connections-turned-away' },
  clientIdChars: { most: 256, counter: 'connection-failed' },
  connectWithinS: { most: 10, counter: 'connection-failed' },
  idleS: { most: 3600, counter: 'idle-closed' },
  packetsPerS: { most: 5000, counter: 'slowed-down' },
  packetsPerSAnAddress: { most: 2000, counter: 'slowed-down' },
  qos2InFlight: { most: 20, counter: 'connection-failed' },
  subscriptions: { most: 32, counter: 'subscription-refused' },
  drainS: { most: 5, counter: 'connection-failed' },
  bodyWithinS: { most: 15, counter: 'body-too-slow' },
  requestsAtOnce: { most: 256, counter: 'held-full' },
  plainTopics: { most: 64, counter: null },
} as const satisfies Record<string, { most: number; counter: string | null }>;

export type Limits = Record<keyof typeof LIMITS, number>;

/** The bounds, some of them set otherwise. */
export function limitsWith(other: Partial<Limits> = {}): Limits {
  const most = Object.entries(LIMITS).map(([name, limit]) => [name, limit.most]);
  return { ...(Object.fromEntries(most) as Limits), ...other };
}
