import { WellTextFile } from '../../src/store/well-text-file.ts';

/** Writes two texts in turn until it is killed. */
const file = new WellTextFile(process.argv[2]!);
const texts = ['a', 'b'].map((letter) => `name = "${letter.repeat(200_000)}"\n`);
for (let i = 0; ; i++) {
  const { hash } = await file.read();
  await file.write(texts[i % 2]!, hash);
  if (i === 0) process.stdout.write('writing\n');
}
