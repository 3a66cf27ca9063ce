import { readFileSync } from 'node:fs';
import { Ajv2020, type ValidateFunction } from 'ajv/dist/2020.js';

type Method = 'get' | 'post' | 'put' | 'patch' | 'delete';
interface Operation {
  responses: Record<string, { content?: Record<string, { schema?: unknown }> }>;
}

/** The committed contract. */
export const contract = JSON.parse(
  readFileSync(new URL('../../openapi/openapi.json', import.meta.url), 'utf8'),
) as { paths: Record<string, Partial<Record<Method, Operation>>> };

const ajv = new Ajv2020({ strict: false, validateFormats: false, allErrors: true });
ajv.addSchema({ $id: 'contract', ...contract });

const pointer = (...steps: string[]) =>
  steps.map((step) => `/${step.replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');

// As OpenAPI has it, a path without a parameter in that place comes before one with it.
const routes = Object.keys(contract.paths)
  .map((path) => ({ path, match: new RegExp(`^${path.replace(/\{\w+\}/g, '[^/]+')}$`) }))
  .sort((a, b) => a.path.split('{').length - b.path.split('{').length);

const compiled = new Map<string, ValidateFunction>();

/**
 * What of an answer is not as the contract says; empty when all is well. Answers of undocumented
 * routes, and of methods that a route does not have, are held to the shape of a problem.
 */
export function contractFaults(
  method: string,
  url: string,
  answer: { status: number; type: string; body: unknown },
): string[] {
  const { status, type, body } = answer;
  if (status === 304) return body === null ? [] : ['a 304 with a body'];
  const path = url.split('?')[0] as string;
  const route = routes.find((each) => each.match.test(path))?.path;
  const operation =
    route === undefined ? undefined : contract.paths[route]?.[method.toLowerCase() as Method];
  const media = type.split(';')[0] as string;
  const range = `${Math.floor(status / 100)}XX`;
  const said = [String(status), range].find((key) => operation?.responses[key]?.content?.[media]);
  let ref = '#/components/schemas/Problem';
  if (operation && said !== undefined) {
    const steps = ['paths', route, method.toLowerCase(), 'responses', said, 'content', media];
    ref = `#${pointer(...(steps as string[]))}/schema`;
  } else if (operation) return [`${status} as ${media} is not in the contract`];
  else if (status < 400) return [`${method} ${path} is not in the contract`];
  else if (media !== 'application/problem+json') return [`${status} as ${media}`];
  const check = compiled.get(ref) ?? ajv.compile({ $ref: `contract${ref}` });
  compiled.set(ref, check);
  if (check(body)) return [];
  return (check.errors ?? []).map((error) => `${error.instancePath} ${error.message}`);
}
