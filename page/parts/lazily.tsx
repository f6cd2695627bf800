import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { SAY } from '../words.ts';

/**
 * A sheet that comes when it is first opened, so that the first view need not wait for what only
 * this sheet needs.
 */
export function lazily<Props extends object>(
  load: () => Promise<ComponentType<Props>>,
): ComponentType<Props> {
  let come: ComponentType<Props> | null = null;
  return function Lazily(props: Props) {
    const [, setCome] = useState(come !== null);
    const [failure, setFailure] = useState<string | null>(null);
    useEffect(() => {
      if (come !== null) return;
      load().then(
        (sheet) => {
          come = sheet;
          setCome(true);
        },
        (error: Error) => setFailure(error.message),
      );
    }, []);
    if (come === null)
      return <p role="status">{failure === null ? SAY.reading : SAY.notAnswered(failure)}</p>;
    const Come = come;
    return <Come {...props} />;
  };
}
