import {
  type ArgumentNode,
  type DocumentNode,
  type FieldNode,
  type FragmentDefinitionNode,
  GraphQLError,
  type GraphQLObjectType,
  type GraphQLOutputType,
  type GraphQLSchema,
  getNamedType,
  getVariableValues,
  isCompositeType,
  Kind,
  type ObjectFieldNode,
  type OperationDefinitionNode,
  type OperationTypeNode,
  parse,
  type SelectionSetNode,
  validate,
  visit,
} from 'graphql';
import { Problem } from '../errors.ts';
import { firstDefault, firstMax } from './connection.ts';

/** What a request may ask for at most. Introspection answers no data and may go deeper. */
export const graphLimits = {
  /** Words and signs of the text. */
  tokens: 2_000,
  /** Fields inside fields, fragments written out. */
  depth: 12,
  introspectionDepth: 20,
  /** Fields with another name, fragments written out; none in what answers the schema itself. */
  aliases: 30,
  /** Fields and fragments, fragments written out: the compiler of queries writes them out too. */
  selections: 2_000,
  /** Fields of the query itself, fragments written out. */
  roots: 10,
  /** See `weigh`. */
  cost: 20_000,
  /** Operations and fragments in a text. */
  definitions: 50,
  /** Characters of all variables as JSON: each row of an answer may be asked for with them. */
  variables: 10_000,
} as const;

const counted = (n: number) => n.toLocaleString('en-US');

/** The limits as the contract tells them. */
export const limitsInWords =
  `${counted(graphLimits.tokens)} tokens, depth ${graphLimits.depth}, ${graphLimits.aliases} ` +
  `aliases, ${graphLimits.roots} fields at the top or one mutation, ` +
  `${counted(graphLimits.selections)} fields with fragments written out, and a cost of ` +
  `${counted(graphLimits.cost)}`;

export interface Weight {
  cost: number;
  depth: number;
  aliases: number;
  roots: number;
  selections: number;
}

/** A question that may be asked, and its text: that of its one operation and its fragments. */
export interface Sound {
  document: DocumentNode;
  operation: OperationDefinitionNode;
  text: string;
}

const tooLarge = (what: string, is: number, limit: number) =>
  new Problem('graph_too_large', `${what}: ${is}, at most ${limit}.`);

/**
 * Reads and checks a text against the schema.
 *
 * @throws Problem graph_too_large, graph_invalid with what is wrong and where
 */
export function readDocument(schema: GraphQLSchema, text: string): DocumentNode {
  let document: DocumentNode;
  try {
    document = parse(text, { maxTokens: graphLimits.tokens });
  } catch (error) {
    if (!(error instanceof GraphQLError)) throw error;
    if (/more that? \d+ tokens/.test(error.message)) {
      const { tokens } = graphLimits;
      throw new Problem('graph_too_large', `The text has more than ${tokens} tokens.`);
    }
    throw invalid([error]);
  }
  if (document.definitions.length > graphLimits.definitions) {
    throw tooLarge('definitions', document.definitions.length, graphLimits.definitions);
  }
  noSecrets(document);
  const faults = validate(schema, document, undefined, { maxErrors: 20 });
  if (faults.length > 0) throw invalid(faults);
  return document;
}

const placeOf = (error: GraphQLError): string => {
  const at = error.locations?.[0];
  return at ? `line ${at.line}, column ${at.column}` : '/';
};

function invalid(
  faults: readonly GraphQLError[],
  shown: (text: string) => string = (text) => text,
): Problem {
  // A message may repeat whatever was sent.
  const reason = ({ message }: GraphQLError) => shown(message).slice(0, 500);
  const errors = faults.map((fault) => ({ path: placeOf(fault), reason: reason(fault) }));
  return new Problem('graph_invalid', errors[0]?.reason ?? 'The query is not sound.', { errors });
}

