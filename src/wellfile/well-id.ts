import { readToml } from './syntax.ts';

export const WELL_ID = /^[a-z0-9-]{1,32}$/;

/** Letters without their accents, the rest to hyphens; `well` where nothing is left. */
export function idFrom(name: string): string {
  const plain = name.normalize('NFKD').replaceAll(/\p{M}/gu, '').toLowerCase();
  const id = plain.replaceAll(/[^a-z0-9]+/g, '-').replaceAll(/^-|-$/g, '');
  return id.slice(0, 32).replace(/-$/, '') || 'well';
}

/** The id in a text that cannot be used otherwise; null where neither id nor name can be read. */
export function idIn(text: string): string | null {
  const { id, name } = readToml(text).root ?? {};
  if (typeof id === 'string' && WELL_ID.test(id)) return id;
  return typeof name === 'string' ? idFrom(name) : null;
}
