import { render } from 'preact';
import { App } from './app.tsx';

const page = document.getElementById('page');
if (page !== null) render(<App />, page);
// Where the connection is not to be trusted with it, browsers have no worker: then nothing is kept.
navigator.serviceWorker?.register('/sw.js').catch(() => undefined);
