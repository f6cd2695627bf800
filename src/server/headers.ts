/** Nothing but what this service itself hands out is run, shown or asked by the page. */
const PAGE_POLICY =
  "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
  "connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; " +
  "form-action 'none'; frame-ancestors 'none'";

/** Of every answer: it is what its type says, for this page alone, and nobody keeps it. */
export const ANSWER_HEADERS = {
  'content-security-policy': "default-src 'none'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'cache-control': 'no-store',
} as const;

/** Of the page and its files, beside those. */
export const PAGE_HEADERS = { 'content-security-policy': PAGE_POLICY } as const;
