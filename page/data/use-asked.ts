import { useEffect, useState } from 'preact/hooks';

export interface Asked<T> {
  value: T | null;
  failure: string | null;
}

/** What is asked of the service: again when one of `keys` changes, the old one kept till then. */
export function useAsked<T>(asking: () => Promise<T>, keys: readonly unknown[]): Asked<T> {
  const [asked, setAsked] = useState<Asked<T>>({ value: null, failure: null });
  useEffect(() => {
    let wanted = true;
    asking().then(
      (value) => wanted && setAsked({ value, failure: null }),
      (error: unknown) =>
        wanted &&
        setAsked(({ value }) => ({
          value,
          failure: error instanceof Error ? error.message : String(error),
        })),
    );
    return () => {
      wanted = false;
    };
  }, keys);
  return asked;
}
