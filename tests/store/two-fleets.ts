import type { FreshDatabase } from '../helpers/db.ts';

const runColumns = [
  'stream_id, first_seq, last_seq, received_at, offset_ms',
  'first_at_ms, first_raw, at_steps, raw_steps',
].join(', ');

type Owner = FreshDatabase['owner'];

const id = (n: number) => `'01900000-0000-7000-8000-${String(n).padStart(12, '0')}'::uuid`;
const at = "'2026-11-25 13:00:00+00'::timestamptz";
const hash = (text: string) => `sha256('${text}'::bytea)`;

/** Hex of the key hash of a fleet. */
export const keyHash = (fleet: number) => hash(`key of fleet ${fleet}`);

const commandColumns = [
  'card_id, client_id, step_id, late, result, find, measurement, said_at, counted_at, person_id',
  'person_name, trainee, replaces, key_id, received_at, digest',
].join(', ');
const command = (step: number, late: boolean) =>
  `${id(step)}, ${late}, 'done', '{}', '{}', ${at}, ${at}, ${id(3)}, 'A', false, '{}', ${id(11)},
   ${at}, ${hash('c')}`;

/** Inserts by table, in an order that foreign keys allow; values without the leading fleet_id. */
const rows = (fleet: number): [table: string, columns: string, values: string][] => [
  ['fleet', 'name, created_at', `'fleet ${fleet}', ${at}`],
  ['fleet_deletion', 'asked_at, token_until', `${at}, ${at}`],
  ['yard', 'yard_id, name, time_zone, created_at', `${id(1)}, 'North', 'UTC', ${at}`],
  ['unit', 'unit_id, number, created_at', `${id(2)}, '12', ${at}`],
  ['unit_yard', 'unit_id, role, yard_id, during', `${id(2)}, 'home', ${id(1)}, '[2026-01-01,)'`],
  ['person', 'person_id, name, created_at', `${id(3)}, 'A', ${at}`],
  [
    'lift_pattern',
    'pattern_id, version, name, asset_kind, document, sha256, created_at',
    `${id(4)}, 1, 'P', 'lift', '{}', ${hash('{}')}, ${at}`,
  ],
  [
    'asset',
    'asset_id, kind, serial, pattern_id, pattern_version, created_at',
    `${id(5)}, 'lift', 'S1', ${id(4)}, 1, ${at}`,
  ],
  [
    'pattern_move',
    'move_id, asset_id, pattern_id, version, moved_at, recorded_by',
    `${id(16)}, ${id(5)}, ${id(4)}, 1, ${at}, 'A'`,
  ],
  ['gateway', 'gateway_id, serial, created_at', `${id(6)}, 'G1', ${at}`],
  [
    'install',
    'install_id, unit_id, asset_id, during, created_at',
    `${id(7)}, ${id(2)}, ${id(5)}, '[2026-01-01,)', ${at}`,
  ],
  [
    'install_correction',
    `correction_id, install_id, kind, asset_id, unit_id, during, installed_at, reason,
      recorded_by, recorded_at`,
    `${id(12)}, ${id(7)}, 'withdrawn', ${id(5)}, ${id(2)}, '[2026-01-01,)', ${at}, 'r', 'A', ${at}`,
  ],
  [
    'severity',
    'severity_id, kind, unit_id, from_day, created_at',
    `${id(8)}, 'salt', ${id(2)}, '2026-01-01', ${at}`,
  ],
  [
    'fold_line',
    `line_id, shard, meter, resolution_grains, width_bits, min_ms_per_tick, scope, basis,
      basis_version, created_at`,
    `1, 5, 'pto_hours', 180, 32, 1, 'gateway', 'direct', 1, ${at}`,
  ],
  [
    'counter',
    'counter_id, gateway_id, name, line_id, declared_at',
    `1, ${id(6)}, 'pto_hours', 1, ${at}`,
  ],
  ['meter_source', 'asset_id, meter, line_id, during', `${id(5)}, 'pto_hours', 1, '[2026-01-01,)'`],
  [
    'meter_source_choice',
    'choice_id, asset_id, meter, counter_id, line_id, during, reason, recorded_by, recorded_at',
    `${id(13)}, ${id(5)}, 'pto_hours', 1, 1, '[2026-01-01,)', 'r', 'A', ${at}`,
  ],
  ['line_gap', 'line_id, ordinal, seq, cause, to_at', `1, 0, 1, 'before_first_reading', ${at}`],
  [
    'stream',
    'stream_id, counter_id, epoch, line_id, ordinal, cause, seen, opened_at',
    `${fleet}, 1, 0, 1, 0, 'first', '{[1,3)}', ${at}`,
  ],
  ['reading_run', runColumns, `${fleet}, 1, 2, '2026-11-10 00:00+00', 0, 1, 1, '{1}', '{1}'`],
  ['reading_run', runColumns, `${fleet}, 3, 3, '2026-12-10 00:00+00', 0, 2, 2, '{}', '{}'`],
  ['stream_compaction', 'stream_id, compacted_to', `${fleet}, ${at}`],
  ['reading_conflict', 'stream_id, seq, at_ms, raw, received_at', `${fleet}, 1, 1, 9, ${at}`],
  [
    'reading_refusal',
    'stream_id, seq, verdict, at_text, raw_text, received_at',
    `${fleet}, 9, 'malformed', '1', '-1', ${at}`,
  ],
  [
    'frame_tail',
    'stream_id, source, seq, at_ms, raw, until_ms, settled',
    `${fleet}, 0, 2, 2, 2, 2, '{[1,3)}'`,
  ],
  [
    'reading_decision',
    `decision_id, gateway_id, line_id, ordinal, seq, subject, decision, at_ms, raw, name, reason,
      recorded_by, recorded_at`,
    `${id(15)}, ${id(6)}, 1, 0, 1, 'conflict', 'neither', 1, 9, 'A', 'r', 'k', ${at}`,
  ],
  ['gateway_contact', 'gateway_id, last_post_at', `${id(6)}, ${at}`],
  ['gateway_health', 'gateway_id, shard, check_at', `${id(6)}, 5, ${at}`],
  ['gateway_clock', 'gateway_id, seen_at, offset_ms', `${id(6)}, ${at}, 200000`],
  [
    'line_mark',
    'shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at',
    `5, 1, 'readings', 0, 1, 2, ${at}`,
  ],
  [
    'fold_segment',
    `line_id, start_ordinal, start_seq, end_ordinal, end_seq, utc_day, readings, state, shares,
      verdicts, unlisted`,
    `1, 0, 1, 0, 2, 20000, 2, '{}', '[]', '[]', 0`,
  ],
  ['hand_line', 'asset_id, meter, line_id', `${id(5)}, 'pto_hours', 1`],
  [
    'hand_reading',
    `reading_id, asset_id, meter, line_id, at, grains, resolution_grains, meter_replaced, read_by,
      recorded_by, recorded_at`,
    `${id(14)}, ${id(5)}, 'pto_hours', 1, ${at}, 7, 360, false, 'A', 'k', ${at}`,
  ],
  ['usage_day', 'asset_id, meter, day, line_id, grains', `${id(5)}, 'm', '2026-11-25', 1, 180`],
  ['use_until', 'asset_id, meter, at_ms, day, grains', `${id(5)}, 'm', 5, '2026-11-25', 7`],
  ['line_progress', 'line_id, provisional, in_doubt, folded_at', `1, '[]', false, ${at}`],
  [
    'usage_entry',
    'asset_id, meter, day, kind, grains, reason, recorded_by, recorded_at, at, name',
    `${id(5)}, 'm', '2026-11-25', 'adjustment', 1, 'r', 'k', ${at}, ${at}, 'A'`,
  ],
  ['unit_mark', 'shard, unit_id, recorded_at', `5, ${id(2)}, ${at}`],
  [
    'job_card',
    'card_id, unit_id, kind, state, reasons, tasks, written_up_at, written_up_by',
    `${id(40)}, ${id(2)}, 'upkeep', 'hands_on', '["r"]', '[]', ${at}, 'k'`,
  ],
  [
    'card_step',
    'card_id, step_no, step_id, asset_id, work, task_keys, lift_critical, step',
    `${id(40)}, 1, ${id(41)}, ${id(5)}, 'grease', '{grease}', true, '{}'`,
  ],
  ['step_command', commandColumns, `${id(40)}, ${id(42)}, ${command(41, false)}`],
  [
    'card_signature',
    `signature_id, card_id, step_id, act, person_id, person_name, via, covers, at, key_id,
      recorded_at`,
    `${id(43)}, ${id(40)}, ${id(41)}, 'check', ${id(3)}, 'A', 'pin', array[${id(42)}], ${at},
      ${id(11)}, ${at}`,
  ],
  // A card that was withdrawn, and a command that came afterwards.
  [
    'job_card',
    'card_id, unit_id, kind, state, reasons, tasks, written_up_at, written_up_by, closed_at',
    `${id(44)}, ${id(2)}, 'upkeep', 'withdrawn', '[]', '[]', ${at}, 'k', ${at}`,
  ],
  ['step_command', commandColumns, `${id(44)}, ${id(45)}, ${command(41, true)}`],
  [
    'card_correction',
    `correction_id, card_id, client_id, decision, words, tasks, person_id, person_name, key_id,
      recorded_at`,
    `${id(46)}, ${id(44)}, ${id(45)}, 'counts', 'w', '[]', ${id(3)}, 'A', ${id(11)}, ${at}`,
  ],
  [
    'task_done',
    'done_id, asset_id, task_key, done_at, estimated, recorded_by, recorded_at',
    `${id(9)}, ${id(5)}, 'grease', ${at}, false, 'A', ${at}`,
  ],
  [
    'meter_start',
    'asset_id, meter, at, grains, recorded_by, recorded_at',
    `${id(5)}, 'pto_hours', ${at}, 7, 'A', ${at}`,
  ],
  [
    'task_deferral',
    `deferral_id, asset_id, task_key, from_at, until_day, until_use, approver, restriction, reason,
      recorded_by, recorded_at`,
    `${id(10)}, ${id(5)}, 'grease', ${at}, '2026-12-01', '{}', 'A', '', 'r', 'A', ${at}`,
  ],
  [
    'task_call',
    'call_id, asset_id, task_key, called_at, cause, recorded_by, recorded_at',
    `${id(16)}, ${id(5)}, 'grease', ${at}, 'person', 'A', ${at}`,
  ],
  [
    'visit',
    'visit_id, unit_id, yard_id, bay, during, agreed_by, recorded_by, created_at',
    `${id(17)}, ${id(2)}, ${id(1)}, '1', '[2026-12-01,2026-12-02)', 'A', 'k', ${at}`,
  ],
  [
    'upkeep_state',
    'asset_id, task_key, unit_id, status, assessment, assessed_at',
    `${id(5)}, 'grease', ${id(2)}, 'ahead', '{}', ${at}`,
  ],
  [
    'unit_standing',
    'unit_id, shard, status, rank, press_on, reasons, assessed_at, next_check_at',
    `${id(2)}, 5, 'ahead', 3, 'infinity', '[]', ${at}, ${at}`,
  ],
  [
    'finding',
    `finding_id, unit_id, asset_id, point_key, grade, words, functions, mend_by_use, reports,
      found_at, graded_at`,
    `${id(20)}, ${id(2)}, ${id(5)}, 'pivot', 'unfit', 'w', '{wheel_lift}', '{}', 1, ${at}, ${at}`,
  ],
  [
    'finding_report',
    'report_id, finding_id, grade, words, source, by_key, by_name, recorded_at',
    `${id(21)}, ${id(20)}, 'unfit', 'w', 'person', ${id(11)}, 'A', ${at}`,
  ],
  [
    'symptom',
    `symptom_id, unit_id, asset_id, symptom, words, load_on_hook, reports, state, noticed_at,
      told_at, last_told_at`,
    `${id(50)}, ${id(2)}, ${id(5)}, 'leak', 'w', true, 1, 'told', ${at}, ${at}, ${at}`,
  ],
  [
    'symptom_report',
    `report_id, symptom_id, unit_id, load_on_hook, words, noticed_at, by_key, by_name,
      recorded_at`,
    `${id(51)}, ${id(50)}, ${id(2)}, true, 'w', ${at}, ${id(11)}, 'A', ${at}`,
  ],
  [
    'incident',
    `incident_id, unit_id, kind, words, load_on_hook, happened_at, told_at, by_key, by_name,
      state`,
    `${id(52)}, ${id(2)}, 'drop', 'w', true, ${at}, ${at}, ${id(11)}, 'A', 'told'`,
  ],
  [
    'walk_round',
    `walk_round_id, unit_id, shift, defects, walked_at, by_person, by_key, by_name, via,
      recorded_at`,
    `${id(53)}, ${id(2)}, 'after', 1, ${at}, ${id(3)}, ${id(11)}, 'A', 'pin', ${at}`,
  ],
  [
    'walk_defect',
    'defect_id, walk_round_id, unit_id, item, words, affects_safety, finding_id',
    `${id(54)}, ${id(53)}, ${id(2)}, 'horn', 'w', true, ${id(20)}`,
  ],
  [
    'stop',
    `stop_id, unit_id, asset_id, finding_id, kind, effect, functions, limits, effective, state,
      reason, placed_at, placed_by_key, placed_by_name`,
    `${id(22)}, ${id(2)}, ${id(5)}, ${id(20)}, 'defect', 'no', '{wheel_lift}', '{}', 'at_once',
      'standing', 'r', ${at}, ${id(11)}, 'A'`,
  ],
  [
    'stop_act',
    'act_id, stop_id, act, words, by_key, by_name, recorded_at',
    `${id(23)}, ${id(22)}, 'set', '', ${id(11)}, 'A', ${at}`,
  ],
  [
    'assignment',
    `assignment_id, unit_id, functions, relied_on, last_event, answers, changed, by_key, by_name,
      assigned_at, recorded_at`,
    `${id(24)}, ${id(2)}, '{wheel_lift}', 1, 1, '{}', false, ${id(11)}, 'A', ${at}, ${at}`,
  ],
  [
    'part_life',
    'life_id, asset_id, part, point_key, recorded_at',
    `${id(60)}, ${id(5)}, 'pad', 'pads', ${at}`,
  ],
  [
    'part_life_entry',
    `life_id, entry_no, kind, fitted_at, prior_life, prior_use, warranty_until_use, name,
      recorded_by, recorded_at`,
    `${id(60)}, 1, 'fitted', ${at}, 'new', '{}', '{}', 'A', 'k', ${at}`,
  ],
  [
    'measurement',
    `measurement_id, asset_id, point_key, part, at, value, unit, error, verdict, rule, use_then,
      name, recorded_by, recorded_at`,
    `${id(61)}, ${id(5)}, 'pads', 'pad', ${at}, 9000, 'mm', 50, 'sound', 'before_near', '{}', 'A',
      'k', ${at}`,
  ],
  [
    'measurement_decision',
    'measurement_id, decision, reason, name, recorded_by, recorded_at',
    `${id(61)}, 'withdrawn', 'r', 'A', 'k', ${at}`,
  ],
  [
    'take_up',
    'take_up_id, asset_id, point_key, at, turns, use_then, name, recorded_by, recorded_at',
    `${id(62)}, ${id(5)}, 'pivot', ${at}, 250, '{}', 'A', 'k', ${at}`,
  ],
  [
    'removal_check',
    `check_id, asset_id, point_key, at, subject, look, decision, fired, cut_off_may_cure, use_then,
      name, recorded_by, recorded_at`,
    `${id(63)}, ${id(5)}, 'rope', ${at}, 'rope', '{}', 'keep', '[]', false, '{}', 'A', 'k', ${at}`,
  ],
  [
    'control_period',
    'period_id, unit_id, from_day, recorded_by, recorded_at',
    `${id(64)}, ${id(2)}, '2026-01-01', 'k', ${at}`,
  ],
  [
    'preservation_order',
    'order_id, unit_id, reason, placed_at, placed_by, placed_person, recorded_by',
    `${id(65)}, ${id(2)}, 'r', ${at}, 'A', ${id(3)}, 'k'`,
  ],
  ['record_work', 'work_no, brought_in', `1000000, false`],
  [
    'record_version',
    'work_no, kind, row_id, unit_id, gone, data',
    `1000000, 'unit', 'u', ${id(2)}, false, '{}'`,
  ],
  [
    'api_key',
    'key_id, prefix, sha256, role, name, created_at',
    `${id(11)}, 'lw_${fleet}_a', ${keyHash(fleet)}, 'admin', 'k', ${at}`,
  ],
  [
    'person_competence',
    `competence_id, person_id, competence, during, evidence, passes_needed, given_by, given_at`,
    `${id(16)}, ${id(3)}, 'lift_work', '[2026-01-01,)', 'e', 3, 'k', ${at}`,
  ],
  [
    'supervised_pass',
    'pass_id, competence_id, supervised_by, cause_kind, cause_id, at',
    `${id(17)}, ${id(16)}, ${id(3)}, 'job_card', ${id(2)}, ${at}`,
  ],
  ['pin_try', 'kind, id, in_row, day_began_at, day_wrong', `'person', ${id(3)}, 1, ${at}, 1`],
  [
    'sign_in',
    'key_id, person_id, sign_in_id, token_sha256, began_at, ends_at',
    `${id(11)}, ${id(3)}, ${id(18)}, ${hash('t')}, ${at}, ${at} + interval '1 hour'`,
  ],
  ['request_use', 'key_id, window_no, used', `${id(11)}, 1, 1`],
  [
    'idempotency',
    'client, key, route, body_sha256, created_at',
    `'c', 'k', '/v1/units', ${hash('')}, ${at}`,
  ],
  [
    'outbox',
    'type, subject, data, occurred_at, recorded_at',
    `'unit.added', 'unit/1', '{}', ${at}, ${at}`,
  ],
  [
    'event',
    `number, type, subject, data, occurred_at, recorded_at, numbered_at, previous_hash, hash`,
    `1, 't', 's', '{}', ${at}, ${at}, ${at}, ${hash('')}, ${hash('1')}`,
  ],
  ['event_personal', 'number, salt, personal', `1, '\\x${'00'.repeat(16)}', '{"name": "A"}'`],
  ['event_chain', 'last_number, last_hash', `1, ${hash('1')}`],
];

