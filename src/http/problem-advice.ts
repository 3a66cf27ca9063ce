import type { ProblemCode } from '../errors.ts';

/** What to do about each refusal, in a sentence or two, for the page at /docs/problems. */
export const problemAdvice: Record<ProblemCode, string> = {
  body_unreadable: 'Send complete JSON in UTF-8, or gzip where the route takes it.',
  frames_unreadable: 'Send lines as `candump -L` writes them; the first faults are named.',
  body_invalid: 'See `errors` for where and why, and /docs for the shape of the body.',
  query_invalid: 'See `errors` for which parameter and why, and /docs for what it may be.',
  header_invalid: 'See `detail` for which header and its form.',
  cursor_invalid:
    'Begin at the first page, and send `next` of each page unchanged to the same list.',
  graph_invalid:
    'See `errors` of the answer for the place, and /docs/schema.graphql for the graph.',
  graph_too_large: 'Ask for fewer things at once: a smaller `first`, less depth, or two questions.',
  key_missing: 'Send the header `Authorization: Bearer <key>`.',
  key_unknown: 'Check the key for typing faults; if it was revoked, ask an admin for another.',
  role_not_allowed: 'Use a key of a role that may do this, or ask an admin to do it.',
  pin_wrong: 'Check who was chosen and type the PIN again; a lead can set another PIN.',
  pin_not_set: 'Have a lead or an admin hand over the phone so that the person can set a PIN.',
  pin_needed: 'Send `personId` and `pin` as the signature: a sign-in does not reach so far.',
  person_left: 'Choose who signs from those that are here.',
  sign_in_ended: 'Sign in again on this phone; a sign-in goes with the key that asked for it.',
  competence_missing: 'Have somebody sign who may, or a lead give the competence that is missing.',
  second_person_needed: 'Have somebody sign who did none of that work and may check it.',
  signature_missing: 'Send a signature; see `detail` for whose.',
  not_this_gateway: "Use the key of that gateway, or `me` for the key's own.",
  not_found: 'Check the id: it may be of another fleet, or of another kind of thing.',
  route_not_found: 'See /docs for the routes; a path ends without a slash.',
  method_not_allowed: 'Use one of the methods in the header `Allow`.',
  already_exists: 'Take the one that is there, or choose another name, number or serial.',
  install_overlaps:
    'End the install that is there first, or send `move: true` to do both at once. When ' +
    'correcting, first change the install that has the time, then the one that gets it.',
  trouble_closed: 'Nothing needs to be done; tell the symptom again if it is there again.',
  walk_round_waits:
    'See what it waits for: first every defect is certified, then the next driver reviews it.',
  visit_overlaps: 'Choose another bay or time; /v1/visits shows what is taken.',
  visit_cancelled: 'Plan a new visit; one that was cancelled does not come back.',
  install_ended: 'Nothing needs to be done; correct the install if its end is wrong.',
  install_withdrawn: 'Make a new install; one that was withdrawn does not come back.',
  controller_elsewhere:
    'Check the serial of the controller; if it did move, have the keeper of the fleet declare it.',
  counter_declared_otherwise:
    'Declare it as it was, under another name, or ask for a new epoch if the device changed.',
  task_ambiguous: 'Say with `assetId` which asset of the unit is meant.',
  already_voided: 'Nothing needs to be done; it was declared wrong before.',
  stop_cleared: 'Nothing needs to be done; set a new stop if it is needed again.',
  stop_not_yours: 'See `detail` for who may; ask them, or send a unit that is ready.',
  stop_not_waiting: 'Nothing needs to be done; it counts in full already.',
  unit_not_ready: 'See `detail` for why; send another unit, or ask who can clear it.',
  finding_closed: 'Nothing needs to be done; record a new finding if it is there again.',
  finding_open: 'Close the findings first, when they are mended and checked.',
  request_in_flight: 'Wait a moment, then send the same again with the same Idempotency-Key.',
  precondition_failed:
    'Read it again, see what others changed, and send your change with the new ETag as If-Match.',
  not_alone: 'A second person is there to check: end what others may do first, if they left.',
  competence_held: 'End the competence that is there first, or give this one from its end on.',
  competence_ended: 'Nothing needs to be done; give it anew if it is to hold again.',
  body_too_large: 'Send less at once: split readings into several posts.',
  media_type_unsupported:
    'Send `Content-Type: application/json`; see /docs for what else is taken.',
  reference_unknown: 'Check the ids in the body, and bring in first what they name.',
  pattern_invalid: 'See `errors` for each fault by its place in the document.',
  resolution_invalid: 'Give one tick of the counter in the unit of the meter, such as 0.05 hours.',
  basis_invalid: 'See `detail`; a basis fits certain meters and resolutions only.',
  meter_unknown: 'Use one of the meters in /docs.',
  meter_not_counted: 'Check which asset the dial belongs to.',
  dial_value_invalid:
    "Give what the dial shows, in whole steps of its resolution and the meter's unit.",
  dial_falls: 'Read the dial again; if it was exchanged, say so with `meterReplaced`.',
  dial_too_fast:
    'Read the dial again and check the time; void the earlier reading if that was wrong.',
  source_elsewhere: 'Check the installs: a gateway counts only for what is on its unit.',
  decision_impossible:
    'See `detail`; a word must name a value that came, and only a rise can count.',
  nothing_to_decide: 'See the open questions of the gateway: only those wait for a word.',
  dial_differs: 'Void the reading that is there first, if it is the wrong one.',
  time_invalid: 'See `detail` for what the time must lie between.',
  adjustment_impossible: 'See `detail`, and check the amount: use cannot fall below nothing.',
  nothing_to_swap: 'Check the units, what is to be exchanged, and the time.',
  fleet_leaving: 'Nothing more is taken: the deletion of this fleet was confirmed.',
  confirmation_invalid:
    "Ask for the deletion again, and send its token and the fleet's name exactly.",
  import_refused: 'See `errors` for each fault by sheet, row and column; a dry run tells the same.',
  stop_impossible: 'See `detail` for what is missing or does not go together.',
  finding_impossible: 'See `detail` for what is missing or does not go together.',
  card_empty: 'Name tasks or service points of what is on the unit; see its tasks.',
  card_too_long: 'Write up two cards, each with a part of the work.',
  deferral_refused: 'See `detail`: some tasks may not be deferred, or not so far.',
  pin_weak: 'Choose digits that others would not try first.',
  idempotency_key_reused: 'Make a new Idempotency-Key for each new request.',
  precondition_missing: 'Read it first, and send its ETag in the header If-Match.',
  pin_locked:
    'Wait as long as Retry-After says, or have a lead set another PIN if it was forgotten.',
  rate_limited: 'Wait as long as Retry-After says; RateLimit tells beforehand what is left.',
  internal: 'Send it again later; if it stays, tell us the id at the end of `instance`.',
  overloaded:
    'Send the same again after Retry-After; with an Idempotency-Key nothing is done twice.',
  stopping: 'Send the same again after Retry-After; another process may take it.',
  not_ready: 'Wait as long as Retry-After says: the service starts, stops or has no database.',
};
