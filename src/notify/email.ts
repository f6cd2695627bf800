import nodemailer from 'nodemailer';
import { causeOf } from '../base/cause-of.ts';
import type { Notice } from '../model/alarm.ts';
import { type Notifier, NotTold } from '../ports/notifier.ts';
import { ANSWER_WITHIN_MS } from './send-http.ts';

export interface EmailOptions {
  host: string;
  port: number;
  tls: boolean;
  sender: string;
  to: readonly string[];
  /** null where the server takes mail without a name. */
  login: { user: string; password: string } | null;
  answerWithinMs?: number;
  /** Certificates trusted beside those of the system, PEM. */
  trusted?: string;
}

interface MailError {
  code?: string;
  responseCode?: number;
}

/**
 * A message that a server answers with 5xx it will not take later either (RFC 5321, section 4.2.1);
 * what is wrong with name, password or certificate may be put right while the service runs.
 */
const isForGood = ({ code, responseCode = 0 }: MailError): boolean =>
  responseCode >= 500 && (code === 'EENVELOPE' || code === 'EMESSAGE');

/** A notice as mail, in plain text; a name and password go over TLS only. */
export class EmailNotifier implements Notifier {
  readonly #options: EmailOptions;
  readonly #way;

  constructor(options: EmailOptions) {
    const { host, port, tls, login, answerWithinMs = ANSWER_WITHIN_MS, trusted } = options;
    this.#options = options;
    this.#way = nodemailer.createTransport({
      ...{ host, port, secure: tls },
      ...(login !== null && {
        auth: { user: login.user, pass: login.password },
        requireTLS: !tls,
      }),
      ...(trusted !== undefined && { tls: { ca: trusted } }),
      connectionTimeout: answerWithinMs,
      greetingTimeout: answerWithinMs,
      socketTimeout: answerWithinMs,
      disableFileAccess: true,
      disableUrlAccess: true,
    });
  }

  async tell(notice: Notice): Promise<void> {
    const { host, port, sender, to } = this.#options;
    const domain = /@([^>\s]+)/.exec(sender)?.[1] ?? 'wellwright.invalid';
    try {
      await this.#way.sendMail({
        from: sender,
        to: [...to],
        subject: notice.subject,
        text: `${notice.text}\n`,
        date: new Date(notice.at),
        messageId: `<${notice.id}@${domain}>`,
        headers: {
          'auto-submitted': 'auto-generated',
          ...(notice.urgency === 'now' && { importance: 'high' }),
        },
      });
    } catch (error) {
      const again = !isForGood(error as MailError);
      const found = causeOf(error);
      throw new NotTold(`mail server ${host}:${port}: expected it taken, found ${found}`, again);
    }
  }

  async close(): Promise<void> {
    this.#way.close();
  }
}
