import { refusal } from './api.ts';

/** Has the service make a copy of its store, and hands it to the browser as a file. */
export async function fetchBackup(by: string): Promise<void> {
  const response = await fetch('/api/v1/backup', {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ by }),
  });
  if (!response.ok) throw refusal(response.status, await response.json());
  const address = URL.createObjectURL(await response.blob());
  const link = document.createElement('a');
  link.href = address;
  link.download = `wellwright-${new Date().toISOString().slice(0, 10)}.sqlite`;
  link.click();
  // The browser has taken it by then.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
