/**
 * What phones say of the steps of a card. Commands come in any order, twice, late and from two
 * phones; the merged result depends only on which commands there are. `Told` is a set by client id,
 * and joining two sets is their union, so it does not matter who heard what first.
 */
export const stepResults = ['done', 'not_done', 'not_right'] as const;
export type StepResult = (typeof stepResults)[number];

export interface StepCommand {
  /** Given by the phone; the same command again has the same one. */
  clientId: string;
  stepId: string;
  result: StepResult;
  /** When the work was done, as it counts. */
  atMs: number;
  personId: string;
  /** Earlier commands on the step that whoever said this had before him and puts right. */
  replaces: readonly string[];
}

export type Told<C extends StepCommand = StepCommand> = ReadonlyMap<string, C>;

/** Every command that either side has heard. One client id is one command, for ever. */
export function join<C extends StepCommand>(a: Told<C>, b: Told<C>): Told<C> {
  return new Map([...a, ...b]);
}

export function told<C extends StepCommand>(commands: readonly C[]): Told<C> {
  return new Map(commands.map((command) => [command.clientId, command]));
}

export interface MergedStep<C extends StepCommand = StepCommand> {
  result: StepResult;
  /** The commands that hold, in the order of their client ids. */
  holding: C[];
  /** Two people say otherwise of it, and neither has put the other right: the worse holds. */
  disputed: boolean;
  /** When the work was done; null when the result is another. */
  doneAtMs: number | null;
  /** Everybody who ever said something of this step, sorted. */
  people: string[];
}

const worst: Record<StepResult, number> = { done: 0, not_done: 1, not_right: 2 };

const byId = (a: StepCommand, b: StepCommand) =>
  a.clientId < b.clientId ? -1 : a.clientId > b.clientId ? 1 : 0;

/** Of one person's words on a step the later holds; at one moment the worse. */
function later(a: StepCommand, b: StepCommand): boolean {
  if (a.atMs !== b.atMs) return a.atMs > b.atMs;
  if (a.result !== b.result) return worst[a.result] > worst[b.result];
  return byId(a, b) > 0;
}

/** The commands on one step that nothing has put right. */
function holdingOf<C extends StepCommand>(commands: readonly C[]): C[] {
  const last = new Map<string, C>();
  for (const command of commands) {
    const mine = last.get(command.personId);
    if (!mine || later(command, mine)) last.set(command.personId, command);
  }
  const replaced = new Set(
    commands.flatMap(({ clientId, replaces }) => replaces.filter((id) => id !== clientId)),
  );
  const own = [...last.values()];
  const open = own.filter(({ clientId }) => !replaced.has(clientId));
  // Each puts the other right: nobody does.
  return (open.length > 0 ? open : own).sort(byId);
}

function mergeOne<C extends StepCommand>(commands: readonly C[]): MergedStep<C> {
  const holding = holdingOf(commands);
  const result = holding.reduce<StepResult>(
    (so, { result: next }) => (worst[next] > worst[so] ? next : so),
    'done',
  );
  return {
    result,
    holding,
    disputed: holding.some((command) => command.result !== result),
    doneAtMs: result === 'done' ? Math.max(...holding.map(({ atMs }) => atMs)) : null,
    people: [...new Set(commands.map(({ personId }) => personId))].sort(),
  };
}

/** The result of every step that somebody said something of, by step. */
export function mergeSteps<C extends StepCommand>(all: Told<C>): Map<string, MergedStep<C>> {
  const byStep = new Map<string, C[]>();
  for (const command of [...all.values()].sort(byId)) {
    const list = byStep.get(command.stepId);
    if (list) list.push(command);
    else byStep.set(command.stepId, [command]);
  }
  return new Map([...byStep].map(([stepId, commands]) => [stepId, mergeOne(commands)]));
}

/**
 * When a command counts as done: as its phone says, but never before the card was written up nor
 * after it came, because clocks of phones are wrong.
 */
export function countedAtMs(saidMs: number, writtenUpMs: number, receivedMs: number): number {
  return Math.min(Math.max(saidMs, writtenUpMs), receivedMs);
}
