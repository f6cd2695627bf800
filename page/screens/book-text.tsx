import type { RefObject } from 'preact';
import { useRef } from 'preact/hooks';
import type { WellFileIssue } from '../../src/wellfile/issue.ts';
import { SAY } from '../words.ts';

const MOST_ROWS = 32;

interface TextProps {
  text: string;
  issues: readonly WellFileIssue[];
  area: RefObject<HTMLTextAreaElement | null>;
  put(text: string): void;
}

/** The text over its numbered lines; those with something wrong are marked. */
export function BookText({ text, issues, area, put }: TextProps) {
  const behind = useRef<HTMLPreElement>(null);
  const lines = text.split('\n');
  const wrong = new Set(issues.map(({ line }) => line));
  const follow = () => {
    if (behind.current !== null) behind.current.scrollTop = area.current?.scrollTop ?? 0;
  };
  return (
    <div class="file-text">
      <pre ref={behind} aria-hidden="true">
        {lines.map((_, i) => (
          <span key={i} class={wrong.has(i + 1) ? 'wrong' : ''}>
            {wrong.has(i + 1) ? `✕ ${i + 1}` : i + 1}
            {'\n'}
          </span>
        ))}
      </pre>
      <textarea
        ref={area}
        aria-label={SAY.book.file.text}
        aria-invalid={wrong.size > 0}
        aria-describedby="file-issues"
        rows={Math.min(lines.length + 2, MOST_ROWS)}
        wrap="off"
        spellcheck={false}
        autocapitalize="off"
        value={text}
        onInput={(event) => put(event.currentTarget.value)}
        onScroll={follow}
      />
    </div>
  );
}

/** The caret to where something is wrong, its line marked out. */
export function goTo(area: HTMLTextAreaElement | null, text: string, issue: WellFileIssue): void {
  if (area === null) return;
  const lines = text.split('\n');
  const start = lines.slice(0, issue.line - 1).reduce((sum, line) => sum + line.length + 1, 0);
  const line = lines[issue.line - 1] ?? '';
  const before = [...line].slice(0, issue.column - 1).join('').length;
  area.focus();
  area.setSelectionRange(start + before, start + line.length);
  const lineHeight = area.scrollHeight / Math.max(lines.length, 1);
  area.scrollTop = Math.max(0, (issue.line - 4) * lineHeight);
}
