/** A well as the list of wells has it. */
export interface Listed {
  well: string;
  name: string | null;
  state: 'alive' | 'failed' | 'no-well-file';
  says: string | null;
  readings: number;
  first: string | null;
  last: string | null;
}
