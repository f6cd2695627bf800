import { execFileSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SMTPServer } from 'smtp-server';
import { outages } from './outages.ts';

export interface Mail {
  from: string;
  to: string[];
  raw: string;
  secure: boolean;
  user: string | null;
}

/** A key and certificate for 127.0.0.1, made on the spot. */
export function certificate(): { key: string; cert: string } {
  const folder = mkdtempSync(join(tmpdir(), 'certificate-'));
  const [key, cert] = [join(folder, 'key.pem'), join(folder, 'cert.pem')];
  const name = ['-subj', '/CN=127.0.0.1', '-addext', 'subjectAltName=IP:127.0.0.1'];
  const kind = ['-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes'];
  const where = ['-keyout', key, '-out', cert, '-days', '2'];
  execFileSync('openssl', ['req', ...kind, ...where, ...name], { stdio: 'ignore' });
  const made = { key: readFileSync(key, 'utf8'), cert: readFileSync(cert, 'utf8') };
  rmSync(folder, { recursive: true });
  return made;
}

export interface SmtpOptions {
  login?: { user: string; password: string };
  tls?: { key: string; cert: string };
}

/** A mail server that keeps what it takes. */
export async function smtpReceiver(options: SmtpOptions = {}) {
  const mails: Mail[] = [];
  const { login, tls } = options;
  let refusal: number | null = null;
  let server: SMTPServer;
  const listen = async (port: number): Promise<number> => {
    server = new SMTPServer({
      authOptional: login === undefined,
      ...(tls ?? { disabledCommands: ['STARTTLS'] }),
      onAuth: ({ username, password }, _session, done) => {
        const fits = username === login?.user && password === login?.password;
        if (fits && username !== undefined) done(null, { user: username });
        else done(Object.assign(new Error('wrong name or password'), { responseCode: 535 }));
      },
      onMailFrom: (_address, _session, done) =>
        refusal === null
          ? done()
          : done(Object.assign(new Error('not taken'), { responseCode: refusal })),
      onData: (stream, session, done) => {
        const pieces: Buffer[] = [];
        stream.on('data', (piece: Buffer) => pieces.push(piece));
        stream.on('end', () => {
          const { mailFrom, rcptTo } = session.envelope;
          mails.push({
            from: mailFrom === false ? '' : mailFrom.address,
            to: rcptTo.map(({ address }) => address),
            raw: Buffer.concat(pieces).toString('utf8'),
            secure: session.secure,
            user: (session.user as string | undefined) ?? null,
          });
          done();
        });
      },
    });
    server.on('error', () => undefined);
    server.listen(port, '127.0.0.1');
    await once(server.server, 'listening');
    return (server.server.address() as { port: number }).port;
  };
  const port = await listen(0);
  const away = () => new Promise<void>((resolve) => server.close(() => resolve()));
  return {
    port,
    mails,
    refuse: (code: number) => {
      refusal = code;
    },
    ...outages(port, { away, listen }),
  };
}

/** Header and text of a mail in plain text, decoded (RFC 2045, RFC 2047; UTF-8). */
export function readMail(raw: string): { header: (name: string) => string; text: string } {
  const at = raw.indexOf('\r\n\r\n');
  const head = raw.slice(0, at).replaceAll(/\r\n[ \t]+/g, ' ');
  const header = (name: string): string => {
    const line = head.split('\r\n').find((one) => one.toLowerCase().startsWith(`${name}:`)) ?? '';
    const joined = line
      .slice(name.length + 1)
      .trim()
      .replaceAll('?= =?', '?==?');
    return joined.replaceAll(/=\?utf-8\?([bq])\?(.*?)\?=/gi, (_, how: string, coded: string) =>
      how.toLowerCase() === 'b'
        ? Buffer.from(coded, 'base64').toString('utf8')
        : quotedPrintable(coded.replaceAll('_', ' ')),
    );
  };
  const body = raw.slice(at + 4);
  const coding = header('content-transfer-encoding').toLowerCase();
  const text =
    coding === 'base64'
      ? Buffer.from(body, 'base64').toString('utf8')
      : coding === 'quoted-printable'
        ? quotedPrintable(body)
        : body;
  return { header, text: text.replaceAll('\r\n', '\n').trimEnd() };
}

function quotedPrintable(coded: string): string {
  const bytes = coded
    .replaceAll(/=\r\n/g, '')
    .replaceAll(/=([0-9A-F]{2})/gi, (_, hex: string) => String.fromCharCode(parseInt(hex, 16)));
  return Buffer.from(bytes, 'latin1').toString('utf8');
}
