import Type from 'typebox';

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
