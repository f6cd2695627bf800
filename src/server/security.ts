import type { FastifySchema, RouteOptions } from 'fastify';
import { COOKIE } from './guard.ts';

/** Ways to say who asks, as the page of OpenAPI has them. */
const SCHEMES = {
  session: {
    type: 'apiKey',
    in: 'cookie',
    name: COOKIE,
    description: 'of somebody who has signed in: the owner, or a reader, who may look at all',
  },
  key: {
    type: 'http',
    scheme: 'bearer',
    description: 'a key of a device for its well, or of a program that reads',
  },
  keyByName: { type: 'http', scheme: 'basic', description: 'the same key, with its name' },
} as const;

const EITHER = Object.keys(SCHEMES).map((name) => ({ [name]: [] }));

export const SECURITY = { components: { securitySchemes: SCHEMES }, security: EITHER };

/** Says of a route that anyone may, where that is so. */
export function withSecurity({
  schema,
  url,
  route,
}: {
  schema: FastifySchema;
  url: string;
  route: RouteOptions;
}) {
  const isOpen = route.config?.may === 'anyone';
  return { url, schema: isOpen ? { ...schema, security: [] } : schema };
}