/**
 * Fleets 1 and 2 with a row in every table and every partition. Both use the same ids, names and
 * serials wherever keys allow, so that a missing fleet in a key or a condition shows.
 */
export async function seedTwoFleets(db: FreshDatabase): Promise<void> {
  await db.pools.scheduler.query(
    `select liftwright.ensure_reading_partitions('2026-11-01 00:00+00', '2026-12-15 00:00+00')`,
  );
  for (const fleet of [1, 2]) {
    const inserts = rows(fleet).map(
      ([table, columns, values]) =>
        `insert into liftwright.${table} (fleet_id, ${columns}) overriding system value
         values (${fleet}, ${values})`,
    );
    await db.owner.query(inserts.join(';\n'));
  }
  await db.owner.query('analyze');
}

export interface Relation {
  name: string;
  isPartition: boolean;
  /** Without identity columns, which nobody can update. */
  columns: string[];
}

/** Every table and partition of the schema. */
export async function relations(owner: Owner): Promise<Relation[]> {
  const { rows: found } = await owner.query<Relation>(
    `select c.relname::text as name, c.relispartition as "isPartition",
        array_agg(a.attname::text order by a.attnum) as columns
     from pg_class c
     join pg_attribute a on a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped
       and a.attidentity in ('', 'd')
     where c.relnamespace = 'liftwright'::regnamespace and c.relkind in ('r', 'p')
     group by c.oid order by c.relname`,
  );
  return found;
}

/** How many rows of a relation each fleet has, as the superuser sees it. */
export async function rowsPerFleet(owner: Owner, relation: string): Promise<Map<number, number>> {
  const { rows: found } = await owner.query<{ fleet: number; n: number }>(
    `select fleet_id as fleet, count(*)::int as n from liftwright.${relation} group by fleet_id`,
  );
  return new Map(found.map((row) => [row.fleet, row.n]));
}
