import { createHash } from 'node:crypto';
import { join } from 'node:path';
import { defineConfig, type Plugin } from 'vite';

/** Of page/public what a page without the service may be asked for. */
const PUBLIC = ['/icon.svg', '/icon-192.png', '/manifest.webmanifest'];

/** Tells the worker which files make the page, and names this build after their content. */
const listed: Plugin = {
  name: 'listed',
  enforce: 'post',
  generateBundle(_options, bundle) {
    const worker = bundle['sw.js'];
    if (worker?.type !== 'chunk') return;
    const built = Object.keys(bundle).filter((name) => name.startsWith('assets/'));
    const files = ['/', ...PUBLIC, ...built.map((name) => `/${name}`)];
    const build = createHash('sha256').update(files.join()).digest('hex').slice(0, 12);
    worker.code = worker.code
      .replace(/(["'`])FILES\1/, JSON.stringify(JSON.stringify(files)))
      .replace('page-BUILD', `page-${build}`);
  },
};

export default defineConfig({
  root: import.meta.dirname,
  plugins: [listed],
  build: {
    outDir: join(import.meta.dirname, '..', 'dist', 'page'),
    emptyOutDir: true,
    target: 'es2022',
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: {
        index: join(import.meta.dirname, 'index.html'),
        sw: join(import.meta.dirname, 'sw.ts'),
      },
      output: {
        entryFileNames: ({ name }) => (name === 'sw' ? 'sw.js' : 'assets/[name]-[hash].js'),
      },
    },
  },
});
