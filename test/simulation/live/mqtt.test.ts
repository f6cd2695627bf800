import { spawn } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { rehearse } from '../../../src/cli/commands/rehearse.ts';
import { readPlease } from '../../../src/cli/rehearse/mqtt-sender.ts';
import { type Broker, type BrokerOptions, openBroker } from './broker.ts';

const DAY = 'days = 1\n[reporting]\nrest = "100 s"\nrunning = "20 s"\n';
const TLS = new URL('localhost.', import.meta.url);

let folder = '';
let brokers: Broker[] = [];
let out = '';
let err = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'rehearse-'));
  out = '';
  err = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    out += text;
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    err += text;
    return true;
  });
});
afterEach(async () => {
  vi.restoreAllMocks();
  vi.unstubAllEnvs();
  await Promise.all(brokers.map((broker) => broker.close()));
  brokers = [];
  await rm(folder, { recursive: true });
});

async function open(options: BrokerOptions = {}): Promise<Broker> {
  const broker = await openBroker(options);
  brokers.push(broker);
  return broker;
}

async function send(url: string, scenario = DAY, faster = '400000'): Promise<number> {
  const path = join(folder, 'live.toml');
  await writeFile(path, scenario);
  return rehearse([path, '--to', `${url}/wells/x/readings`, '--faster', faster]);
}

const seqs = (broker: Broker) => broker.packs.map((pack) => pack.seq ?? Number.NaN);
const distinct = (values: number[]) => [...new Set(values)].toSorted((a, b) => a - b);
const upTo = (n: number) => Array.from({ length: n }, (_, i) => i);
const counted = () => Number(/^(\d+) rows sent/.exec(out)?.[1]);
const waitFor = async (done: () => boolean) => {
  while (!done()) await new Promise((resolve) => setTimeout(resolve, 5));
};

