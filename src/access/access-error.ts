import { GateRefuses } from '../ports/gate.ts';

/** What a keeper can mend: where, what was expected, what was found; never a secret. */
export class AccessError extends GateRefuses {}
