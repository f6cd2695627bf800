import { ALWAYS_S, slicesOf } from '../living/analysis.ts';
import type { Well } from '../model/well.ts';
import { Pipeline } from '../pipeline/pipeline.ts';
import type { ReadingStore } from '../ports/reading-store.ts';

export interface UnderPorts {
  store: Pick<ReadingStore, 'readings'>;
  /** Lets whatever else waits have its turn. */
  breathe: () => Promise<void>;
}

/**
 * What the readings kept would say under another well file: the pipeline of a study, brought to
 * its end. Without a span, of all of them.
 */
export async function pipelineUnder(
  well: Well,
  { store, breathe }: UnderPorts,
  { fromS = -ALWAYS_S, toS = ALWAYS_S } = {},
): Promise<Pipeline> {
  const pipeline = new Pipeline(well);
  for await (const slice of slicesOf(store.readings(well.id, fromS, toS))) {
    pipeline.take(slice);
    await breathe();
  }
  pipeline.end();
  return pipeline;
}
