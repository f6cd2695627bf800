import { UsageError } from './usage.ts';

const USAGE = `wellwright: two signals from a household well turned into the truth about it

  wellwright study --well <well.toml> [options] <log>...
      reads recorded logs and prints what the well did
      --json              one JSON object instead of text
      --days <n>          how many of the last days the tables show (14)
      --column <a>=<b>    a foreign heading and ours, as in --column "Line P=pressure [psi]"

  wellwright watch --well <well.toml> [options]
      the same day and night, on readings that devices send; says where to send them
      --well <well.toml>  a further well; more than once
      --store <file>      where readings are kept (wellwright.sqlite beside the first well file)
      --http <port>, --mqtt <port>
                          where it listens (8080, 1883), on this machine alone unless
      --host <address>    says otherwise
      --broker <address>  takes readings from a broker that runs already
      --topic "<topic>=[<well>/]<channel> [<unit>]"
                          a topic with one plain number, as in --topic "tee=pressure [psi]";
                          with several wells the id of its well before the channel
      --history [<well>=]<log>
                          a recorded log, handed in as history
      --trust-clock       the clock of this machine is right, though readings came at a later time
      --keep-raw <days>   raw readings of longer ago are dropped for good; all are kept without it
      --alarms <file>     who is told of alarms, how and when; see docs/alarms.md
      --access <folder>   who is let in; --host needs it, and TLS is spoken then (8443, 8883)
      --plain-mqtt <port> takes readings with a key but without TLS, too

  wellwright alarms test|new-secret|new-keys ...
      tries out who is told of alarms, and makes the secrets for it; see docs/alarms.md

  wellwright access set-up|let-in|shut-out|new-certificates|show ...
      says who is let in from the house network, and makes keys and certificates; see
      docs/access.md

  wellwright store check|backup|restore|export|drop-raw ...
      looks after the file that readings are kept in; see docs/service.md

  wellwright check --well <well.toml> [options]
      checks the measuring chain and the installation that the well file tells of, with the working
      --json              one JSON object instead of text
      --figures <folder>  the chain and the residuals as pictures (SVG)
      --calibrate <pairs.csv> --channel pressure|current
                          a line through readings paired with a gauge or a clamp meter
      --at <value>        its uncertainty at a value too, as in --at "50 psi"; more than once
      --burst <samples.csv>
                          the true RMS value of a burst of raw samples of the current

  wellwright check --new [--out <well.toml>]
      makes a well file from questions; an empty answer means: don't know

  wellwright rehearse [<scenario.toml>] [options] --out <folder>
      makes the log of a well of known truth, with the faults asked for; see docs/rehearsal.md

  wellwright exam [--short] [options]
      says how well it tells what is wrong, on wells of known truth; see docs/exam.md
      --case <id>         one case with all that was said and what was true

It is advisory and protects nothing: motor overload, dry-run cut-off and relief valve must be
there on their own.
`;

type Command = (args: string[]) => Promise<number>;

/** Loaded when asked for: a study needs no server. */
const COMMANDS: Record<string, () => Promise<Command>> = {
  study: async () => (await import('./commands/study.ts')).study,
  watch: async () => (await import('./commands/watch.ts')).watch,
  access: async () => (await import('./commands/access.ts')).access,
  alarms: async () => (await import('./commands/alarms.ts')).alarms,
  store: async () => (await import('./commands/store.ts')).store,
  check: async () => (await import('./commands/check.ts')).check,
  rehearse: async () => (await import('./commands/rehearse.ts')).rehearse,
  exam: async () => (await import('./commands/exam.ts')).exam,
  demo: async () => (await import('./commands/demo.ts')).demo,
};

async function main(args: string[]): Promise<number> {
  const [name, ...rest] = args;
  if (name === undefined || name === '--help' || name === '-h') {
    process.stdout.write(USAGE);
    return name === undefined ? 2 : 0;
  }
  const load = Object.hasOwn(COMMANDS, name) ? COMMANDS[name] : undefined;
  if (load === undefined) {
    process.stderr.write(`wellwright: expected a command, found "${name}"\n\n${USAGE}`);
    return 2;
  }
  try {
    const command = await load();
    return await command(rest);
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return 2;
  }
}

// A reader that closes the pipe early (head) has seen enough: that is no failure.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(0);
  process.stderr.write(`wellwright: the output could not be written: ${error.message}\n`);
  process.exit(1);
});

process.exitCode = await main(process.argv.slice(2));
