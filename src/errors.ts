/**
 * The closed error catalogue. Every refusal that leaves the service is one of these, as
 * application/problem+json (RFC 9457). `title` is constant per code; `detail` says what happened.
 * Codes are never reused for another meaning.
 */
export const catalogue = {
  body_unreadable: [400, 'The body cannot be read'],
  frames_unreadable: [400, 'No line of the text is a frame'],
  body_invalid: [400, 'The body is not as the contract says'],
  query_invalid: [400, 'A query or path parameter is not as the contract says'],
  header_invalid: [400, 'A header is not as the contract says'],
  cursor_invalid: [400, 'The cursor is not one that this list gave'],
  graph_invalid: [400, 'The GraphQL query is not sound'],
  graph_too_large: [400, 'The GraphQL query asks for too much'],
  key_missing: [401, 'An API key is needed'],
  key_unknown: [401, 'The API key is not known'],
  role_not_allowed: [403, 'This key may not do that'],
  pin_wrong: [403, 'Person and PIN do not fit'],
  pin_not_set: [403, 'This person has no PIN yet'],
  pin_needed: [403, 'This must be signed with the PIN itself'],
  person_left: [403, 'This person has left'],
  sign_in_ended: [403, 'The sign-in is over'],
  competence_missing: [403, 'The person who signs may not do that'],
  second_person_needed: [403, 'A second person must sign this'],
  signature_missing: [403, 'A person must sign this'],
  not_this_gateway: [403, 'This key belongs to another gateway'],
  not_found: [404, 'There is no such thing in this fleet'],
  route_not_found: [404, 'There is no such route'],
  method_not_allowed: [405, 'This route has no such method'],
  already_exists: [409, 'It exists already'],
  install_overlaps: [409, 'It is installed elsewhere at that time'],
  trouble_on_card: [409, 'What was told is on a job card already'],
  trouble_closed: [409, 'What was told is closed already'],
  walk_round_waits: [409, 'The walk-round does not wait for that'],
  visit_overlaps: [409, 'The bay or the unit is taken at that time'],
  visit_cancelled: [409, 'The visit was cancelled before'],
  install_ended: [409, 'The install has ended before'],
  install_withdrawn: [409, 'The install was withdrawn before'],
  controller_elsewhere: [409, 'That controller counts on another unit'],
  counter_declared_otherwise: [409, 'The counter was declared otherwise before'],
  task_ambiguous: [409, 'More than one asset of the unit has that task'],
  already_voided: [409, 'It was voided before'],
  stop_cleared: [409, 'The stop was cleared before'],
  stop_not_yours: [409, 'This stop is for others to clear or change'],
  stop_not_waiting: [409, 'The stop does not wait for a drop'],
  unit_not_ready: [409, 'The unit may not be sent to do that'],
  finding_closed: [409, 'The finding was closed before'],
  finding_open: [409, 'What it was set for is not mended yet'],
  request_in_flight: [409, 'The same request is still being worked on'],
  precondition_failed: [412, 'It is not what it was when you read it'],
  not_alone: [409, 'More than one person works here'],
  competence_held: [409, 'The person holds that in part of the time already'],
  competence_ended: [409, 'The competence has ended before'],
  body_too_large: [413, 'The body is too large'],
  media_type_unsupported: [415, 'This media type is not taken here'],
  reference_unknown: [422, 'The body refers to something that is not in this fleet'],
  pattern_invalid: [422, 'The lift pattern is not sound'],
  resolution_invalid: [422, 'The resolution does not fit the meter'],
  basis_invalid: [422, 'The basis does not fit the meter or counter'],
  meter_unknown: [422, 'There is no such meter'],
  meter_not_counted: [422, 'An asset of this kind has no such meter'],
  dial_value_invalid: [422, 'That is no value of the dial'],
  dial_falls: [422, 'The dial would go backwards'],
  dial_too_fast: [422, 'The dial would go faster than it can'],
  adjustment_impossible: [422, 'Use cannot be adjusted so'],
  source_elsewhere: [422, 'That cannot count for the asset in that time'],
  decision_impossible: [422, 'That cannot be said of this reading'],
  nothing_to_decide: [409, 'No such reading waits for a word'],
  dial_differs: [409, 'Another value stands for that moment'],
  time_invalid: [422, 'A time or period is not possible'],
  nothing_to_swap: [422, 'There is nothing to exchange at that time'],
  fleet_leaving: [409, 'The fleet is leaving; its deletion is confirmed'],
  confirmation_invalid: [422, 'The confirmation does not fit what was asked'],
  import_refused: [422, 'The sheets have faults; nothing was brought in'],
  stop_impossible: [422, 'Such a stop cannot be'],
  finding_impossible: [422, 'Such a finding cannot be'],
  card_state: [409, 'The job card is not in a state for that'],
  card_lacks: [409, 'The job card lacks something before it can be signed off'],
  card_has_work: [409, 'Work was done on the job card'],
  locks_stand: [409, 'Somebody still has hands on it'],
  nothing_to_check: [409, 'Nothing was done there that could be signed'],
  card_empty: [422, 'There is nothing to write on the card'],
  card_too_long: [422, 'The card would have too many steps'],
  control_overlaps: [409, 'It is controlled on these days already'],
  control_ended: [409, 'The period of control has ended before'],
  order_lifted: [409, 'The order was lifted before'],
  records_preserved: [409, 'An order preserves records'],
  not_known_then: [422, 'What was known then is not kept'],
  measure_invalid: [422, 'That is no measurement of this place'],
  part_overlaps: [409, 'Another part sits in that place at that time'],
  part_removed: [409, 'The part was removed before'],
  part_life_impossible: [422, 'That cannot be said of this part'],
  deferral_refused: [422, 'This task may not be deferred so'],
  pin_weak: [422, 'That PIN is too easy to guess'],
  idempotency_key_reused: [422, 'The Idempotency-Key was used with another request'],
  precondition_missing: [428, 'The change must say what it is a change of'],
  pin_locked: [429, 'Too many wrong PINs came'],
  rate_limited: [429, 'Too many requests came with this key'],
  internal: [500, 'Something went wrong here'],
  overloaded: [503, 'The service is overloaded'],
  stopping: [503, 'The service is stopping'],
  not_ready: [503, 'The service is not ready'],
} as const satisfies Record<string, readonly [number, string]>;

