import swagger from '@fastify/swagger';
import fastify, {
  type FastifyError,
  type FastifyInstance,
  type FastifyReply,
  type FastifyRequest,
} from 'fastify';
import { answerBroken } from './broken-request.ts';
import { withSchemas } from './documents.ts';
import { boundConnections, boundHosts, boundRates } from './doors.ts';
import { guard } from './guard.ts';
import { ANSWER_HEADERS } from './headers.ts';
import { listenerFor } from './listener.ts';
import { packed } from './packed.ts';
import { routePage } from './page.ts';
import { sendProblem, tellProblem } from './problems.ts';
import { routeAlarms } from './routes/alarms.ts';
import { routeAuthority } from './routes/authority.ts';
import { routeBackup } from './routes/backup.ts';
import { routeBook } from './routes/book.ts';
import { routeContractor } from './routes/contractor.ts';
import { routeCounters } from './routes/counters.ts';
import { routeDevices } from './routes/devices.ts';
import { routeEvents } from './routes/events.ts';
import { routeFile } from './routes/file.ts';
import { routeGauges } from './routes/gauges.ts';
import { routeHealth } from './routes/health.ts';
import { routeLog } from './routes/log.ts';
import { routeMetrics } from './routes/metrics.ts';
import { routeNewWells } from './routes/new-wells.ts';
import { routeNow } from './routes/now.ts';
import { routePeriods } from './routes/periods.ts';
import { routePush } from './routes/push.ts';
import { routeReadings } from './routes/readings.ts';
import { routeRecords } from './routes/records.ts';
import { routeSignIn } from './routes/sign-in.ts';
import { routeStretches } from './routes/stretches.ts';
import { routeStudy } from './routes/study.ts';
import { routeTests } from './routes/tests.ts';
import { routeWellText } from './routes/well-text.ts';
import { routeWells } from './routes/wells.ts';
import { SECURITY, withSecurity } from './security.ts';
import type { Served } from './served.ts';

const DESCRIPTION =
  'A household well day and night. It is advisory and protects nothing: motor overload, dry-run ' +
  'cut-off and relief valve must be there on their own. Quantities are SI, names end in their ' +
  'unit, instants are RFC 3339; every error is problem details (RFC 9457) with a `code`.';

/** The HTTP interface, not listening yet. */
export async function httpInterface(served: Served): Promise<FastifyInstance> {
  const { limits, counts } = served;
  const tell = (error: FastifyError, request: FastifyRequest, reply: FastifyReply) =>
    counts.add(`http:${tellProblem(error, request, reply, served.say)}`);
  const app = fastify({
    logger: false,
    forceCloseConnections: true,
    routerOptions: { maxParamLength: limits.targetChars },
    serverFactory: listenerFor(served),
    clientErrorHandler: (error, socket) => {
      const code = answerBroken(error, socket);
      if (code !== null) counts.add(`http:${code}`);
    },
    frameworkErrors: tell,
    ajv: { customOptions: { removeAdditional: false, allErrors: false } },
  });
  boundConnections(app.server, limits, counts);
  // Answers are written as they are: a schema must not drop what it does not name.
  app.setSerializerCompiler(() => (data) => JSON.stringify(data));
  // Nothing is parsed here: the intake reads readings itself, and acts read their own JSON.
  app.removeAllContentTypeParsers();
  app.addContentTypeParser('*', (_request, body, done) => done(null, body));
  app.setErrorHandler<FastifyError>(tell);
  app.setNotFoundHandler((request, reply) => {
    counts.add('http:no-such-address');
    sendProblem(reply, 'no-such-address', `${request.method} ${request.url.slice(0, 200)}`);
  });
  await app.register(swagger, {
    openapi: { openapi: '3.1.1', info, ...SECURITY },
    transform: withSecurity,
  });
  app.addHook('onRequest', async (_request, reply) => {
    // Of the answer itself, so that events have them, too, which are written past fastify.
    for (const [name, value] of Object.entries(ANSWER_HEADERS)) reply.raw.setHeader(name, value);
  });
  boundRates(app, limits);
  boundHosts(app, served);
  app.addHook('onSend', packed);
  guard(app, served);
  routePage(app, served);
  routeMetrics(app, served);
  routeAuthority(app, served);
  await app.register(async (api) => routes(api, served), { prefix: '/api/v1' });
  await app.ready();
  return app;
}

const info = { title: 'Wellwright', version: '1', description: DESCRIPTION };

function routes(api: FastifyInstance, served: Served): void {
  let page: Promise<object> | null = null;
  api.get('/openapi.json', { schema: { hide: true } }, () => {
    page ??= withSchemas(api.swagger());
    return page;
  });
  routeWells(api, served);
  routeNewWells(api, served);
  routeDevices(api, served);
  routeFile(api, served);
  routeWellText(api, served);
  routeBook(api, served);
  routeNow(api, served);
  routeRecords(api, served);
  routePeriods(api, served);
  routeStretches(api, served);
  routeLog(api, served);
  routeBackup(api, served);
  routeStudy(api, served);
  routeTests(api, served);
  routeGauges(api, served);
  routeContractor(api, served);
  routeAlarms(api, served);
  routePush(api, served);
  routeCounters(api, served);
  routeReadings(api, served);
  routeSignIn(api, served);
  routeEvents(api, served);
  routeHealth(api, served);
}
