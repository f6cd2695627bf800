/** Every bound of the HTTP interface; docs/limits.md prints this table with the reason for each. */
export const SERVER_LIMITS = {
  httpConnections: 512,
  httpConnectionsAnAddress: 128,
  requestsPerS: 500,
  actsAMinute: 120,
  headerBytes: 16_384,
  headersWithinS: 15,
  requestWithinS: 60,
  idleS: 75,
  silentS: 120,
  targetChars: 100,
  askBytes: 4096,
  askDepth: 8,
  blockBytes: 8192,
  fileBytes: 1_048_576,
  noteBytes: 12_582_912,
  photos: 6,
  longBodies: 2,
  stretches: 5000,
  records: 10_000,
  refusedShown: 1000,
  longAnswers: 4,
  answerWithinS: 900,
  listeners: 64,
  listenersAnAddress: 32,
  listenerBytes: 1_048_576,
  eventsKept: 1000,
  heartbeatS: 5,
} as const;

/** Which counter tells that a bound bit; null where it is a rhythm and turns nobody away. */
export const SERVER_COUNTERS = {
  httpConnections: 'http-turned-away',
  httpConnectionsAnAddress: 'http-turned-away',
  requestsPerS: 'http:too-often',
  actsAMinute: 'http:too-often',
  headerBytes: 'http:too-large',
  headersWithinS: 'http:too-slow',
  requestWithinS: 'http:too-slow',
  idleS: 'http-silent-closed',
  silentS: 'http-silent-closed',
  targetChars: 'http:bad-request',
  askBytes: 'http:too-large',
  askDepth: 'http:bad-request',
  blockBytes: 'http:too-large',
  fileBytes: 'http:too-large',
  noteBytes: 'http:too-large',
  photos: 'http:bad-request',
  longBodies: 'http:busy',
  stretches: 'http:bad-request',
  records: 'http-in-parts',
  refusedShown: 'http:bad-request',
  longAnswers: 'http:busy',
  answerWithinS: 'http-too-long',
  listeners: 'listeners-turned-away',
  listenersAnAddress: 'listeners-turned-away',
  listenerBytes: 'listeners-cut-off',
  eventsKept: 'gaps-told',
  heartbeatS: null,
} as const satisfies Record<keyof typeof SERVER_LIMITS, string | null>;

export type ServerLimits = { [name in keyof typeof SERVER_LIMITS]: number };

/** The bounds, some of them set otherwise. */
export const limitsOfServer = (other: Partial<ServerLimits> = {}): ServerLimits => ({
  ...SERVER_LIMITS,
  ...other,
});
