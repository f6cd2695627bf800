import Type from 'typebox';
import { BOOK_KINDS, REMINDERS } from '../model/book.ts';

const HASH = Type.String({ description: 'SHA-256 of the text' });
/** All that is wrong in a well file. */
export const ISSUES = Type.Array(
  Type.Object({
    code: Type.String({ description: 'docs/errors.md lists them' }),
    line: Type.Integer({ minimum: 1 }),
    column: Type.Integer({ minimum: 1 }),
    key: Type.String(),
    expected: Type.String(),
    found: Type.String(),
  }),
);
export const WELL_TEXT = Type.Object({ text: Type.String(), hash: HASH, issues: ISSUES });

const BY_WHOM = Type.Union([Type.String(), Type.Null()], {
  description: 'as typed; null for a hand outside this program',
});
const CHANGE = {
  from: HASH,
  to: HASH,
  failed: Type.Optional(Type.String({ description: 'why it did not come about' })),
};
const ACT = Type.Union([
  Type.Object({
    what: Type.Literal('added'),
    by: Type.String(),
    table: Type.String(),
    values: Type.Object({}, { additionalProperties: true }),
    ...CHANGE,
  }),
  Type.Object({ what: Type.Literal('edited'), by: BY_WHOM, ...CHANGE }),
  Type.Object({
    what: Type.Literal('noted'),
    by: Type.String(),
    on: Type.String({ format: 'date-time' }),
    about: Type.String(),
    says: Type.String(),
    photos: Type.Array(
      Type.Object({
        type: Type.String(),
        bytes: Type.Integer({ minimum: 0 }),
        widthPx: Type.Integer(),
        heightPx: Type.Integer(),
      }),
    ),
  }),
]);
export const BOOK_ENTRY = Type.Object({
  id: Type.String(),
  kind: Type.Enum([...BOOK_KINDS]),
  at: Type.String({ format: 'date-time', description: 'when it came' }),
  act: ACT,
});
export const BOOK = Type.Object({ entries: Type.Array(BOOK_ENTRY) });

const WHEN = Type.Union([Type.String({ format: 'date-time' }), Type.Null()]);
export const COMES_ROUND = Type.Object({
  reminders: Type.Array(
    Type.Object({
      name: Type.Enum([...REMINDERS]),
      last: WHEN,
      due: WHEN,
      opened: Type.Boolean({ description: 'due since well or plumbing was open' }),
    }),
  ),
});
