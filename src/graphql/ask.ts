import type { FastifyInstance, FastifyReply } from 'fastify';
import fp from 'fastify-plugin';
import { type GraphQLError, type GraphQLSchema, print, separateOperations } from 'graphql';
import mercurius from 'mercurius';
import { Problem } from '../errors.ts';
import type { FlowDeps } from '../flows/work.ts';
import type { GraphContext } from './context.ts';
import {
  checkVariables,
  checkWeight,
  graphLimits,
  limitsInWords,
  operationOf,
  readDocument,
  type Sound,
  weigh,
} from './limits.ts';
import { loaders } from './loaders.ts';
import { masked } from './mask.ts';
import { acting, type GraphCaller, reading } from './run.ts';
import { buildSchema, schemaText } from './schema.ts';

/** A question as it came. */
export interface GraphQuestion {
  query: string;
  variables: Record<string, unknown>;
  operationName: string | null;
}

export interface GraphAnswer {
  data?: unknown;
  errors?: readonly unknown[] | undefined;
  extensions?: Record<string, unknown>;
  /** Nothing was run: the question itself was refused. */
  refused?: boolean;
}

/** What resolvers are given, and whether the question may be compiled. */
type Asked = GraphContext & { compiles: boolean };

declare module 'fastify' {
  interface FastifyInstance {
    /** Answers a question to the graph, or does what it asks for. */
    askGraph(
      reply: FastifyReply,
      question: GraphQuestion,
      deps: FlowDeps,
      caller: GraphCaller,
    ): Promise<GraphAnswer>;
    /** The schema, in the schema definition language. */
    graphText(): string;
    /** What a question may ask for at most, in words. */
    graphLimits: string;
  }
}

/** Questions that were checked before, the oldest forgotten first. */
const soundMax = 200;
/** After so many runs a question is compiled. */
const runsBeforeCompiling = 3;
/**
 * Larger ones never are: it takes about a millisecond and 5 kB for each field and fragment, written
 * out, and anybody may ask as many different ones as they like.
 */
const compiledMost = 200;
/** Compiled questions that are kept; the cache holds up to twice as many. */
const compiledMax = 100;

/**
 * Only the operation that is meant, with its fragments: what is kept and compiled is known by its
 * text alone, which must not stand for two operations.
 */
function readSound(schema: GraphQLSchema, { query, operationName }: GraphQuestion): Sound {
  const whole = readDocument(schema, query);
  const operation = operationOf(whole, operationName);
  const document = separateOperations(whole)[operation.name?.value ?? ''] ?? whole;
  return { document, operation, text: print(document) };
}

const refusal = ({ code, detail, errors }: Problem, requestId: string): GraphAnswer => ({
  refused: true,
  errors: (errors ?? [{ path: '', reason: detail }]).map(({ path, reason }) => ({
    message: reason,
    extensions: { code, requestId, ...(path ? { place: path } : {}) },
  })),
});

/** The graph: no route of its own; see `askGraph`. */
export const graph = fp(
  async (app: FastifyInstance) => {
    const schema = buildSchema();
    await app.register(mercurius as never, {
      schema,
      loaders,
      routes: false,
      graphiql: false,
      jit: runsBeforeCompiling,
      cache: compiledMax,
      errorFormatter: (
        { data, errors }: { data: unknown; errors: GraphQLError[] },
        { reply }: { reply: FastifyReply },
      ) => ({
        statusCode: 200,
        response: { data, errors: masked(errors, reply.log, reply.request.id) },
      }),
    });
    // A document that was changed is never compiled; this one is given back as it is.
    app.graphql.addHook('preExecution', async (_schema, document, context) =>
      (context as unknown as Asked).compiles ? undefined : { document },
    );
    const sound = new Map<string, Sound>();

    function soundOf(question: GraphQuestion): Sound {
      const key = JSON.stringify([question.operationName, question.query]);
      const known = sound.get(key);
      if (known) return known;
      const read = readSound(schema, question);
      if (sound.size >= soundMax) sound.delete(sound.keys().next().value as string);
      sound.set(key, read);
      return read;
    }

    app.decorate('graphText', schemaText);
    app.decorate('graphLimits', limitsInWords);
    app.decorate('askGraph', async (reply, question, deps, caller) => {
      try {
        const { document, operation, text } = soundOf(question);
        checkVariables(schema, operation, question.variables);
        const weight = weigh(schema, document, operation, question.variables);
        checkWeight(weight, operation.operation);
        // Compiled, a fragment that is skipped in one place would be missing in all.
        const compiles = weight.selections <= compiledMost && !text.includes('@');
        const name = operation.name?.value;
        const run = operation.operation === 'mutation' ? acting : reading;
        const answer = await run(deps, caller, (context) =>
          reply.graphql(text, { ...context, compiles } as Asked, question.variables, name),
        );
        const extensions = { cost: weight.cost, costLimit: graphLimits.cost };
        return { ...answer, extensions };
      } catch (error) {
        if (!(error instanceof Problem) || error.status !== 400) throw error;
        return refusal(error, reply.request.id);
      }
    });
  },
  { name: 'graph' },
);