/** The operation that is meant. @throws Problem graph_invalid */
export function operationOf(document: DocumentNode, name: string | null): OperationDefinitionNode {
  const operations = document.definitions.filter((each) => each.kind === Kind.OPERATION_DEFINITION);
  const meant = operations.filter((each) => name === null || each.name?.value === name);
  if (meant.length !== 1) {
    throw new Problem(
      'graph_invalid',
      name === null ? 'Name one operation in operationName.' : 'There is no such operation.',
    );
  }
  const operation = meant[0] as OperationDefinitionNode;
  if (operation.operation === 'subscription') {
    throw new Problem('graph_invalid', 'The graph has no subscription.');
  }
  return operation;
}

/** @throws Problem graph_invalid when the variables do not fit the operation, graph_too_large */
export function checkVariables(
  schema: GraphQLSchema,
  { variableDefinitions = [] }: OperationDefinitionNode,
  variables: Variables,
): void {
  const { length } = JSON.stringify(variables);
  if (length > graphLimits.variables) {
    throw tooLarge('characters of variables', length, graphLimits.variables);
  }
  const { errors } = getVariableValues(schema, variableDefinitions, variables, { maxErrors: 20 });
  // Without the value: it may be half a PIN.
  if (errors)
    throw invalid(errors, (text) =>
      text.replace(/got invalid value .*?(?=( at "|; ))/s, 'does not fit'),
    );
}

/** Names of what is never written into a text, which is kept to be answered faster. */
const secrets: ReadonlySet<string> = new Set(['signature', 'pin', 'signIn']);

/** @throws Problem graph_invalid */
function noSecrets(document: DocumentNode): void {
  const look = ({ name, value }: ArgumentNode | ObjectFieldNode) => {
    if (!secrets.has(name.value) || value.kind === Kind.VARIABLE) return;
    throw new Problem('graph_invalid', `Send ${name.value} as a variable, never in the text.`);
  };
  visit(document, { Argument: look, ObjectField: look });
}

type Variables = Readonly<Record<string, unknown>>;

/** How many of a connection are asked for; anything that is refused later counts as the most. */
function firstOf(field: FieldNode, defaults: Variables, variables: Variables): number {
  const given = field.arguments?.find((each) => each.name.value === 'first')?.value;
  if (given === undefined) return firstDefault;
  let first: unknown = null;
  if (given.kind === Kind.INT) first = Number(given.value);
  if (given.kind === Kind.VARIABLE) {
    const name = given.name.value;
    first = variables[name] === undefined ? (defaults[name] ?? firstDefault) : variables[name];
    // The rules of validation let it through, because the argument has a default.
    if (first === null) throw new Problem('graph_invalid', `first: $${name} must not be null.`);
  }
  return typeof first === 'number' && first >= 1 && first <= firstMax ? first : firstMax;
}

function defaultsOf(operation: OperationDefinitionNode): Variables {
  const defaults: Record<string, unknown> = {};
  for (const { variable, defaultValue } of operation.variableDefinitions ?? []) {
    if (defaultValue?.kind === Kind.INT) defaults[variable.name.value] = Number(defaultValue.value);
  }
  return defaults;
}

/** Fields that answer the schema itself; how often lists nest there is bounded by validation. */
const introspected: Record<string, string> = { __schema: '__Schema', __type: '__Type' };

/** The `cost` of a field, or the most of `costGiven` for its arguments that are given. */
function ownCost({ arguments: given = [] }: FieldNode, extensions: Variables = {}): number {
  const { cost = 1, costGiven = {} } = extensions as {
    cost?: number;
    costGiven?: Record<string, number>;
  };
  return Math.max(cost, ...given.map(({ name }) => costGiven[name.value] ?? 0));
}

const empty: Weight = { cost: 0, depth: 0, aliases: 0, roots: 0, selections: 0 };

/**
 * What answers the schema itself. Its lists are as long as the schema, so with other names at each
 * level an answer would grow by their product.
 */
function ofMeta(inner: Weight, aliases: number): Weight {
  if (inner.depth > graphLimits.introspectionDepth) {
    throw tooLarge('depth', inner.depth, graphLimits.introspectionDepth);
  }
  const named = aliases + inner.aliases;
  if (named > 0) throw tooLarge('aliases of the schema itself', named, 0);
  return { ...inner, cost: 1 + inner.cost, depth: 1, roots: 1, selections: inner.selections + 1 };
}

const both = (a: Weight, b: Weight, spreads: number): Weight => ({
  cost: a.cost + b.cost,
  depth: Math.max(a.depth, b.depth),
  aliases: a.aliases + b.aliases,
  roots: a.roots + b.roots,
  selections: a.selections + b.selections + spreads,
});

/**
 * Weighs an operation before anything is read. A field that answers text or a number costs
 * nothing; any other costs 1, or what the schema says, and what is inside it; inside a connection
 * once for each thing asked for with `first`. So the cost bounds the objects of an answer.
 * Fragments are weighed once for all the places that they are spread in. What `@skip` leaves out
 * counts too.
 */
export function weigh(
  schema: GraphQLSchema,
  document: DocumentNode,
  operation: OperationDefinitionNode,
  variables: Variables,
): Weight {
  const fragments = new Map<string, FragmentDefinitionNode>();
  for (const each of document.definitions) {
    if (each.kind === Kind.FRAGMENT_DEFINITION) fragments.set(each.name.value, each);
  }
  const defaults = defaultsOf(operation);
  const weighed = new Map<string, Weight>();

  function ofFragment(name: string): Weight {
    const known = weighed.get(name);
    if (known) return known;
    const { typeCondition, selectionSet } = fragments.get(name) as FragmentDefinitionNode;
    const type = schema.getType(typeCondition.name.value) as GraphQLObjectType;
    const weight = ofSelection(selectionSet, type);
    weighed.set(name, weight);
    return weight;
  }

  function ofField(field: FieldNode, parent: GraphQLObjectType): Weight {
    const aliases = field.alias ? 1 : 0;
    const name = field.name.value;
    const meta = field.selectionSet && schema.getType(introspected[name] ?? '');
    if (field.selectionSet && meta) {
      return ofMeta(ofSelection(field.selectionSet, meta as GraphQLObjectType), aliases);
    }
    const definition = parent.getFields()[name];
    const type = getNamedType(definition?.type as GraphQLOutputType);
    // A text may be long: told once it is free, told again under another name it is not.
    if (!field.selectionSet || !isCompositeType(type)) {
      return { cost: aliases, depth: 1, aliases, roots: 1, selections: 1 };
    }
    const inner = ofSelection(field.selectionSet, type as GraphQLObjectType);
    const own = ownCost(field, definition?.extensions);
    const times = type.name.endsWith('Connection') ? firstOf(field, defaults, variables) : 1;
    const wrapper = /^(nodes|edges|node|pageInfo)$/.test(name) ? 0 : own;
    const perThing = type.name.endsWith('Connection') ? inner.cost + 1 : inner.cost;
    return {
      cost: wrapper + times * perThing,
      depth: inner.depth + 1,
      aliases: aliases + inner.aliases,
      roots: 1,
      selections: inner.selections + 1,
    };
  }

  function ofSelection(set: SelectionSetNode, type: GraphQLObjectType): Weight {
    let sum = empty;
    for (const each of set.selections) {
      const weight =
        each.kind === Kind.FIELD
          ? ofField(each, type)
          : each.kind === Kind.FRAGMENT_SPREAD
            ? ofFragment(each.name.value)
            : ofSelection(each.selectionSet, type);
      sum = both(sum, weight, each.kind === Kind.FIELD ? 0 : 1);
    }
    return sum;
  }

  const root = schema.getRootType(operation.operation);
  if (!root) throw new Problem('graph_invalid', `The graph has no ${operation.operation}.`);
  return ofSelection(operation.selectionSet, root);
}

/** @throws Problem graph_too_large */
export function checkWeight(weight: Weight, kind: OperationTypeNode): void {
  if (kind === 'mutation' && weight.roots > 1) throw tooLarge('mutations', weight.roots, 1);
  for (const what of ['roots', 'depth', 'aliases', 'selections', 'cost'] as const) {
    if (weight[what] > graphLimits[what]) throw tooLarge(what, weight[what], graphLimits[what]);
  }
}
