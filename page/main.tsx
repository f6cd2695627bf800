import { render } from 'preact';
import { App } from './app.tsx';
import { Door } from './door.tsx';

const page = document.getElementById('page');
if (page !== null)
  render(
    <Door>
      <App />
    </Door>,
    page,
  );
// Where the connection is not to be trusted with it, browsers have no worker: then nothing is kept.
navigator.serviceWorker?.register('/sw.js').catch(() => undefined);
