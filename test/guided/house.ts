import { type FileOfWell, GuidedTests, type Work } from '../../src/guided/guided-tests.ts';
import { LivingWells } from '../../src/living/living-wells.ts';
import { withBlock } from '../../src/wellfile/add-block.ts';
import { type RehearsedLog, wellOf } from '../support/rehearsed-log.ts';
import { SmallStore } from '../support/small-store.ts';

/** The file of a well as it was before its tests, or those of one table, were made. */
export function beforeTests(toml: string, table = '[a-z]+_test|sounding'): string {
  const blocks = new RegExp(`\\n\\[\\[(?:${table})\\]\\]\\n(?:(?!\\n\\[)[^])*`, 'g');
  return toml.replace(blocks, '\n');
}

/** A living well on a rehearsed log, its file, a clock, and tests made step by step. */
export function house(log: RehearsedLog, text: string, store = new SmallStore()) {
  const file = { text };
  const clock = { s: log.timeS[0]!, nowS: () => clock.s };
  const breathe = () => Promise.resolve();
  const wells = new LivingWells({ store, clock, breathe, tell: () => undefined }, 'one');
  wells.put(wellOf(file.text));
  const book: FileOfWell = {
    file: async () => file,
    add: async (block) => {
      file.text = withBlock(file.text, block);
      wells.put(wellOf(file.text));
    },
  };
  const works: Work & { declared: string[] } = {
    service: null,
    declared: [],
    declareService(did, by) {
      works.declared.push(did);
      Object.assign(works, { service: { by } });
    },
    endService: () => void Object.assign(works, { service: null }),
  };
  const ports = {
    ...{ store, clock, breathe },
    living: (id: string) => wells.get(id),
    book: () => book,
    work: () => works,
  };
  let at = 0;
  const its = {
    ...{ file, clock, wells, store, works, ports },
    guided: new GuidedTests(ports),
    restart: () => (its.guided = new GuidedTests(ports)),
    /** All readings up to a time come, and the clock is there; then everything goes on. */
    async upTo(timeS: number) {
      const from = at;
      while (at < log.timeS.length && log.timeS[at]! <= timeS) at += 1;
      clock.s = timeS + 0.5;
      if (at > from) {
        const pack = {
          ...{ wellId: log.well.id, device: '', boot: null, seq: null, arrivedS: clock.s },
          readings: {
            count: at - from,
            timeS: Float64Array.from(log.timeS.slice(from, at)),
            channel: Uint8Array.from(log.channel.slice(from, at)),
            value: Float64Array.from(log.value.slice(from, at)),
          },
          refused: [],
        };
        const [kept] = await store.keep([pack]);
        wells.kept(pack, kept!);
      }
      await wells.advance();
      await its.guided.advance([log.well.id], (error) => {
        throw error;
      });
    },
    /** Time passes, as a device that sends every ten seconds would have it. */
    async live(untilS: number) {
      for (let timeS = clock.s + 10; timeS < untilS; timeS += 10) await its.upTo(timeS);
      await its.upTo(untilS);
    },
  };
  return its;
}
