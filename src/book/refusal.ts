import type { WellFileIssue } from '../wellfile/issue.ts';

/** Why a wish about the book cannot be met. */
export type BookRefusalCode = 'file-changed' | 'file-errors' | 'file-refuses';

export class BookRefusal extends Error {
  readonly code: BookRefusalCode;
  /** What is wrong in the text, where that is why. */
  readonly issues: readonly WellFileIssue[];
  constructor(code: BookRefusalCode, says: string, issues: readonly WellFileIssue[] = []) {
    super(says);
    this.code = code;
    this.issues = issues;
  }
}
