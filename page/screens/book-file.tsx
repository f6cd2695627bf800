import { useEffect, useRef, useState } from 'preact/hooks';
import type { WellFileIssue } from '../../src/wellfile/issue.ts';
import { Refused } from '../data/api.ts';
import { useAsked } from '../data/use-asked.ts';
import { askWellText, issuesIn, putWellText, type WellText } from '../data/well-book.ts';
import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';
import { BookText, goTo } from './book-text.tsx';
import { type Keeper, KeeperName } from './keeper-name.tsx';
import { OwnerCan } from './owner-can.tsx';

const say = SAY.book.file;
/** What is typed is looked at once the hand rests so long. */
const RESTS_MS = 400;

interface FileProps {
  wellId: string;
  keeper: Keeper;
}

/** The well file, read when it is opened. */
export function BookFile(props: FileProps) {
  const { mayAct } = useWho();
  const [opened, setOpened] = useState(false);
  const open = (event: { currentTarget: HTMLDetailsElement }) => {
    if (event.currentTarget.open) setOpened(true);
  };
  return (
    <section class="well-file">
      <h2>{say.title}</h2>
      <p>{say.note}</p>
      <details onToggle={open}>
        <summary>{mayAct ? say.edit : say.read}</summary>
        {opened && <FileText {...props} />}
      </details>
    </section>
  );
}

/** Its text as it stands, to edit for who may. */
export function FileText(props: FileProps) {
  const { wellId } = props;
  const { mayAct } = useWho();
  const { value: read, failure } = useAsked(() => askWellText(wellId), [wellId]);
  if (read === null)
    return <p role="status">{failure === null ? SAY.reading : SAY.notAnswered(failure)}</p>;
  return mayAct ? <Editor first={read} {...props} /> : <ToRead text={read.text} />;
}

function ToRead({ text }: { text: string }) {
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reached by keys */}
      <pre class="lines" tabIndex={0}>
        {text}
      </pre>
      <OwnerCan what="file" />
    </>
  );
}

/** A browser edits text with plain line ends; those of the file are put back. */
const plain = (text: string): string => text.replaceAll('\r\n', '\n');
const withEndsOf = (base: string, text: string): string =>
  base.includes('\r\n') ? text.replaceAll('\n', '\r\n') : text;

function Editor({ first, wellId, keeper }: FileProps & { first: WellText }) {
  const [base, setBase] = useState(first);
  const [text, setText] = useState(plain(first.text));
  const [issues, setIssues] = useState<readonly WellFileIssue[]>(first.issues);
  const [says, setSays] = useState('');
  const [other, setOther] = useState<WellText | null>(null);
  const area = useRef<HTMLTextAreaElement>(null);
  useEffect(() => {
    const timer = setTimeout(() => setIssues(issuesIn(text)), RESTS_MS);
    return () => clearTimeout(timer);
  }, [text]);
  const take = (now: WellText) => {
    setBase(now);
    setText(plain(now.text));
    setIssues(now.issues);
    setOther(null);
  };
  const put = async (basedOn: string) => {
    if (keeper.name === '') return setSays(SAY.book.write.noName);
    if (text === plain(base.text)) return setSays(say.unchanged);
    const whole = withEndsOf(base.text, text);
    try {
      take(await putWellText(wellId, { by: keeper.name, basedOn, text: whole }));
      keeper.keep();
      setSays(say.done);
    } catch (error) {
      await refused(error);
    }
  };
  const refused = async (error: unknown) => {
    if (!(error instanceof Refused)) return setSays(say.failed(String(error)));
    if (error.code === 'file-changed') {
      setOther(await askWellText(wellId));
      setSays(say.changed);
    } else if (error.issues.length > 0) {
      setIssues(error.issues);
      setSays(say.mendFirst);
      goTo(area.current, text, error.issues[0]!);
    } else setSays(say.failed(error.message));
  };
  return (
    <>
      <BookText {...{ text, issues, area }} put={setText} />
      <Issues issues={issues} go={(issue) => goTo(area.current, text, issue)} />
      <KeeperName keeper={keeper} />
      <div class="knobs">
        {other === null ? (
          <button type="button" onClick={() => put(base.hash)}>
            {say.put}
          </button>
        ) : (
          <>
            <button type="button" onClick={() => take(other)}>
              {say.theirs}
            </button>
            <button type="button" onClick={() => put(other.hash)}>
              {say.mine}
            </button>
          </>
        )}
      </div>
      <p role="status">{says}</p>
    </>
  );
}

interface IssuesProps {
  issues: readonly WellFileIssue[];
  go(issue: WellFileIssue): void;
}

/** All that is wrong, each leading to its place. */
function Issues({ issues, go }: IssuesProps) {
  return (
    <div id="file-issues" class="issues">
      <p>{issues.length === 0 ? say.right : say.wrong(issues.length)}</p>
      <ul>
        {issues.map((issue) => (
          <li key={`${issue.line}:${issue.column}:${issue.key}:${issue.code}`}>
            <button type="button" class="choose" onClick={() => go(issue)}>
              {say.place(issue.line, issue.column)}
            </button>{' '}
            {issue.key === '' ? '' : `${issue.key}: `}
            {SAY.book.write.expected(issue.expected, issue.found)}
          </li>
        ))}
      </ul>
    </div>
  );
}
