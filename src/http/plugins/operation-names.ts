import fp from 'fastify-plugin';

const irregular: Readonly<Record<string, string>> = { people: 'person', 'part-lives': 'part-life' };

/** `units/{unitId}/tasks` speaks of one unit: a word before a parameter is in the singular. */
function singular(word: string): string {
  if (irregular[word]) return irregular[word];
  if (word.endsWith('ies')) return `${word.slice(0, -3)}y`;
  return word.endsWith('s') ? word.slice(0, -1) : word;
}

const capital = (word: string) => word.charAt(0).toUpperCase() + word.slice(1);

/**
 * The name of an operation in the contract, from which clients name their functions: the method and
 * the words of the path, such as `getUnitTasks`. It never changes while the path does not.
 */
export function operationName(method: string, url: string): string {
  const parts = url.split('/').filter((part) => part !== '' && part !== 'v1');
  const words = parts.flatMap((part, i) => {
    if (part.startsWith(':')) return [];
    const next = parts[i + 1];
    const word = next?.startsWith(':') ? singular(part) : part;
    return word.split('-').map(capital);
  });
  return method.toLowerCase() + words.join('');
}

/** Names every route of the contract. */
export const operationNames = fp(async (app) => {
  app.addHook('onRoute', (route) => {
    if (!route.schema || route.schema.hide) return;
    route.schema = { operationId: operationName(String(route.method), route.url), ...route.schema };
  });
});