describe('a rehearsal sent by MQTT', () => {
  it('arrives whole, once and in order, each pack with boot and seq', async () => {
    const broker = await open();
    expect(await send(broker.url)).toBe(0);
    expect(broker.packs.length).toBeGreaterThan(800);
    expect(seqs(broker)).toEqual(upTo(broker.packs.length));
    expect(broker.packs.every((p) => p.refused.length === 0 && p.boot === 1)).toBe(true);
    expect(out).toContain(
      `${broker.packs.length} rows sent to ${broker.url}/wells/x/readings, all`,
    );
    expect(err).toBe('');
  });

  it('counts a pack when it is acknowledged, not when it is on its way', async () => {
    const held: (() => void)[] = [];
    let holds = true;
    const broker = await open({
      onPack: (_, done) => {
        if (holds) held.push(done);
        else done();
      },
    });
    let ended = false;
    const sending = send(broker.url).finally(() => {
      ended = true;
    });
    await waitFor(() => held.length > 20);
    await new Promise((resolve) => setTimeout(resolve, 500));
    // With none acknowledged no more than a hundred are under way, and none counts.
    expect(held.length).toBeLessThanOrEqual(100);
    expect([broker.packs.length, ended, out]).toEqual([held.length, false, '']);
    holds = false;
    for (const done of held) done();
    expect(await sending).toBe(0);
    expect(counted()).toBe(broker.packs.length);
  });

  it('connects again after the connection is cut, and sends again what had no answer', async () => {
    const unanswered: number[] = [];
    let cuts = 0;
    let dying = false;
    const broker: Broker = await open({
      onPack: (packet, done) => {
        expect(packet.qos).toBe(1);
        // From here packs are read but never answered; then the network dies. Twice.
        if (cuts === 2 || broker.packs.length <= 250 * (cuts + 1)) return done();
        unanswered.push(broker.packs.at(-1)!.seq!);
        if (dying) return;
        dying = true;
        setTimeout(() => {
          dying = false;
          cuts++;
          broker.cut();
        }, 100);
      },
    });
    expect(await send(broker.url)).toBe(0);
    expect(cuts).toBe(2);
    const came = seqs(broker);
    const sent = distinct(came);
    expect(sent).toEqual(upTo(sent.length));
    expect(counted()).toBe(sent.length);
    expect(unanswered.length).toBeGreaterThan(2);
    for (const seq of unanswered) {
      expect(came.filter((s) => s === seq).length, `seq ${seq}`).toBeGreaterThanOrEqual(2);
    }
    expect(err).toMatch(/connection lost; what is not acknowledged is kept and sent again\n/);
    expect(err).toMatch(/answers again\n/);
  });

  it('waits for a broker that goes away and comes back', async () => {
    const first: Broker = await open({
      onPack: (_, done) => {
        if (first.packs.length < 200) done();
      },
    });
    const port = Number(new URL(first.url).port);
    const sending = send(first.url);
    await waitFor(() => first.packs.length >= 200);
    await first.close();
    brokers = [];
    const second = await open({ port });
    expect(await sending).toBe(0);
    const answered = seqs(first).slice(0, 199);
    const sent = distinct([...answered, ...seqs(second)]);
    expect(sent).toEqual(upTo(counted()));
    expect(second.packs.length).toBeGreaterThan(600);
  });

  it('sends the backlog of an outage and the duplicates of a bad network', async () => {
    const broker = await open();
    const messy =
      'seed = 3\ndays = 1\n[reporting]\nrest = "20 s"\nrunning = "2 s"\n[delivery]\n' +
      'duplicated = 0.02\ndisordered = 0.01\noutages_per_day = 6\noutage_mean = "20 min"\n' +
      'backlog_rows = 5000\nresets_per_week = 70\nclock_unset = "60 s"\n';
    expect(await send(broker.url, messy)).toBe(0);
    const keys = broker.packs.map((pack) => pack.boot! * 1e6 + pack.seq!);
    expect(keys.length - new Set(keys).size).toBeGreaterThan(50);
    expect(counted()).toBe(keys.length);
    const late = keys.filter((key, i) => i > 0 && key < keys[i - 1]!);
    expect(late.length).toBeGreaterThan(20);
    // A device whose clock is not yet set says how long it has run, and no time.
    const unset = broker.packs.filter((pack) => pack.readings.some((r) => r.relative));
    expect(unset.length).toBeGreaterThan(0);
    expect(unset.every((p) => p.boot! > 1 && p.uptimeS! < 60)).toBe(true);
    // Nothing is missing but what a reset cost: with every boot, all of its rows.
    for (const boot of new Set(broker.packs.map((pack) => pack.boot))) {
      const own = distinct(broker.packs.filter((p) => p.boot === boot).map((p) => p.seq!));
      expect(own).toEqual(upTo(own.length));
    }
  });

  it('reports faster while the service asks for it, and tells a wish it cannot read', async () => {
    const broker: Broker = await open({
      onPack: (_, done) => {
        if (broker.packs.length === 100) {
          ask({ intervalS: 2, forS: 2400 });
          ask({ intervalS: 'soon' });
        }
        done();
      },
    });
    const ask = (wish: object) =>
      broker.aedes.publish(
        {
          cmd: 'publish',
          topic: 'wells/x/please',
          payload: Buffer.from(JSON.stringify(wish)),
          qos: 1,
          dup: false,
          retain: false,
        },
        () => undefined,
      );
    expect(await send(broker.url, DAY, '50000')).toBe(0);
    const times = broker.packs.map((pack) => pack.readings[0]!.timeS);
    const apart = times.slice(1).map((t, i) => t - times[i]!);
    const fast = apart.filter((s) => Math.abs(s - 2) < 0.01).length;
    expect(fast).toBeGreaterThan(1000);
    expect(fast).toBeLessThan(1250);
    expect(err).toContain(
      'wells/x/please: expected { intervalS, forS }, found {"intervalS":"soon"}',
    );
  });

  it('says who may not come in, from name and password in the environment', async () => {
    const authenticate: BrokerOptions['authenticate'] = (_, user, password, done) => {
      if (user === 'well' && password?.toString() === 'deep') return done(null, true);
      done(Object.assign(new Error('no'), { returnCode: 4 }), false);
    };
    const broker = await open({ authenticate });
    await expect(send(broker.url)).rejects.toThrow(/expected a connection, found .*[Bb]ad user/);
    vi.stubEnv('WELLWRIGHT_USER', 'well');
    await expect(send(broker.url)).rejects.toThrow(/WELLWRIGHT_PASSWORD.*found one of the two/);
    vi.stubEnv('WELLWRIGHT_PASSWORD', 'deep');
    expect(await send(broker.url)).toBe(0);
    expect(broker.packs.length).toBeGreaterThan(800);
    const named = broker.url.replace('//', '//well:deep@');
    await expect(send(named)).rejects.toThrow(/no name or password in the address/);
  });

  it('ends where a broker stops to let it in, and says how many rows it has', async () => {
    let welcome = true;
    const broker: Broker = await open({
      authenticate: (_, _user, _password, done) => {
        if (welcome) return done(null, true);
        done(Object.assign(new Error('no'), { returnCode: 5 }), false);
      },
      onPack: (_, done) => {
        done();
        if (broker.packs.length !== 200) return;
        welcome = false;
        broker.cut();
      },
    });
    await expect(send(broker.url)).rejects.toThrow(
      /expected a connection, found .*[Nn]ot authorized\n\d+ rows acknowledged, \d+ not sent/,
    );
  });

  it('says what is wrong with an address', async () => {
    const broker = await open();
    const { port } = new URL(broker.url);
    await broker.close();
    brokers = [];
    await expect(send(`mqtt://localhost:${port}`)).rejects.toThrow(/found .*ECONNREFUSED/);
    await expect(send('mqtt://no-such-host.invalid')).rejects.toThrow(/found .*(ENOTFOUND|EAI_)/);
    await expect(rehearse(['--to', 'mqtt://localhost/x'])).rejects.toThrow(/expected the topic/);
    await expect(rehearse(['--to', 'ftp://localhost/x'])).rejects.toThrow(/http, https, mqtt or/);
    await expect(rehearse(['--to', 'localhost'])).rejects.toThrow(/http, https, mqtt or/);
  });

  it('checks a certificate, and takes one that the environment vouches for', async () => {
    const [key, cert] = await Promise.all(
      ['key.pem', 'cert.pem'].map((end) => readFile(new URL(`${TLS}${end}`), 'utf8')),
    );
    const broker = await open({ tls: { key: key!, cert: cert! } });
    await expect(send(broker.url)).rejects.toThrow(/expected a connection, found .*self.signed/);
    expect(broker.packs).toEqual([]);
    const path = join(folder, 'live.toml');
    const to = `${broker.url}/wells/x/readings`;
    const child = spawn(
      process.execPath,
      ['src/cli/main.ts', 'rehearse', path, '--to', to, '--faster', '400000'],
      {
        env: { ...process.env, NODE_EXTRA_CA_CERTS: new URL(`${TLS}cert.pem`).pathname },
        stdio: 'ignore',
      },
    );
    expect(await new Promise((resolve) => child.on('close', resolve))).toBe(0);
    expect(broker.packs.length).toBeGreaterThan(800);
  });
});

describe('a wish', () => {
  it.each(['', 'null', '[]', '{}', '{"intervalS":1}', '{"intervalS":0,"forS":9}'])(
    '%s is none',
    (text) => expect(readPlease(text)).toBe(null),
  );
  it('has an interval and a length within bounds', () => {
    expect(readPlease('{"intervalS":0.5,"forS":60}')).toEqual({ intervalS: 0.5, forS: 60 });
    expect(readPlease('{"intervalS":0.5,"forS":86401}')).toBe(null);
    expect(readPlease('{"intervalS":3601,"forS":60}')).toBe(null);
  });
});
