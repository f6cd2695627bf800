/** Every bound of the HTTP interface; docs/limits.md prints this table with the reason for each. */
export const SERVER_LIMITS = {
  httpConnections: 512,
  headerBytes: 16_384,
  headersWithinS: 15,
  requestWithinS: 60,
  idleS: 75,
  silentS: 120,
  targetChars: 100,
  askBytes: 4096,
  stretches: 5000,
  records: 10_000,
  refusedShown: 1000,
  longAnswers: 4,
  listeners: 64,
  listenerBytes: 1_048_576,
  eventsKept: 1000,
  heartbeatS: 5,
} as const;

export type ServerLimits = { [name in keyof typeof SERVER_LIMITS]: number };

/** The bounds, some of them set otherwise. */
export const limitsOfServer = (other: Partial<ServerLimits> = {}): ServerLimits => ({
  ...SERVER_LIMITS,
  ...other,
});