export type ProblemCode = keyof typeof catalogue;

/** One fault in a body or query: where (JSON pointer) and why. */
export interface FieldFault {
  path: string;
  reason: string;
}

/** A refusal from the catalogue. `detail` is for people and never carries a driver's text. */
export class Problem extends Error {
  readonly code: ProblemCode;
  readonly detail: string;
  readonly errors: FieldFault[] | undefined;
  readonly retryAfterS: number | undefined;
  /** The entity tag that the thing has now. */
  readonly etag: string | undefined;

  constructor(
    code: ProblemCode,
    detail: string,
    more: { errors?: FieldFault[]; retryAfterS?: number; etag?: string } = {},
  ) {
    super(`${code}: ${detail}`);
    this.name = 'Problem';
    this.code = code;
    this.detail = detail;
    this.errors = more.errors;
    this.retryAfterS = more.retryAfterS;
    this.etag = more.etag;
  }

  get status(): number {
    return catalogue[this.code][0];
  }
}

/** The body of a problem answer; `type` points at the catalogue page of the docs. */
export function problemBody(problem: Problem, instance: string) {
  return {
    type: `/docs/problems#${problem.code}`,
    title: catalogue[problem.code][1],
    status: problem.status,
    code: problem.code,
    detail: problem.detail,
    instance,
    ...(problem.errors ? { errors: problem.errors } : {}),
  };
}
