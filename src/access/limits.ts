/** Every bound of who is let in; docs/limits.md prints this table with the reason for each. */
export const ACCESS_LIMITS = {
  triesAnAddress: 5,
  tryAgainS: 60,
  triesInAll: 30,
  tryAgainInAllS: 10,
  sessions: 64,
  sessionS: 30 * 86_400,
  leastPassphrase: 15,
  mostPassphrase: 256,
  people: 32,
  keys: 256,
} as const;
