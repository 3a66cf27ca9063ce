// Made from openapi.json by `npm run spec`: never edit it by hand.

/** run_out: a restriction whose time is over. */
export type StopState = "waits_for_drop" | "standing" | "cleared" | "run_out";

export type ReadinessAnswer =
  | "yes"
  | "limited"
  | "unknown"
  | "no"
  | "not_fitted";

/** told, on_card, or over: mended, or unnecessary because nothing was wrong. */
export type TroubleState = "told" | "on_card" | "mended" | "unnecessary";

export type TaskStatus = "ahead" | "in_window" | "overrun" | "unknown";

export type FindingEnding = "mended" | "withdrawn" | "superseded";

/** unfit stops what the place serves, at once. */
export type FindingGrade = "sound" | "keep_watch" | "mend_by" | "unfit";

/** after_drop: the load that is on may be finished, no new call. */
export type StopEffective = "at_once" | "after_drop";

/** @default "no" */
export type StopEffect = "limited" | "no";

/** work_lock: a person is in it; defect: the shop; officer: an order of an inspector; restriction: dispatch. */
export type StopKind = "work_lock" | "defect" | "officer" | "restriction";

/** What a unit can be sent to do. */
export type UnitFunction = "wheel_lift" | "winch" | "boom" | "dollies" | "road";

/** lift_work: do steps. lift_check: check lift-critical work of others. lead: sign off, clear defect stops, approve deferrals, give competences. dispatch: restrictions. driving: drive, walk round. yearly_inspection: where the law asks who may. */
export type Competence =
  | "lift_work"
  | "lift_check"
  | "lead"
  | "dispatch"
  | "driving"
  | "yearly_inspection";

export type RecordSection =
  | "upkeep"
  | "cards"
  | "findings"
  | "stops"
  | "reports"
  | "dispatch"
  | "measurements"
  | "parts"
  | "meters"
  | "unit";

export type WalkItem =
  | "service_brakes"
  | "parking_brake"
  | "steering"
  | "lighting"
  | "tires"
  | "horn"
  | "wipers"
  | "mirrors"
  | "coupling_devices"
  | "wheels_rims"
  | "emergency_equipment"
  | "leaks"
  | "hoses"
  | "pins_keepers"
  | "arms_stowed"
  | "crossbar_swing"
  | "fold_and_extend"
  | "tie_downs"
  | "rope_and_hook"
  | "work_lights"
  | "pto_noise"
  | "oil_sight_glass"
  | "dollies";

export type IncidentKind = "collision" | "overload" | "shock_load" | "drop";

export type SymptomWord =
  | "creeps_down_loaded"
  | "drifts_driving_empty"
  | "chatters_lowering"
  | "skips_extending"
  | "screeches_folding"
  | "play_at_crossbar"
  | "swings_off_square"
  | "slow"
  | "uneven_extension"
  | "will_not_hold_fold"
  | "takes_no_grease"
  | "grease_one_side"
  | "rope_birdnests"
  | "winch_creeps"
  | "pump_whines"
  | "oil_hot"
  | "pto_grinds"
  | "oil_on_rod"
  | "leak"
  | "other";

export type JobCardState =
  | "written_up"
  | "hands_on"
  | "set_down"
  | "to_sign"
  | "signed_off"
  | "withdrawn";

export type JobCardKind =
  | "upkeep"
  | "symptom"
  | "incident"
  | "intake"
  | "yard"
  | "follow_on";

/** `suspect`: a meter stands still while the truck works. */
export type GatewayState = "silent" | "suspect" | "waiting_decision";

export type AssetKind = "chassis" | "lift" | "winch" | "dolly_set";

/** @example {"streams":[{"counter":"pto_hours","epoch":0,"firstSeq":4101,"at":[1795599400000,1795599580000],"raw":[29664,29665]}]} */
export interface PostedReadings {
  /** @maxItems 64 */
  streams: {
    /** @maxLength 40 */
    counter: string;
    /**
     * @min 0
     * @max 9007199254740991
     */
    epoch: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    firstSeq: number;
    /**
     * Device times, ms since 1970.
     * @maxItems 5000
     */
    at: number[];
    /**
     * Counter values in ticks; same length as `at`.
     * @maxItems 5000
     */
    raw: number[];
    /**
     * Numbers that the device can never send.
     * @maxItems 100
     */
    lost?: [number, number][];
  }[];
}

/** @example {"frames":[{"at":1795599400000,"id":"18FEE700","data":"81C40300E1730000"}]} */
export interface PostedFrames {
  /** @maxItems 50000 */
  frames: {
    /** Device's time: ms since 1970, or RFC 3339. */
    at: number | string;
    /**
     * 29-bit identifier in hex.
     * @maxLength 8
     */
    id: string;
    /**
     * Data bytes in hex.
     * @maxLength 64
     */
    data: string;
  }[];
}

export interface NewYard {
  /**
   * @minLength 1
   * @maxLength 200
   */
  name: string;
  /**
   * IANA time zone.
   * @maxLength 64
   * @example "America/Chicago"
   */
  timeZone: string;
}

export interface YardChange {
  /**
   * @minLength 1
   * @maxLength 200
   */
  name?: string;
  /**
   * Given when the old one was wrong: all its days are reckoned anew.
   * @maxLength 64
   * @example "America/Chicago"
   */
  timeZone?: string;
}

export interface NewUnit {
  /**
   * What dispatch calls it.
   * @minLength 1
   * @maxLength 40
   */
  number: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  homeYardId: string;
  /**
   * When it came to this yard; default: for ever.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  since?: string;
  /** @maxLength 2000 */
  note?: string;
  /**
   * Name of the person furnishing it, where the fleet does not own it.
   * @minLength 1
   * @maxLength 200
   */
  furnishedBy?: string;
}

export interface UnitChange {
  /**
   * @minLength 1
   * @maxLength 40
   */
  number?: string;
  note?: string | null;
  /** Name of the person furnishing it, where the fleet does not own it. */
  furnishedBy?: string | null;
  /**
   * Its days follow the time zone of this yard.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  homeYardId?: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  presentYardId?: string;
  /**
   * When it came to the yard; default: now.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at?: string;
}

export interface NewAsset {
  kind: AssetKind;
  /**
   * @minLength 1
   * @maxLength 80
   */
  serial: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  patternId?: string;
  /**
   * Default: the newest.
   * @min 1
   * @max 2147483647
   */
  patternVersion?: number;
  /** @maxLength 2000 */
  note?: string;
  /**
   * @minLength 1
   * @maxLength 80
   */
  make?: string;
  /**
   * @min 1900
   * @max 2200
   */
  modelYear?: number;
  /**
   * @minLength 1
   * @maxLength 80
   */
  tireSize?: string;
}

export interface AssetChange {
  /**
   * @minLength 1
   * @maxLength 80
   */
  serial?: string;
  note?: string | null;
  make?: string | null;
  modelYear?: number | null;
  tireSize?: string | null;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  patternId?: string;
  /**
   * Default, with a patternId: the newest. Work that is done stays done.
   * @min 1
   * @max 2147483647
   */
  patternVersion?: number;
}

export interface NewInstall {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId?: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  gatewayId?: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  from: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  to?: string;
  /**
   * End the install where it is now at `from`, and begin this one.
   * @default false
   */
  move?: boolean;
  /** @maxLength 2000 */
  note?: string;
}

export interface InstallChange {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId?: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  from?: string;
  /** Null: it is still there. */
  to?: string | null;
  note?: string | null;
  /**
   * Why what was said before was wrong.
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface InstallEnd {
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason?: string;
}

export interface InstallWithdrawal {
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface InstallSwap {
  /**
   * @maxItems 2
   * @minItems 2
   */
  unitIds: [string, string];
  /** The assets of one kind, or the gateways. */
  what: "chassis" | "lift" | "winch" | "dolly_set" | "gateway";
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface NewImport {
  /** true: do everything, report, and take it all back. Start with this. */
  dryRun: boolean;
  /**
   * The sheet as CSV, its first row naming the columns; see /docs/import.
   * @maxLength 8388608
   */
  yards?: string;
  /**
   * The sheet as CSV, its first row naming the columns; see /docs/import.
   * @maxLength 8388608
   */
  units?: string;
  /**
   * The sheet as CSV, its first row naming the columns; see /docs/import.
   * @maxLength 8388608
   */
  assets?: string;
  /**
   * The sheet as CSV, its first row naming the columns; see /docs/import.
   * @maxLength 8388608
   */
  gateways?: string;
  /**
   * The sheet as CSV, its first row naming the columns; see /docs/import.
   * @maxLength 8388608
   */
  installs?: string;
  /**
   * The sheet as CSV, its first row naming the columns; see /docs/import.
   * @maxLength 8388608
   */
  startingValues?: string;
  /**
   * The sheet as CSV, its first row naming the columns; see /docs/import.
   * @maxLength 8388608
   */
  lastDone?: string;
}

export type NewDeletion = object;

export interface NewDeletionConfirmation {
  /**
   * @minLength 1
   * @maxLength 200
   */
  token: string;
  /**
   * The fleet's name, letter by letter.
   * @maxLength 200
   */
  name: string;
}

export interface FleetChange {
  /**
   * @minLength 1
   * @maxLength 200
   */
  name?: string;
  /** One person alone does the work and checks it. Lift-critical work is then checked by the one who did it, which every record says, and only while nobody else may work on lifts. */
  oneMan?: boolean;
}

export interface NewGateway {
  /**
   * @minLength 1
   * @maxLength 80
   */
  serial: string;
  /** @maxLength 2000 */
  note?: string;
}

export interface GatewayChange {
  /**
   * @minLength 1
   * @maxLength 80
   */
  serial?: string;
  note?: string | null;
}

export type NewGatewayKey = object;

export interface NewCounters {
  /**
   * @maxItems 64
   * @minItems 1
   */
  counters: CounterDeclaration[];
}

export interface CounterDeclaration {
  /**
   * Its name in posts.
   * @pattern ^[a-z][a-z0-9_]{0,39}$
   */
  counter: string;
  /** @maxLength 40 */
  meter: string;
  /**
   * One tick, in the unit of the meter.
   * @exclusiveMin 0
   * @max 1000000
   * @example 0.05
   */
  resolution: number;
  /**
   * @min 8
   * @max 64
   * @default 32
   */
  widthBits?: number;
  /** @default "gateway" */
  scope?: "controller" | "gateway";
  /**
   * Serial of the controller that keeps the value; scope controller only.
   * @minLength 1
   * @maxLength 80
   */
  controller?: string;
  /**
   * @default "device"
   * @pattern ^[a-z][a-z0-9_]{0,39}$
   */
  basis?: string;
  /**
   * @min 1
   * @max 1000
   * @default 1
   */
  basisVersion?: number;
}

export interface NewEpoch {
  /** @maxLength 40 */
  counter: string;
  cause: "sequence_lost" | "counter_reset" | "controller_replaced";
}

export interface NewDecision {
  /** @maxLength 40 */
  counter: string;
  /**
   * @min 0
   * @max 2147483647
   */
  epoch: number;
  /**
   * @min 0
   * @max 9007199254740991
   */
  seq: number;
  /** Of a conflict: `first_stands`, `this_stands` or `neither`. Of a jump: `counts`, the whole rise as use, or `does_not_count`. */
  decision:
    | "first_stands"
    | "this_stands"
    | "neither"
    | "counts"
    | "does_not_count";
  /**
   * With `this_stands`, where a number came with several values: which one.
   * @min 0
   * @max 9007199254740991
   */
  raw?: number;
  /**
   * The same, by its time.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at?: string;
  /**
   * Who says so.
   * @minLength 1
   * @maxLength 200
   */
  name: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

/** @example {"meter":"fold_cycles","basis":"switch","samples":[[0,0],[1000,1],[2000,1],[21000,0],[22000,0]],"settings":{"gapMs":60000}} */
export interface CycleCheck {
  meter: "lift_cycles" | "fold_cycles" | "reach_cycles" | "arm_cycles";
  basis: "switch" | "pressure" | "coil";
  /** @default {} */
  settings?: {
    /**
     * At or above it something is on the lift; pressure only.
     * @min 0
     * @max 1000
     */
    loadedBar?: number;
    /**
     * At or below it nothing is; pressure only.
     * @min 0
     * @max 1000
     */
    emptyBar?: number;
    /**
     * A whole stroke with warm oil; coil only.
     * @min 100
     * @max 600000
     */
    strokeMs?: number;
    /**
     * How long a level must last to be one.
     * @min 0
     * @max 60000
     */
    holdMs?: number;
    /**
     * Samples further apart say nothing of the time between.
     * @min 1
     * @max 86400000
     */
    gapMs?: number;
  };
  /**
   * Time in ms and value, in order of time: of a switch 0 or 1, of a pressure bar, of coils 1 (out), -1 (back), 0; null: no value.
   * @maxItems 20000
   */
  samples: [number, number | null][];
}

export interface NewPattern {
  /**
   * Given: the next version of this pattern. Left out: another, even if named alike.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  patternId?: string;
  /** The lift pattern document; with the body at most 2 MiB. Its JSON Schema is at /docs/lift-pattern.schema.json, its words are explained at /docs/lift-patterns. */
  document: Record<string, unknown>;
}

export interface NewHandReading {
  /**
   * @maxLength 40
   * @example "pto_hours"
   */
  meter: string;
  /**
   * What the dial shows, in the meter's unit.
   * @min 0
   * @max 1000000000
   * @example 1234.5
   */
  value: number;
  /**
   * One step of the dial. Default: 0.1 hours, 1 cycle, 1 km.
   * @exclusiveMin 0
   * @max 1000000
   */
  resolution?: number;
  /**
   * When it was read. May be told late.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /**
   * Name of who read it.
   * @minLength 1
   * @maxLength 200
   */
  readBy: string;
  /** @maxLength 2000 */
  note?: string;
  /**
   * The first reading of a new dial. Give the last value of the old one before, at an earlier time: what was used between the two is known to nobody.
   * @default false
   */
  meterReplaced?: boolean;
}

export interface NameAndReason {
  /**
   * Who says so.
   * @minLength 1
   * @maxLength 200
   */
  name: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface NewAdjustment {
  /**
   * @maxLength 40
   * @example "pto_hours"
   */
  meter: string;
  /**
   * In the meter's unit; below zero takes use away.
   * @min -1000000000
   * @max 1000000000
   * @example -2.5
   */
  amount: number;
  /**
   * From when on the use counts.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /**
   * Who says so.
   * @minLength 1
   * @maxLength 200
   */
  name: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
  /**
   * The reading by hand that showed it.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  handReadingId?: string;
}

export interface NewMeterSourceChoice {
  /**
   * @maxLength 40
   * @example "pto_hours"
   */
  meter: string;
  /** A counter of a gateway, or `hand`: what people read off the dial. */
  source:
    | {
        /**
         * Stable id.
         * @format uuid
         * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
         */
        gatewayId: string;
        /** @maxLength 40 */
        counter?: string;
      }
    | "hand";
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  from: string;
  /** Null: until taken back. */
  to?: string | null;
  /**
   * Who says so.
   * @minLength 1
   * @maxLength 200
   */
  name: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface NewDone {
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /**
   * Needed when two assets have the task.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId?: string;
  /** @default false */
  estimated?: boolean;
  /** @maxLength 2000 */
  note?: string;
}

export interface Voiding {
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface NewSeverity {
  kind: "salt" | "dust" | "heavy_use";
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  yardId?: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId?: string;
  /**
   * Local day in the yard's time zone.
   * @format date
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
   * @example "2026-11-02"
   */
  fromDay: string;
  /**
   * Local day in the yard's time zone.
   * @format date
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
   * @example "2026-11-02"
   */
  toDay?: string;
  season?: {
    /** @pattern ^((0[1-9]|1[0-2])-(0[1-9]|[12]\d)|(0[13-9]|1[0-2])-30|(0[13578]|1[02])-31)$ */
    from: string;
    /** @pattern ^((0[1-9]|1[0-2])-(0[1-9]|[12]\d)|(0[13-9]|1[0-2])-30|(0[13578]|1[02])-31)$ */
    to: string;
  };
}

export interface NewTaskCall {
  /**
   * Needed when two assets have the task.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId?: string;
  /**
   * Why it is due now, whatever its meters say.
   * @minLength 1
   * @maxLength 2000
   */
  words: string;
}

export interface TaskCallWithdrawal {
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface NewVisit {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  yardId: string;
  /**
   * Which bay of the yard.
   * @minLength 1
   * @maxLength 40
   */
  bay: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  from: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  to: string;
  /**
   * From when dispatch can do without the unit; the visit begins no earlier.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  canSpareFrom?: string;
  /**
   * When dispatch wants the unit back; the visit ends no later.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  backBy?: string;
  /**
   * Who agreed for dispatch.
   * @minLength 1
   * @maxLength 200
   */
  agreedBy?: string;
  /** @maxLength 2000 */
  note?: string;
}

/** Other times or another yard need a new agreement: name who agreed, or nobody did. */
export interface VisitChange {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  yardId?: string;
  /**
   * Which bay of the yard.
   * @minLength 1
   * @maxLength 40
   */
  bay?: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  from?: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  to?: string;
  /** From when dispatch can do without the unit; the visit begins no earlier. */
  canSpareFrom?: string | null;
  /** When dispatch wants the unit back; the visit ends no later. */
  backBy?: string | null;
  /** Who agreed for dispatch. */
  agreedBy?: string | null;
  note?: string | null;
}

export interface VisitCancellation {
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface NewJobCard {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** @default "upkeep" */
  kind?: JobCardKind;
  /**
   * Left out, with no points and findings: what is in its window or past its limit.
   * @maxItems 200
   */
  tasks?: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    assetId: string;
    /**
     * @minLength 1
     * @maxLength 80
     */
    task: string;
  }[];
  /**
   * Service points to be looked at besides.
   * @maxItems 500
   * @default []
   */
  points?: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    assetId: string;
    /**
     * @minLength 1
     * @maxLength 80
     */
    point: string;
  }[];
  /**
   * Open findings that are to be mended, a step each.
   * @maxItems 50
   * @default []
   */
  findings?: string[];
  /**
   * @maxItems 20
   * @default []
   */
  reasons?: string[];
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  visitId?: string;
  /**
   * The card that left this work.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  follows?: string;
}

export interface NewSymptom {
  symptom: SymptomWord;
  /** Whether a car, or any load, is on it now. */
  loadOnHook: boolean;
  /**
   * What the driver says, in their own words.
   * @maxLength 2000
   * @default ""
   */
  words?: string;
  /**
   * Which asset it is; left out, found out from the word and what is on the unit.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId?: string;
  /**
   * Default: now.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  noticedAt?: string;
  /** Who tells it, where somebody signs. */
  signature?: Signature;
}

/** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
export type Signature = PinSignature | SignInSignature;

export interface PinSignature {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  personId: string;
  /**
   * Four to eight digits.
   * @format password
   * @maxLength 8
   * @pattern ^\d{4,8}$
   */
  pin: string;
}

export interface SignInSignature {
  /**
   * The token of a sign-in, with the key that asked for it.
   * @minLength 1
   * @maxLength 100
   */
  signIn: string;
}

export interface TroubleCard {
  /**
   * An open card to put it on, instead of a new one.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  cardId?: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  visitId?: string;
}

export interface TroubleClosing {
  how: "mended" | "unnecessary";
  /**
   * The signed-off card that mended it.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  cardId?: string;
  /**
   * What was wrong, or why nothing needs mending.
   * @minLength 1
   * @maxLength 2000
   */
  words: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

export interface NewIncident {
  kind: IncidentKind;
  /** Whether a car, or any load, is on it now. */
  loadOnHook: boolean;
  /**
   * @maxLength 2000
   * @default ""
   */
  words?: string;
  /**
   * Default: now.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  happenedAt?: string;
  /** Who tells it, where somebody signs. */
  signature?: Signature;
}

export interface NewWalkRound {
  /** Before a shift, or after it. */
  shift: "before" | "after";
  /**
   * None: everything was looked at and nothing found.
   * @maxItems 23
   * @default []
   */
  defects?: NewWalkDefect[];
  /**
   * Default: now.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  walkedAt?: string;
  /** The driver who walked round it. */
  signature: Signature;
}

export interface NewWalkDefect {
  item: WalkItem;
  /**
   * @maxLength 2000
   * @default ""
   */
  words?: string;
  /** It would affect safety or lead to a breakdown: what it serves is stopped until it is certified. */
  affectsSafety: boolean;
}

export interface WalkRoundReview {
  /** The next driver. */
  signature: Signature;
}

export interface WalkRoundCertification {
  how: "repaired" | "unnecessary";
  /**
   * Left out: all that nobody has certified.
   * @maxItems 23
   * @minItems 1
   */
  defectIds?: string[];
  /**
   * What was repaired, or why no repair is necessary.
   * @minLength 1
   * @maxLength 2000
   */
  words: string;
  /**
   * The job card on which it was repaired.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  cardId?: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

export interface NewMeasurement {
  /**
   * Service point.
   * @minLength 1
   * @maxLength 80
   */
  point: string;
  /**
   * The wear part; left out: the place itself, held against its own limits.
   * @minLength 1
   * @maxLength 80
   */
  part?: string;
  /**
   * Which limit of the place; left out: the only one in such a unit.
   * @minLength 1
   * @maxLength 80
   */
  limit?: string;
  /**
   * A size, at most three decimals. Either this or `gauge`.
   * @min 0
   * @max 1000000
   * @example 7.85
   */
  value?: number;
  unit?:
    | "mm"
    | "in"
    | "nm"
    | "turns"
    | "percent"
    | "bar"
    | "celsius"
    | "seconds";
  /**
   * What the reading can be wrong by, in `unit`; default: as the pattern says.
   * @min 0
   * @max 1000000
   */
  error?: number;
  /** What a go/no-go gauge says. */
  gauge?: "go" | "near" | "no_go";
  /**
   * What it was measured with.
   * @minLength 1
   * @maxLength 200
   */
  tool?: string;
  /** Whether the place was wiped first. */
  wiped?: boolean;
  /**
   * @min -100
   * @max 300
   */
  temperatureC?: number;
  /**
   * When it was measured. May be told late.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /**
   * Name of who measured.
   * @minLength 1
   * @maxLength 200
   */
  measuredBy?: string;
  /** Who did it signs, or is only named: one of the two. */
  signature?: Signature;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  note?: string;
}

/** Who can do lift work signs. */
export interface MeasurementWord {
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

export interface NewTakeUp {
  /**
   * Service point.
   * @minLength 1
   * @maxLength 80
   */
  point: string;
  /**
   * Wear part.
   * @minLength 1
   * @maxLength 80
   */
  part?: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /**
   * Turns, at most three decimals; negative when let out.
   * @min -100
   * @max 100
   * @example 0.25
   */
  turns: number;
  /**
   * @min 0
   * @max 1000000
   */
  gapBefore?: number;
  /**
   * @min 0
   * @max 1000000
   */
  gapAfter?: number;
  unit?: "mm" | "in";
  /**
   * What each gap can be wrong by, in `unit`.
   * @min 0
   * @max 1000000
   */
  error?: number;
  /**
   * Name of who turned it.
   * @minLength 1
   * @maxLength 200
   */
  doneBy?: string;
  /** Who did it signs, or is only named: one of the two. */
  signature?: Signature;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  note?: string;
}

export interface NewRemovalCheck {
  /**
   * Service point.
   * @minLength 1
   * @maxLength 80
   */
  point: string;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  look:
    | {
        subject: "rope";
        kind: "running" | "rotation_resistant" | "standing";
        /**
         * Nominal diameter, at most four decimals, in any one unit for both.
         * @exclusiveMin 0
         * @max 1000
         * @example 0.375
         */
        nominal: number;
        /**
         * The smallest of three places, each measured twice across the crowns.
         * @exclusiveMin 0
         * @max 1000
         */
        measured?: number;
        /**
         * Broken wires in one lay.
         * @min 0
         * @max 1000
         */
        inLay?: number;
        /**
         * Broken wires in one strand of one lay.
         * @min 0
         * @max 1000
         */
        inStrand?: number;
        /**
         * @min 0
         * @max 1000
         */
        inSixDiameters?: number;
        /**
         * @min 0
         * @max 1000
         */
        inThirtyDiameters?: number;
        /**
         * @min 0
         * @max 1000
         */
        atEnd?: number;
        /**
         * @maxItems 11
         * @default []
         */
        damages?: (
          | "kink"
          | "crushed"
          | "unstranded"
          | "birdcage"
          | "core_failure"
          | "corrosion"
          | "heat"
          | "bad_end"
          | "core_protrusion"
          | "power_line_contact"
          | "broken_strand"
        )[];
        /**
         * All of it could be cut off at an end.
         * @default false
         */
        local?: boolean;
        /**
         * Wraps left on the drum at its lowest after a cut-off.
         * @min 0
         * @max 1000
         */
        wrapsLeft?: number;
      }
    | {
        subject: "fibre_rope";
        kind: "braid" | "double_braid" | "three_strand";
        /**
         * @min 0
         * @max 100
         */
        brokenPercent?: number;
        /**
         * @maxItems 6
         * @default []
         */
        damages?: (
          | "cut_strand"
          | "glazed_and_stiff"
          | "glazed"
          | "lumps_or_flat_spots"
          | "hard_or_gritty"
          | "discoloured"
        )[];
      }
    | {
        subject: "chain";
        /**
         * 64ths of an inch: 24 is 3/8.
         * @min 1
         * @max 640
         */
        size64: number;
        /**
         * Inches at the thinnest point of any link.
         * @exclusiveMin 0
         * @max 1000
         */
        thinnest?: number;
        /**
         * A run of links when new.
         * @exclusiveMin 0
         * @max 1000
         */
        lengthNew?: number;
        /**
         * The same run now.
         * @exclusiveMin 0
         * @max 1000
         */
        lengthNow?: number;
        /**
         * @maxItems 6
         * @default []
         */
        damages?: (
          | "cracked"
          | "bent"
          | "twisted"
          | "gouged"
          | "heat"
          | "no_tag"
        )[];
      }
    | {
        subject: "hook";
        /**
         * Inches; what it was when new.
         * @exclusiveMin 0
         * @max 1000
         */
        throatNew?: number;
        /**
         * Inches.
         * @exclusiveMin 0
         * @max 1000
         */
        throatNow?: number;
        /**
         * Thickness at the saddle when new, inches.
         * @exclusiveMin 0
         * @max 1000
         */
        saddleNew?: number;
        /**
         * The same now.
         * @exclusiveMin 0
         * @max 1000
         */
        saddleNow?: number;
        /**
         * @maxItems 5
         * @default []
         */
        damages?: ("cracked" | "bent" | "twisted" | "latch_fails" | "heat")[];
      }
    | {
        subject: "sling";
        /**
         * In any one unit.
         * @exclusiveMin 0
         * @max 1000
         */
        thicknessNew?: number;
        /**
         * Where it is most rubbed.
         * @exclusiveMin 0
         * @max 1000
         */
        thicknessNow?: number;
        /**
         * @maxItems 8
         * @default []
         */
        damages?: (
          | "chemical_burn"
          | "melted"
          | "cut"
          | "torn_stitches"
          | "bent_fitting"
          | "no_tag"
          | "knot"
          | "stiff_or_bleached"
        )[];
      }
    | {
        subject: "hose";
        /**
         * Age with storage.
         * @min 0
         * @max 1200
         */
        months?: number;
        /**
         * @maxItems 7
         * @default []
         */
        damages?: (
          | "leaks"
          | "cover_damaged"
          | "kinked_or_crushed"
          | "hard_or_cracked"
          | "blistered_or_soft"
          | "fitting_damaged"
          | "fitting_slipped"
        )[];
      };
  /**
   * Name of who looked.
   * @minLength 1
   * @maxLength 200
   */
  checkedBy?: string;
  /** Who did it signs, or is only named: one of the two. */
  signature?: Signature;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  note?: string;
}

export interface NewPartLife {
  /**
   * Wear part.
   * @minLength 1
   * @maxLength 80
   */
  part: string;
  /**
   * Where it sits; more than one: a set that was fitted together.
   * @maxItems 20
   * @minItems 1
   */
  points: string[];
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  fittedAt: string;
  /**
   * What is known of its use before it was fitted here.
   * @default "new"
   */
  priorLife?: "new" | "known" | "estimated" | "unknown";
  /**
   * By meter, what it was used before, in the unit of the meter.
   * @default {}
   */
  priorUse?: Partial<Record<string, number>>;
  /** The maker's number of the part. */
  makerNumber?: string | null;
  supplier?: string | null;
  lot?: string | null;
  /** Local day in the yard's time zone. */
  warrantyUntilDay?: string | null;
  /** By meter, how much use of the part the warranty covers. */
  warrantyUntilUse?: Partial<Record<string, number>>;
  /**
   * Name of who fitted it.
   * @minLength 1
   * @maxLength 200
   */
  fittedBy?: string;
  /** Who did it signs, or is only named: one of the two. */
  signature?: Signature;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  note?: string;
}

export interface PartRemoval {
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  why: "worn" | "broken" | "precaution" | "recalled";
  /**
   * Name of who removed it.
   * @minLength 1
   * @maxLength 200
   */
  removedBy?: string;
  /** Who did it signs, or is only named: one of the two. */
  signature?: Signature;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  note?: string;
}

export interface PartMove {
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  toAssetId: string;
  /**
   * Service point.
   * @minLength 1
   * @maxLength 80
   */
  toPoint: string;
  /**
   * Name of who moved it.
   * @minLength 1
   * @maxLength 200
   */
  movedBy?: string;
  /** Who did it signs, or is only named: one of the two. */
  signature?: Signature;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  note?: string;
}

export interface PartCorrection {
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  fittedAt?: string;
  priorLife?: "new" | "known" | "estimated" | "unknown";
  /** By meter, what it was used before. */
  priorUse?: Partial<Record<string, number>>;
  /** The maker's number of the part. */
  makerNumber?: string | null;
  supplier?: string | null;
  lot?: string | null;
  /** Local day in the yard's time zone. */
  warrantyUntilDay?: string | null;
  /** By meter, how much use of the part the warranty covers. */
  warrantyUntilUse?: Partial<Record<string, number>>;
  /** Null: it was not removed. */
  removed?: {
    /**
     * RFC 3339 instant with an offset.
     * @format date-time
     * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
     * @example "2026-11-02T08:30:00-05:00"
     */
    at: string;
    why: "worn" | "broken" | "precaution" | "recalled" | "moved";
  } | null;
  /**
   * @minLength 1
   * @maxLength 200
   */
  correctedBy: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface NewControlPeriod {
  /**
   * The first day under the control of the fleet.
   * @format date
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
   * @example "2026-11-02"
   */
  fromDay: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  note?: string;
}

export interface ControlEnd {
  /**
   * The last day; records are kept for six months beyond it.
   * @format date
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
   * @example "2026-11-02"
   */
  day: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
}

export interface NewPreservationOrder {
  /**
   * Left out: the records of all units.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId?: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
  /**
   * Of a case or a claim.
   * @minLength 1
   * @maxLength 200
   */
  reference?: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

export interface PreservationLift {
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

export interface StepCommands {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  /** @maxItems 100 */
  commands: StepCommand[];
}

export interface StepCommand {
  /**
   * Made by the phone; the same command again has the same.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  clientId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  stepId: string;
  result: "done" | "not_done" | "not_right";
  /** One of the taps of the step. */
  tap?:
    | "sound"
    | "cleaned"
    | "took_grease"
    | "film_laid"
    | "mark_whole"
    | "tightened"
    | "taken_up"
    | "measured"
    | "level_right"
    | "topped_up"
    | "changed"
    | "works"
    | "one_side_only"
    | "took_none"
    | "fitting_missing"
    | "fitting_broken"
    | "mark_moved"
    | "mark_missing"
    | "loose"
    | "fastener_missing"
    | "thread_damaged"
    | "keeper_missing"
    | "bent"
    | "cracked"
    | "missing"
    | "worn"
    | "has_play"
    | "gouged"
    | "wet"
    | "rubbed"
    | "bulged"
    | "wires_broken"
    | "crushed"
    | "stretched"
    | "frayed"
    | "unreadable"
    | "level_low"
    | "oil_cloudy"
    | "sticks"
    | "does_not_hold"
    | "corroded"
    | null;
  /** With `not_done`, and only with it. */
  reason?:
    | "no_time"
    | "waits_for_part"
    | "waits_for_tool"
    | "cannot_be_reached"
    | "not_fitted"
    | "found_unfit_elsewhere"
    | "unit_wanted"
    | "other"
    | null;
  words?: string | null;
  /** With `not_right`, and only with it: it becomes a finding at once. */
  find?: {
    grade: "keep_watch" | "mend_by" | "unfit";
    point?: string | null;
    /** Local day in the yard's time zone. */
    mendByDay?: string | null;
  } | null;
  /** A value with its unit, or on which side of the gauge it fell. */
  measurement?: {
    part?: string | null;
    value?: number | null;
    unit?: "mm" | "in" | "nm" | "turns" | "percent" | null;
    gauge?: "go" | "near" | "no_go" | null;
    tool?: string | null;
    wiped?: boolean | null;
    temperatureC?: number | null;
  } | null;
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at: string;
  /** Who stood at the controls, where the lift was moved. */
  atControls?: string | null;
  /**
   * Commands of others on the step that this one puts right.
   * @maxItems 20
   */
  replaces?: string[];
}

export interface FollowingCard {
  /**
   * Left out: all that were not done.
   * @maxItems 200
   * @minItems 1
   */
  stepIds?: string[];
  /**
   * @maxItems 20
   * @default []
   */
  reasons?: string[];
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  visitId?: string;
}

export interface CardBegin {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  /**
   * When it was, if the phone was offline.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at?: string;
}

export interface CardSetDown {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  /** No: the unit is stopped until it is. Nobody answers it for another. */
  togetherAndSafe: boolean;
  /**
   * @minLength 1
   * @maxLength 1000
   */
  words?: string;
  /**
   * When it was, if the phone was offline.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at?: string;
}

export interface CardWorkEnd {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  /** No: the unit is stopped until it is. Nobody answers it for another. */
  togetherAndSafe: boolean;
  /**
   * @minLength 1
   * @maxLength 1000
   */
  words?: string;
  /**
   * When it was, if the phone was offline.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at?: string;
  /**
   * Why what has no result was not done.
   * @minLength 1
   * @maxLength 1000
   */
  restNotDone?: string;
}

export interface CardWords {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  /**
   * @minLength 1
   * @maxLength 1000
   */
  words: string;
}

export interface SignedSteps {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  /**
   * @maxItems 200
   * @minItems 1
   */
  stepIds: string[];
  /**
   * @minLength 1
   * @maxLength 1000
   */
  words?: string;
}

export interface CardSignOff {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  /**
   * @minLength 1
   * @maxLength 1000
   */
  words?: string;
  /**
   * @minLength 1
   * @maxLength 1000
   */
  restNotDone?: string;
}

export interface NewCardCorrection {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  stepId?: string;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  words: string;
  /**
   * Tasks that were not done after all; they are due again.
   * @maxItems 200
   * @default []
   */
  notDone?: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    assetId: string;
    /**
     * @minLength 1
     * @maxLength 80
     */
    task: string;
  }[];
}

export interface LateDecision {
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
  decision: "counts" | "does_not_count";
  /**
   * @minLength 1
   * @maxLength 2000
   */
  words: string;
}

export interface NewPerson {
  /**
   * @minLength 1
   * @maxLength 200
   */
  name: string;
}

export interface PersonChange {
  /**
   * @minLength 1
   * @maxLength 200
   */
  name?: string;
  /** Leaving takes the PIN and ends every sign-in. Null: came back. */
  leftAt?: string | null;
}

export interface NewPin {
  /**
   * Four to eight digits.
   * @format password
   * @maxLength 8
   * @pattern ^\d{4,8}$
   */
  newPin: string;
  /** With the PIN of now; not needed with the key of a lead or an admin. */
  signature?: Signature;
}

export interface NewSignIn {
  /**
   * Four to eight digits.
   * @format password
   * @maxLength 8
   * @pattern ^\d{4,8}$
   */
  pin: string;
  /**
   * How long it lasts.
   * @min 5
   * @max 720
   * @default 60
   */
  minutes?: number;
}

export type SignInEnd = object;

export interface NewCompetence {
  /** lift_work: do steps. lift_check: check lift-critical work of others. lead: sign off, clear defect stops, approve deferrals, give competences. dispatch: restrictions. driving: drive, walk round. yearly_inspection: where the law asks who may. */
  competence: Competence;
  /**
   * Default: now.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  from?: string;
  /**
   * Default: for ever.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  to?: string;
  /**
   * Certificate, course, years at work.
   * @minLength 1
   * @maxLength 2000
   */
  evidence: string;
  /**
   * For lift_work of a trainee: jobs to be countersigned first.
   * @min 0
   * @max 100
   * @default 0
   */
  passesNeeded?: number;
  /** Of a lead, with the PIN itself; an admin key may do without. */
  signature?: Signature;
}

export interface CompetenceEnd {
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
  /** Of a lead, with the PIN itself; an admin key may do without. */
  signature?: Signature;
}

export interface GraphQuestion {
  /**
   * @minLength 1
   * @maxLength 50000
   */
  query: string;
  variables?: Record<string, unknown> | null;
  operationName?: string | null;
  /** Not used. */
  extensions?: Record<string, unknown>;
}

export interface NewKey {
  role:
    | "dispatcher"
    | "technician"
    | "lead"
    | "parts"
    | "auditor"
    | "integrator"
    | "admin";
  /**
   * @minLength 1
   * @maxLength 200
   */
  name: string;
}

export type RevokeKey = object;

export interface NewAssignment {
  /**
   * @maxItems 5
   * @minItems 1
   */
  functions: UnitFunction[];
  /**
   * `event` of the readiness that dispatch read.
   * @min 0
   * @max 9007199254740991
   */
  reliedOn: number;
  /**
   * When it was sent; now, when left out.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  at?: string;
  /**
   * Dispatch's own number of the call.
   * @minLength 1
   * @maxLength 200
   */
  reference?: string;
  /** @maxLength 2000 */
  note?: string;
  /**
   * Why it is sent though a restriction of dispatch's own stands in the way.
   * @minLength 1
   * @maxLength 2000
   */
  override?: string;
  /** Of dispatch, for an override. */
  signature?: Signature;
}

/** The lead who signs is the one who approves it. */
export interface NewDeferral {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId?: string;
  /**
   * Local day in the yard's time zone.
   * @format date
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
   * @example "2026-11-02"
   */
  untilDay: string;
  /**
   * By meter, what may be used meanwhile, in its unit.
   * @default {}
   */
  untilUse?: Partial<Record<string, number>>;
  /**
   * What the unit may not do meanwhile; words alone limit readiness in words.
   * @maxLength 2000
   * @default ""
   */
  restriction?: string;
  /** What it does to readiness. Left out: it limits, where there is a restriction. */
  effect?: "none" | "limited" | "no";
  /**
   * Left out: those of the task.
   * @maxItems 5
   * @minItems 1
   */
  functions?: UnitFunction[];
  /**
   * What is still allowed. Several hold together: the strictest number, every flag.
   * @default {}
   */
  limits?: Limits;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

/** What is still allowed. Several hold together: the strictest number, every flag. */
export interface Limits {
  /**
   * At most so many kilograms on the lift.
   * @min 1
   * @max 100000
   */
  loadKg?: number;
  /**
   * At most so many kilometres.
   * @min 1
   * @max 10000
   */
  distanceKm?: number;
  /**
   * At most so many kilometres an hour.
   * @min 1
   * @max 200
   */
  speedKmh?: number;
  /** Only to the shop, with nothing on. */
  toShopOnly?: true;
  /** Only with a second person there. */
  secondPerson?: true;
  /** Not in the dark. */
  daylightOnly?: true;
  /** Only to finish the load that is on. */
  presentLoadOnly?: true;
  /** @maxItems 10 */
  words?: string[];
}

export interface NewStop {
  /** work_lock: a person is in it; defect: the shop; officer: an order of an inspector; restriction: dispatch. */
  kind: StopKind;
  /**
   * The stop goes with it to another unit.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId?: string;
  /**
   * Left out: all of them. A work lock always takes all.
   * @maxItems 5
   * @minItems 1
   */
  functions?: UnitFunction[];
  effect?: StopEffect;
  /**
   * What is still allowed. Several hold together: the strictest number, every flag.
   * @default {}
   */
  limits?: Limits;
  /**
   * after_drop: the load that is on may be finished, no new call.
   * @default "at_once"
   */
  effective?: StopEffective;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  reason: string;
  /**
   * A restriction ends then; of the others it is only expected to.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  until?: string;
  /** Needed for a work lock, and of somebody of dispatch for a restriction. */
  signature?: Signature;
}

export interface StopClearing {
  /**
   * @minLength 1
   * @maxLength 800
   */
  words: string;
  /**
   * Lifts another person's work lock: how a lead made sure that nobody is in it, and that its placer has gone and knows of it.
   * @minLength 1
   * @maxLength 800
   */
  procedure?: string;
  /** Needed to clear what an inspector ordered. */
  certification?: RepairCertification;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

export interface RepairCertification {
  /**
   * Which order or report.
   * @minLength 1
   * @maxLength 120
   */
  report: string;
  /**
   * What was repaired, as certified.
   * @minLength 1
   * @maxLength 800
   */
  repairs: string;
}

export interface StopExtension {
  /** Null: nobody can say. */
  until: string | null;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  words: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

export interface StopDrop {
  /**
   * @maxLength 2000
   * @default ""
   */
  words?: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature?: Signature;
}

export interface NewFinding {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId?: string;
  /**
   * Key of a service point of the pattern that the asset follows.
   * @minLength 1
   * @maxLength 80
   */
  point?: string;
  /**
   * @minLength 1
   * @maxLength 120
   */
  part?: string;
  /** unfit stops what the place serves, at once. */
  grade: FindingGrade;
  /** @maxLength 2000 */
  words: string;
  /**
   * Local day in the yard's time zone.
   * @format date
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
   * @example "2026-11-02"
   */
  mendByDay?: string;
  /**
   * By meter, in its unit.
   * @default {}
   */
  mendByUse?: Partial<Record<string, number>>;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature?: Signature;
}

export interface FindingClosing {
  how: FindingEnding;
  /**
   * @minLength 1
   * @maxLength 2000
   */
  words: string;
  /** Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is enough. It is checked on each request, repeats too, and kept nowhere. */
  signature: Signature;
}

export interface SettledReadings {
  /** @maxItems 64 */
  streams: SettledStream[];
}

export interface SettledStream {
  counter: string | null;
  epoch: number | null;
  /** Every number up to this one is settled: stored, or refused for good. */
  contiguous: number | null;
  highest: number | null;
  /** @maxItems 100 */
  missing: [number, number][];
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  accepted: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  duplicate: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  conflict: number;
  /** @maxItems 20000 */
  refused: {
    from: number | null;
    to: number | null;
    verdict:
      | "malformed"
      | "unknown_counter"
      | "unknown_epoch"
      | "too_many_readings"
      | "too_many_gaps"
      | "time_out_of_range"
      | "value_out_of_width"
      | "too_late";
    detail?: string;
  }[];
}

/** RFC 9457 problem details; `code` is from the catalogue. */
export interface Problem {
  type: string;
  title: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  status: number;
  code: string;
  detail: string;
  instance: string;
  /** @maxItems 100 */
  errors?: {
    path: string;
    reason: string;
  }[];
}

export interface TakenFrames {
  /**
   * @min 0
   * @max 9007199254740991
   */
  frames: number;
  /** Whether this was a sign of life. */
  heard: boolean;
  /**
   * Counters that count and were not heard of late: for them it is no sign of life.
   * @maxItems 64
   */
  unheard: string[];
  /** @maxItems 64000 */
  counters: FrameCounter[];
  /**
   * Parameters that could be counted from and are not declared.
   * @maxItems 1024
   */
  undeclared: {
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    spn: number;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    source: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    samples: number;
  }[];
  skipped: {
    /**
     * @min 0
     * @max 9007199254740991
     */
    remote: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    can_fd: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    standard: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    error_frame: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    other_group: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    wrong_length: number;
  };
  unreadable: {
    /**
     * @min 0
     * @max 9007199254740991
     */
    count: number;
    /** @maxItems 20 */
    first: {
      /**
       * @min -9007199254740991
       * @max 9007199254740991
       */
      line: number;
      reason: string;
    }[];
  };
}

export interface FrameCounter {
  counter: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  epoch: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  spn: number;
  /** Source address of the control unit that it listens to. */
  source: number | null;
  /**
   * Said something new.
   * @min 0
   * @max 9007199254740991
   */
  accepted: number;
  /**
   * Said the value that stood.
   * @min 0
   * @max 9007199254740991
   */
  unchanged: number;
  /**
   * Of a time that was told of before.
   * @min 0
   * @max 9007199254740991
   */
  duplicate: number;
  /**
   * Too late to be integrated; `derived` only.
   * @min 0
   * @max 9007199254740991
   */
  late: number;
  /**
   * Times over a minute after "engaged", not counted; `derived` only.
   * @min 0
   * @max 9007199254740991
   */
  unseen: number;
  skipped: {
    /**
     * @min 0
     * @max 9007199254740991
     */
    not_available: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    error: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    reserved: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    parameter_specific: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    other_source: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    ahead: number;
    /**
     * @min 0
     * @max 9007199254740991
     */
    too_early: number;
  };
  /** The value that stands, in ticks. */
  raw: number | null;
  /** Until when it is known to stand. */
  knownUntil: string | null;
}

export interface Yard {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  yardId: string;
  name: string;
  timeZone: string;
  createdAt: string;
}

export interface Unit {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  number: string;
  /** Stable id. */
  homeYardId: string | null;
  /** Stable id. */
  presentYardId: string | null;
  note: string | null;
  furnishedBy: string | null;
  createdAt: string;
}

export interface Asset {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  kind: AssetKind;
  serial: string;
  /** Stable id. */
  patternId: string | null;
  patternVersion: number | null;
  /** The unit that it is on now. */
  unitId: string | null;
  note: string | null;
  make: string | null;
  modelYear: number | null;
  tireSize: string | null;
  createdAt: string;
}

export interface Install {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  installId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** Stable id. */
  assetId: string | null;
  /** Stable id. */
  gatewayId: string | null;
  from: string;
  to: string | null;
  note: string | null;
}

export interface InstallWithHistory {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  installId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** Stable id. */
  assetId: string | null;
  /** Stable id. */
  gatewayId: string | null;
  from: string;
  to: string | null;
  note: string | null;
  /** It was said that it never was. */
  withdrawn: boolean;
  /**
   * What it said before, oldest first.
   * @maxItems 500
   */
  corrections: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    correctionId: string;
    kind: "changed" | "ended" | "moved" | "swapped" | "withdrawn";
    before: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      unitId: string;
      from: string;
      to: string | null;
      note: string | null;
    };
    after: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      unitId: string;
      from: string;
      to: string | null;
      note: string | null;
    } | null;
    reason: string;
    by: string;
    at: string;
  }[];
}

export interface SwappedInstalls {
  /** @maxItems 100 */
  installs: Install[];
}

export interface ImportReport {
  dryRun: boolean;
  /** Whether anything was written for good. */
  applied: boolean;
  faultless: boolean;
  sheets: Partial<
    Record<
      | "yards"
      | "units"
      | "assets"
      | "gateways"
      | "installs"
      | "startingValues"
      | "lastDone",
      {
        /**
         * @min -9007199254740991
         * @max 9007199254740991
         */
        rows: number;
        /**
         * @min -9007199254740991
         * @max 9007199254740991
         */
        create: number;
        /**
         * @min -9007199254740991
         * @max 9007199254740991
         */
        update: number;
        /**
         * @min -9007199254740991
         * @max 9007199254740991
         */
        unchanged: number;
        /**
         * @min -9007199254740991
         * @max 9007199254740991
         */
        faulty: number;
      }
    >
  >;
  /** @maxItems 500 */
  errors: {
    sheet:
      | "yards"
      | "units"
      | "assets"
      | "gateways"
      | "installs"
      | "startingValues"
      | "lastDone";
    /**
     * As a spreadsheet shows it; the header is row 1.
     * @min -9007199254740991
     * @max 9007199254740991
     */
    row: number;
    column: string | null;
    code:
      | "sheet_unreadable"
      | "sheet_empty"
      | "rows_too_many"
      | "column_unknown"
      | "column_twice"
      | "column_missing"
      | "cells_too_many"
      | "value_missing"
      | "value_too_long"
      | "value_invalid"
      | "number_invalid"
      | "number_ambiguous"
      | "date_invalid"
      | "time_not_once"
      | "time_zone_needed"
      | "yes_no_invalid"
      | "reference_unknown"
      | "reference_ambiguous"
      | "row_twice"
      | "differs"
      | "time_invalid"
      | "install_overlaps"
      | "either_or"
      | "meter_not_counted"
      | "start_missing"
      | "value_above_start";
    reason: string;
    value: string | null;
  }[];
  /**
   * Faults beyond the first 500.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  errorsOmitted: number;
  /** @maxItems 200 */
  changes: {
    sheet:
      | "yards"
      | "units"
      | "assets"
      | "gateways"
      | "installs"
      | "startingValues"
      | "lastDone";
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    row: number;
    column: string;
    from: string | null;
    to: string;
  }[];
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  changesOmitted: number;
  /**
   * Keys of the gateways that were made; never shown again.
   * @maxItems 5000
   */
  gatewayKeys: {
    serial: string;
    key: string;
  }[];
}

export interface ImportTemplate {
  /** @maxItems 20 */
  sheets: {
    sheet:
      | "yards"
      | "units"
      | "assets"
      | "gateways"
      | "installs"
      | "startingValues"
      | "lastDone";
    about: string;
    /** The header line and an example row. */
    csv: string;
    /** @maxItems 20 */
    columns: {
      name: string;
      required: boolean;
      example: string;
      about: string;
    }[];
  }[];
}

export interface DeletionQuestion {
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  fleetId: number;
  /** To be typed when confirming. */
  name: string;
  /** Goes into the confirmation; shown only here. */
  token: string;
  tokenUntil: string;
  /** What will be deleted: rows by table. */
  rows: Partial<Record<string, number>>;
}

export interface DeletionConfirmed {
  /**
   * RFC 3339 instant with an offset.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  confirmedAt: string;
  /**
   * The deletion begins then; every key of the fleet has ended before.
   * @format date-time
   * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
   * @example "2026-11-02T08:30:00-05:00"
   */
  beginsAt: string;
}

export interface Fleet {
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  fleetId: number;
  name: string;
  /** One person alone does the work and checks it. Lift-critical work is then checked by the one who did it, which every record says, and only while nobody else may work on lifts. */
  oneMan: boolean;
  createdAt: string;
}

export interface Gateway {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  gatewayId: string;
  serial: string;
  note: string | null;
  createdAt: string;
  lastPostAt: string | null;
  /**
   * Empty: nothing is wrong with it.
   * @maxItems 3
   */
  states: GatewayState[];
  /** Shown once, at creation. */
  key?: string | null;
}

export interface GatewayRecord {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  gatewayId: string;
  serial: string;
  note: string | null;
  createdAt: string;
}

export interface Counters {
  /** @maxItems 64 */
  counters: Counter[];
}

export interface Counter {
  counter: string;
  meter: string;
  resolution: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  widthBits: number;
  scope: string;
  controller: string | null;
  basis: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  basisVersion: number;
  /** @maxItems 1000 */
  epochs: {
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    epoch: number;
    cause: string;
    contiguous: number | null;
    highest: number | null;
  }[];
}

export interface Epoch {
  counter: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  epoch: number;
  cause: string;
}

export interface ReadingVerdicts {
  /** @maxItems 2000 */
  items: ReadingVerdict[];
  /** @maxItems 1000 */
  conflicts: {
    counter: string;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    epoch: number;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    seq: number;
    at: string;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    raw: number;
    receivedAt: string;
  }[];
}

export interface ReadingVerdict {
  counter: string;
  meter: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  ordinal: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  seq: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  lastSeq: number;
  verdict: string;
  reason: string;
  against: number | null;
  at: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  raw: number;
  needsPerson: boolean;
}

export interface OpenQuestion {
  /** `conflict`: a number came with two values; it counts for nothing until decided. `jump`: a reading that does not fit what stood before it. */
  kind: "conflict" | "jump";
  counter: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  epoch: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  seq: number;
  meter: string;
  unit: "hours" | "cycles" | "km";
  at: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  raw: number;
  /** Of a conflict: what came first. */
  first: {
    at: string;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    raw: number;
  } | null;
  /** Of a jump: the last accepted value. */
  against: number | null;
  /** Of a jump: the use if it counts. Null where it falls: that can be no use. */
  amount: number | null;
  /** Of a jump: `set_aside` while what follows is awaited, else `rebase`. */
  verdict: string | null;
}

export interface Decision {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  decisionId: string;
  counter: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  epoch: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  seq: number;
  meter: string;
  unit: "hours" | "cycles" | "km";
  subject: "conflict" | "jump";
  decision:
    | "first_stands"
    | "this_stands"
    | "neither"
    | "counts"
    | "does_not_count";
  at: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  raw: number;
  against: number | null;
  /** What then counts. */
  amount: number | null;
  name: string;
  reason: string;
  recordedBy: string;
  recordedAt: string;
}

export interface GatewayHealth {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  gatewayId: string;
  serial: string;
  /** RFC 3339, UTC. */
  asOf: string;
  unit: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    unitId: string;
    number: string;
  } | null;
  /**
   * Empty: nothing is wrong with it.
   * @maxItems 5
   */
  states: GatewayState[];
  /**
   * What is to be said of it; times are of the unit’s home yard.
   * @maxItems 400
   */
  reasons: {
    code: string;
    text: string;
  }[];
  contact: GatewayContact;
  /** @maxItems 100 */
  suspects: SwitchSuspect[];
  clock: GatewayClock;
  /** @maxItems 64 */
  counters: CounterHealth[];
}

export interface GatewayContact {
  /** `never`: no post came yet, and none had to. */
  state: "heard" | "silent" | "never";
  /** RFC 3339, UTC. */
  lastPostAt: string | null;
  /** RFC 3339, UTC. */
  silentSince: string | null;
  /** From here on it is (or will be) called silent. */
  silentFrom: string | null;
  /** Its habit: the longest gap between posts of about the last month. */
  longestGapSeconds: number;
  allowedGapSeconds: number;
}

/** A counter that stood still while the unit worked, when it was told. */
export interface SwitchSuspect {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  meter: string;
  counter: string;
  /** The meter that went on meanwhile. */
  witness: string;
  lastCountedOn: string | null;
  /**
   * Days of use since.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  days: number;
  /** In the unit of the witness. */
  witnessUse: number;
  /**
   * Counts: cycles, steps of 0.05 h, or kilometres.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  expected: number;
}

export interface GatewayClock {
  /** Device clock minus ours when it last said so; below zero is behind. */
  offsetMs: number | null;
  /**
   * Proven fast by so much now; 0: not.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  fastMs: number;
  /**
   * When it was proven fast, or right again (0); newest first.
   * @maxItems 20
   */
  facts: {
    /** RFC 3339, UTC. */
    seenAt: string;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    offsetMs: number;
  }[];
}

export interface CounterHealth {
  counter: string;
  meter: string;
  /** The last that counted. */
  lastReadingAt: string | null;
  /**
   * Readings that fit nothing and wait for a person.
   * @min 0
   * @max 9007199254740991
   */
  setAside: number;
  /**
   * Pieces of work not done yet; 1000 is that or more.
   * @min 0
   * @max 1000
   */
  waiting: number;
  /** RFC 3339, UTC. */
  waitingSince: string | null;
  /**
   * @min 0
   * @max 9007199254740991
   */
  epochsInAll: number;
  /**
   * The newest, newest last.
   * @maxItems 10
   */
  epochs: EpochHealth[];
}

export interface EpochHealth {
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  epoch: number;
  cause: string;
  /** RFC 3339, UTC. */
  openedAt: string;
  contiguous: number | null;
  highest: number | null;
  /**
   * The lowest gaps.
   * @maxItems 20
   */
  missing: [number, number][];
  /**
   * All of them.
   * @min 0
   * @max 9007199254740991
   */
  missingNumbers: number;
  /**
   * Declared lost; the lowest.
   * @maxItems 20
   */
  lost: [number, number][];
  /**
   * @min 0
   * @max 9007199254740991
   */
  lostNumbers: number;
  /**
   * Numbers sent with two values that wait for a person; 1000 is that or more.
   * @min 0
   * @max 1000
   */
  conflicts: number;
  /**
   * Refused for good; 1000 is that or more.
   * @min 0
   * @max 1000
   */
  refused: number;
}

export interface OwnStanding {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  gatewayId: string;
  serial: string;
  /** RFC 3339, UTC. */
  serverTime: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  serverTimeMs: number;
  /** RFC 3339, UTC. */
  lastPostAt: string | null;
  /** @maxItems 64 */
  counters: OwnCounter[];
}

export interface OwnCounter {
  counter: string;
  meter: string;
  resolution: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  widthBits: number;
  scope: string;
  controller: string | null;
  basis: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  basisVersion: number;
  /**
   * The one that counts now: the highest.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  epoch: number;
  /**
   * @min 0
   * @max 9007199254740991
   */
  epochsInAll: number;
  /**
   * The newest, newest last.
   * @maxItems 20
   */
  epochs: IssuedEpoch[];
}

export interface IssuedEpoch {
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  epoch: number;
  cause: string;
  /** RFC 3339, UTC. */
  issuedAt: string;
  contiguous: number | null;
  highest: number | null;
  /** @maxItems 100 */
  missing: [number, number][];
}

export interface CheckedCycles {
  meter: "lift_cycles" | "fold_cycles" | "reach_cycles" | "arm_cycles";
  basis: "switch" | "pressure" | "coil";
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  basisVersion: number;
  /** The rules as they were applied. */
  rules: Partial<Record<string, number | string>>;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  count: number;
  /** @maxItems 20000 */
  cycles: {
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    fromMs: number;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    toMs: number;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    gaps: number;
  }[];
  /** @maxItems 20000 */
  notCounted: {
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    fromMs: number;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    toMs: number;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    gaps: number;
    why: "bounce" | "not_loaded" | "too_short" | "short_stroke";
  }[];
  /** Not over at the end of the samples. */
  open: {
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    fromMs: number;
    isOut: boolean;
  } | null;
  /**
   * Times of which nothing is known.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  gaps: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  withoutValue: number;
  /**
   * Not later than the sample before; left out.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  outOfOrder: number;
}

export interface Pattern {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  patternId: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  version: number;
  name: string;
  assetKind: AssetKind;
  sha256: string;
  createdAt: string;
  document?: Record<string, unknown>;
}

export interface PatternComparison {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  patternId: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  from: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  to: number;
  /**
   * Empty: nothing is otherwise.
   * @maxItems 1000
   */
  changes: {
    part:
      | "pattern"
      | "service_point"
      | "task"
      | "wear_part"
      | "function_need"
      | "symptom_rule";
    /** Of the service point, task, wear part …; null: of the whole list. */
    key: string | null;
    what: "added" | "removed" | "changed" | "reordered";
    /** The field of the document; null: the entry as a whole. */
    field: string | null;
    /** @example "Crossbar pivot: 4 strokes -> 6 strokes" */
    words: string;
  }[];
  /**
   * How many more there are than are shown.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  moreChanges: number;
}

export interface PatternMove {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  moveId: string;
  /** Null: it followed no pattern before. */
  from: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    patternId: string;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    version: number;
  } | null;
  to: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    patternId: string;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    version: number;
  };
  movedAt: string;
  /** The key that it was done with. */
  by: string;
}

export interface AssetUsage {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  kind: AssetKind;
  serial: string;
  from: string;
  to: string;
  /**
   * What meters stood at when it was brought in; not part of the use.
   * @maxItems 40
   */
  startingValues: {
    meter: string;
    unit: "hours" | "cycles" | "km";
    value: number;
    at: string;
  }[];
  /** @maxItems 40 */
  meters: MeterUse[];
}

export interface MeterUse {
  meter: string;
  unit: "hours" | "cycles" | "km";
  /** Since counting began. */
  total: number;
  /**
   * The same in seconds, cycles or metres: exact.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  totalGrains: number;
  /** What of the total people adjusted; see entries. */
  adjusted: number;
  /**
   * Days without use are left out.
   * @maxItems 400
   */
  days: {
    day: string;
    use: number;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    grains: number;
    adjusted?: number;
  }[];
}

export interface UnitUsage {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** @maxItems 50 */
  assets: AssetUsage[];
}

export interface HandReadingGiven {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  readingId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  meter: string;
  unit: "hours" | "cycles" | "km";
  value: number;
  resolution: number;
  at: string;
  readBy: string;
  note: string | null;
  meterReplaced: boolean;
  /** False where a device counts the meter at that time: it only cross-checks. */
  counts: boolean;
  /** What the fold said of it where it is no ordinary rise, as far as folded. */
  verdict: string | null;
  /** Where a device counts; null where dials alone do. */
  check: {
    /** The first of the dial: both start there. */
    since: string;
    /** What the dial would show by all use counted and adjusted. */
    ledgerValue: number;
    /** The dial less the ledger. */
    difference: number;
    /** The last reading of the device where that is before this one: what it has not sent yet is in the difference. Null: none is missing. */
    knownUntil: string | null;
  } | null;
  recordedAt: string;
  voided: {
    by: string;
    reason: string;
    at: string;
  } | null;
  /** It was known already. */
  duplicate: boolean;
}

export interface HandReading {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  readingId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  meter: string;
  unit: "hours" | "cycles" | "km";
  value: number;
  resolution: number;
  at: string;
  readBy: string;
  note: string | null;
  meterReplaced: boolean;
  /** False where a device counts the meter at that time: it only cross-checks. */
  counts: boolean;
  /** What the fold said of it where it is no ordinary rise, as far as folded. */
  verdict: string | null;
  /** Where a device counts; null where dials alone do. */
  check: {
    /** The first of the dial: both start there. */
    since: string;
    /** What the dial would show by all use counted and adjusted. */
    ledgerValue: number;
    /** The dial less the ledger. */
    difference: number;
    /** The last reading of the device where that is before this one: what it has not sent yet is in the difference. Null: none is missing. */
    knownUntil: string | null;
  } | null;
  recordedAt: string;
  voided: {
    by: string;
    reason: string;
    at: string;
  } | null;
}

export interface UsageEntry {
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  entryId: number;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  meter: string;
  unit: "hours" | "cycles" | "km";
  /** `adjustment` moves the use; the others record how it was moved. */
  kind: "closed_day_changed" | "adjustment" | "decision";
  day: string;
  at: string | null;
  amount: number;
  /**
   * The same in seconds, cycles or metres: exact.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  grains: number;
  reason: string;
  name: string | null;
  /** Stable id. */
  handReadingId: string | null;
  /** The entry that this one takes back. */
  withdraws: number | null;
  /** The entry that takes this one back. */
  withdrawnBy: number | null;
  recordedBy: string | null;
  recordedAt: string;
}

export interface MeterSourceChoice {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  choiceId: string;
  meter: string;
  source: MeterSourceName;
  from: string;
  to: string | null;
  name: string | null;
  reason: string;
  recordedBy: string;
  recordedAt: string;
  withdrawn: {
    name: string | null;
    reason: string;
    at: string;
  } | null;
}

export interface MeterSourceName {
  /** What people read off the dial. */
  byHand: boolean;
  controller: string | null;
  /** @maxItems 20 */
  counters: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    gatewayId: string;
    counter: string;
  }[];
}

export interface MeterSources {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  from: string;
  to: string;
  /**
   * What counts when; the others only cross-check.
   * @maxItems 1000
   */
  counting: {
    meter: string;
    unit: "hours" | "cycles" | "km";
    source: MeterSourceName;
    by: "rule" | "choice";
    /** Stable id. */
    choiceId: string | null;
    from: string;
    to: string | null;
    /** @maxItems 200 */
    others: {
      source: MeterSourceName;
      from: string;
      to: string;
      /** Null: too many to work out at once. */
      use: number | null;
      /** Of what counts, in the same time. */
      countedUse: number | null;
      /** The first less the second. */
      difference: number | null;
    }[];
  }[];
  /**
   * Newest first. Where they overlap the later holds.
   * @maxItems 200
   */
  choices: MeterSourceChoice[];
}

export interface UnitTasks {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** @maxItems 2000 */
  tasks: UpkeepTask[];
}

export interface UpkeepTask {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  task: string;
  name: string;
  status: TaskStatus;
  /** What the known use alone says. */
  knownStatus: TaskStatus;
  driver: string | null;
  opens: Milestone;
  full: Milestone;
  limit: Milestone;
  overrunSince: string | null;
  effect: {
    effect: "none" | "warn" | "limited" | "no";
    /** @maxItems 10 */
    functions: string[];
  } | null;
  /** @maxItems 10 */
  measures: TaskMeasure[];
  /** @maxItems 10 */
  unknownBecause: string[];
  forecast: {
    /** How the days to come were reckoned. */
    method: string;
    /** @maxItems 10 */
    partial: string[];
  };
  deferral: {
    state: string;
    approver: string;
    restriction: string | null;
    endedOn: string | null;
    reason: string | null;
  } | null;
  /** What called it due now; it stays so until it is done after that. */
  called: {
    day: string;
    cause: string;
    what: string | null;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    calls: number;
  } | null;
  /** @maxItems 20 */
  reasons: string[];
  /**
   * Of the task and of its service points. Show them with the work.
   * @maxItems 60
   */
  cautions: string[];
  assessedAt: string;
}

export interface Milestone {
  day: string | null;
  past: boolean;
  /** The meter, `calendar`, `deferral`, or `call`. */
  by: string | null;
  /** Why there is no day. */
  noDay: string | null;
}

export interface TaskMeasure {
  measure: string;
  unit: "hours" | "cycles" | "km" | "days";
  /** Since it was last done, severity included. */
  used: number;
  /** At most, when nobody hears from the meter. */
  most: number;
  known: "calendar" | "known" | "stale" | "none";
  silentSince: string | null;
  opens: {
    at: number;
    left: number;
    day: string | null;
    past: boolean;
  };
  full: {
    at: number;
    left: number;
    day: string | null;
    past: boolean;
  };
  limit: {
    at: number;
    left: number;
    day: string | null;
    past: boolean;
  };
  noDay: string | null;
}

export interface Done {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  doneId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  task: string;
  at: string;
  estimated: boolean;
  note: string | null;
  /** The job card that it was done on. */
  cardId: string | null;
  recordedAt: string;
  voided: {
    reason: string;
    at: string;
  } | null;
}

export interface Severity {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  severityId: string;
  kind: string;
  /** Stable id. */
  yardId: string | null;
  /** Stable id. */
  unitId: string | null;
  fromDay: string;
  toDay: string | null;
  season: {
    from: string;
    to: string;
  } | null;
}

export interface TaskCall {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  callId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  task: string;
  at: string;
  cause: {
    kind: "symptom" | "incident" | "walk_round" | "intake" | "person";
    /** Stable id. */
    id: string | null;
  };
  /** The word that stands for the cause. */
  what: string | null;
  words: string | null;
  /** It was done since. */
  answered: boolean;
  withdrawn: {
    reason: string;
    at: string;
  } | null;
}

export interface Visit {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  visitId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  yardId: string;
  bay: string;
  from: string;
  to: string;
  canSpareFrom: string | null;
  backBy: string | null;
  agreedBy: string | null;
  note: string | null;
  createdAt: string;
  cancelled: {
    reason: string;
    at: string;
  } | null;
}

export interface WholeJobCard {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  cardId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  kind: JobCardKind;
  state: JobCardState;
  /** @maxItems 40 */
  reasons: string[];
  /** @maxItems 500 */
  tasks: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    assetId: string;
    task: string;
    name: string;
    /** @maxItems 40 */
    why: string[];
  }[];
  cause: {
    kind: string;
    id: string;
  } | null;
  /** Stable id. */
  visitId: string | null;
  /** Stable id. */
  follows: string | null;
  writtenUpAt: string;
  writtenUpBy: string;
  begunAt: string | null;
  /** What was answered when hands were last taken off. */
  togetherAndSafe: boolean | null;
  /** Why what has no result was not done. */
  restNotDone: string | null;
  workEndedAt: string | null;
  /** Stable id. */
  endedByFinding: string | null;
  closedAt: string | null;
  /** SHA-256 over the whole card as it was signed off, in hex. */
  seal: string | null;
  /** Whether what is stored still gives the seal. */
  sealHolds: boolean | null;
  /** @maxItems 500 */
  steps: JobCardStep[];
  /**
   * What must be there before it can be signed off.
   * @maxItems 1000
   */
  lacking: {
    code: "no_result" | "needs_check" | "needs_countersign";
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    stepId: string;
  }[];
  /** @maxItems 10000 */
  signatures: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    signatureId: string;
    act:
      | "begin"
      | "leave"
      | "set_down"
      | "end_work"
      | "send_back"
      | "check"
      | "self_check"
      | "countersign"
      | "sign_off"
      | "withdraw";
    /** Stable id. */
    stepId: string | null;
    by: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      personId: string;
      name: string;
    };
    via: "pin" | "sign_in";
    togetherAndSafe: boolean | null;
    words: string | null;
    at: string;
    recordedAt: string;
  }[];
  /** @maxItems 10000 */
  corrections: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    correctionId: string;
    /** Stable id. */
    stepId: string | null;
    /** Stable id. */
    clientId: string | null;
    decision: "counts" | "does_not_count" | null;
    words: string;
    /** @maxItems 500 */
    tasks: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      assetId: string;
      task: string;
    }[];
    by: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      personId: string;
      name: string;
    };
    recordedAt: string;
  }[];
}

export interface JobCardStep {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  stepId: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  stepNo: number;
  work:
    | "first_look"
    | "look"
    | "clean"
    | "look_again"
    | "measure"
    | "mend"
    | "fasten"
    | "grease"
    | "fill"
    | "replace"
    | "test"
    | "function_test"
    | "look_last"
    | "wipe_and_look"
    | "move";
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  assetKind: string;
  pointKey: string | null;
  /** @maxItems 200 */
  tasks: string[];
  /** What it mends. */
  findingId: string | null;
  title: string;
  side: string | null;
  place: string | null;
  /**
   * Of a step over a whole asset: the places that it takes in.
   * @maxItems 500
   */
  points: {
    key: string;
    name: string;
    side: string;
    place: string;
  }[];
  /** An axis that is left out does not matter. */
  position: LiftPosition;
  move: {
    /** An axis that is left out does not matter. */
    from: LiftPosition;
    /** An axis that is left out does not matter. */
    to: LiftPosition;
    blocksOut: boolean;
    blocksIn: boolean;
  } | null;
  /** @maxItems 20 */
  how: string[];
  tool: string | null;
  fits: string | null;
  torque: {
    nm: number;
    thread: string;
  } | null;
  fastener: {
    head: string;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    count: number;
    nut: boolean;
    cleanRecess: boolean;
    order: string;
    threadLocker?: string;
  } | null;
  lubricant: string | null;
  lubricantCode: string | null;
  quantity: {
    amount: number;
    unit: string;
  } | null;
  /** @maxItems 20 */
  limits: {
    key: string;
    name: string;
    unit: string;
    least: number | null;
    most: number | null;
  }[];
  /**
   * Wear parts that are measured here.
   * @maxItems 200
   */
  wearParts: {
    key: string;
    name: string;
    unit: string;
    nominal: number | null;
    limit: number | null;
  }[];
  /**
   * What was read there before, of the place and of each wear part.
   * @maxItems 500
   */
  lastReadings: {
    part: string | null;
    value: number | null;
    unit: string | null;
    gauge: string | null;
    at: string;
  }[];
  gloves: "wear" | "never" | null;
  /**
   * What one tap can say of it.
   * @maxItems 60
   */
  taps: string[];
  doneWhen: string | null;
  usualMistake: string | null;
  oftenMissed: boolean;
  liftCritical: boolean;
  endsCardIfUnfit: boolean;
  /** The lift moves: one named person stands at the controls. */
  needsControls: boolean;
  /**
   * Show them with the work.
   * @maxItems 60
   */
  cautions: string[];
  result: "done" | "not_done" | "not_right" | null;
  /** Two people say otherwise and neither put the other right. */
  disputed: boolean;
  doneAt: string | null;
  needsCheck: boolean;
  /** `self_check`: declared by the doer, in a one-man fleet. */
  checked: "check" | "self_check" | null;
  needsCountersign: boolean;
  countersigned: boolean;
  /** @maxItems 10000 */
  said: StepSaid[];
}

/** An axis that is left out does not matter. */
export interface LiftPosition {
  fold?: string;
  reach?: string;
  height?: string;
  arms?: string;
  crossbar?: string;
  blocked?: boolean;
}

export interface StepSaid {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  clientId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  stepId: string;
  result: "done" | "not_done" | "not_right";
  tap: string | null;
  reason: string | null;
  words: string | null;
  measurement: Record<string, unknown> | null;
  /** Stable id. */
  findingId: string | null;
  /** As it counts. */
  at: string;
  /** As the phone said. */
  saidAt: string;
  receivedAt: string;
  by: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    personId: string;
    name: string;
  };
  trainee: boolean;
  /** Stable id. */
  atControls: string | null;
  /** @maxItems 20 */
  replaces: string[];
  /** It came when the card was closed. */
  late: boolean;
  review: "waits" | "counts" | "does_not_count" | null;
}

export interface JobCard {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  cardId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  kind: JobCardKind;
  state: JobCardState;
  /** @maxItems 40 */
  reasons: string[];
  /** @maxItems 500 */
  tasks: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    assetId: string;
    task: string;
    name: string;
    /** @maxItems 40 */
    why: string[];
  }[];
  cause: {
    kind: string;
    id: string;
  } | null;
  /** Stable id. */
  visitId: string | null;
  /** Stable id. */
  follows: string | null;
  writtenUpAt: string;
  writtenUpBy: string;
  begunAt: string | null;
  /** What was answered when hands were last taken off. */
  togetherAndSafe: boolean | null;
  /** Why what has no result was not done. */
  restNotDone: string | null;
  workEndedAt: string | null;
  /** Stable id. */
  endedByFinding: string | null;
  closedAt: string | null;
  /** SHA-256 over the whole card as it was signed off, in hex. */
  seal: string | null;
}

export interface WholeSymptom {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  symptomId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** Stable id. */
  assetId: string | null;
  symptom: SymptomWord;
  means: string;
  words: string;
  loadOnHook: boolean;
  /**
   * How often it was told while open.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  reports: number;
  /** told, on_card, or over: mended, or unnecessary because nothing was wrong. */
  state: TroubleState;
  /** What came of it, in words for the driver. */
  outcome: string;
  /** Stable id. */
  cardId: string | null;
  /** The mended one that it is again. */
  cameBackOf: string | null;
  noticedAt: string;
  toldAt: string;
  lastToldAt: string;
  closed: {
    how: "mended" | "unnecessary";
    words: string;
    by: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      personId: string;
      name: string;
    };
    at: string;
  } | null;
  /** That the shop knows. */
  said: string;
  doNow: DriverAdvice | null;
  /**
   * In the order in which to ask for them.
   * @maxItems 20
   */
  likelyCauses: {
    words: string;
    /** @maxItems 50 */
    points: {
      point: string;
      name: string;
      side: string;
      place: string;
    }[];
  }[];
  /** @maxItems 100 */
  stops: TroubleStop[];
  /**
   * Tasks that are due for it.
   * @maxItems 200
   */
  calledDue: string[];
  /** @maxItems 50 */
  told: {
    words: string;
    loadOnHook: boolean;
    noticedAt: string;
    toldAt: string;
    by: {
      /** Stable id. */
      personId: string | null;
      name: string;
    };
  }[];
  /** Stable id. */
  cameBackAs: string | null;
}

/** What the driver does now. */
export interface DriverAdvice {
  act: "stop_at_once" | "finish_the_drop" | "no_new_call" | "go_on";
  words: string;
  /**
   * Show them with the words.
   * @maxItems 10
   */
  cautions: string[];
}

export interface TroubleStop {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  stopId: string;
  /** @maxItems 10 */
  functions: string[];
  /** `waits_for_drop` until the load is off. */
  state: string;
  reason: string;
}

export interface Symptom {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  symptomId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** Stable id. */
  assetId: string | null;
  symptom: SymptomWord;
  means: string;
  words: string;
  loadOnHook: boolean;
  /**
   * How often it was told while open.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  reports: number;
  /** told, on_card, or over: mended, or unnecessary because nothing was wrong. */
  state: TroubleState;
  /** What came of it, in words for the driver. */
  outcome: string;
  /** Stable id. */
  cardId: string | null;
  /** The mended one that it is again. */
  cameBackOf: string | null;
  noticedAt: string;
  toldAt: string;
  lastToldAt: string;
  closed: {
    how: "mended" | "unnecessary";
    words: string;
    by: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      personId: string;
      name: string;
    };
    at: string;
  } | null;
}

export interface WholeIncident {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  incidentId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  kind: IncidentKind;
  means: string;
  words: string;
  loadOnHook: boolean;
  happenedAt: string;
  toldAt: string;
  by: {
    /** Stable id. */
    personId: string | null;
    name: string;
  };
  /** told, on_card, or over: mended, or unnecessary because nothing was wrong. */
  state: TroubleState;
  outcome: string;
  /** Stable id. */
  cardId: string | null;
  closed: {
    how: "mended" | "unnecessary";
    words: string;
    by: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      personId: string;
      name: string;
    };
    at: string;
  } | null;
  doNow: DriverAdvice | null;
  /** @maxItems 100 */
  stops: TroubleStop[];
  /**
   * What the full inspection still lacks.
   * @maxItems 1000
   */
  calledDue: string[];
}

export interface Incident {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  incidentId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  kind: IncidentKind;
  means: string;
  words: string;
  loadOnHook: boolean;
  happenedAt: string;
  toldAt: string;
  by: {
    /** Stable id. */
    personId: string | null;
    name: string;
  };
  /** told, on_card, or over: mended, or unnecessary because nothing was wrong. */
  state: TroubleState;
  outcome: string;
  /** Stable id. */
  cardId: string | null;
  closed: {
    how: "mended" | "unnecessary";
    words: string;
    by: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      personId: string;
      name: string;
    };
    at: string;
  } | null;
}

export interface WalkItemList {
  /** @maxItems 23 */
  items: {
    item: WalkItem;
    words: string;
    /** Where it comes from; maker and law come first. */
    source: string;
  }[];
}

export interface WalkRound {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  walkRoundId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  shift: "before" | "after";
  walkedAt: string;
  by: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    personId: string;
    name: string;
  };
  via: "pin" | "sign_in";
  recordedAt: string;
  /** @maxItems 23 */
  defects: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    defectId: string;
    item: WalkItem;
    means: string;
    words: string;
    affectsSafety: boolean;
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    findingId: string;
    /**
     * How often it was told while open.
     * @min -9007199254740991
     * @max 9007199254740991
     */
    reports: number;
    certified: {
      how: "repaired" | "unnecessary";
      words: string;
      by: {
        /**
         * Stable id.
         * @format uuid
         * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
         */
        personId: string;
        name: string;
      };
      at: string;
      /** Stable id. */
      cardId: string | null;
    } | null;
  }[];
  /** First each defect is certified, then the next driver reviews; null: for nothing. */
  waitsFor: "certification" | "review" | null;
  reviewed: {
    by: {
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      personId: string;
      name: string;
    };
    at: string;
  } | null;
}

export interface Measurement {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  measurementId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  point: string;
  part: string | null;
  /** The part that was in that place then. */
  lifeId: string | null;
  at: string;
  value: number | null;
  unit:
    | "mm"
    | "in"
    | "nm"
    | "turns"
    | "percent"
    | "bar"
    | "celsius"
    | "seconds"
    | null;
  error: number | null;
  gauge: "go" | "near" | "no_go" | null;
  tool: string | null;
  wiped: boolean | null;
  temperatureC: number | null;
  note: string | null;
  verdict: "sound" | "near_limit" | "beyond_limit" | "not_judged";
  /** Which rule said so. */
  rule: string;
  heldAgainst: {
    unit:
      | "mm"
      | "in"
      | "nm"
      | "turns"
      | "percent"
      | "bar"
      | "celsius"
      | "seconds";
    nominal: number | null;
    near: number | null;
    limit: number | null;
    /** Which limit of the place. */
    key: string | null;
    least: number | null;
    most: number | null;
  } | null;
  /**
   * What the meters stood at then, as it was known when this was recorded.
   * @maxItems 20
   */
  useThen: UseThen[];
  /** questioned: the part seems to have grown back, and a person must say. */
  state: "counts" | "questioned" | "confirmed" | "withdrawn";
  /** Stable id. */
  questionedAgainst: string | null;
  /** @maxItems 2 */
  decisions: {
    decision: "confirmed" | "withdrawn";
    by: string;
    reason: string;
    at: string;
  }[];
  /** Stable id. */
  findingId: string | null;
  /** Stable id. */
  stepId: string | null;
  /** Stable id. */
  personId: string | null;
  measuredBy: string;
  recordedAt: string;
}

export interface UseThen {
  meter: string;
  unit: "hours" | "cycles" | "km";
  value: number;
}

export interface TakeUp {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  takeUpId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  point: string;
  part: string | null;
  at: string;
  turns: number;
  gapBefore: number | null;
  gapAfter: number | null;
  unit: "mm" | "in" | null;
  error: number | null;
  /** @maxItems 20 */
  useThen: UseThen[];
  note: string | null;
  /** Stable id. */
  personId: string | null;
  doneBy: string;
  recordedAt: string;
  voided: {
    by: string;
    reason: string;
    at: string;
  } | null;
}

export interface RemovalCheck {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  checkId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  point: string;
  at: string;
  subject: "rope" | "fibre_rope" | "chain" | "hook" | "sling" | "hose";
  /** What was seen; diameters and the like in ten-thousandths. */
  look: Record<string, unknown>;
  decision: "keep" | "keep_watch" | "competent_person" | "remove";
  /**
   * Every rule that spoke, the strictest first.
   * @maxItems 40
   */
  fired: {
    rule: string;
    decision: "keep" | "keep_watch" | "competent_person" | "remove";
    benchmark: string;
    words: string;
  }[];
  cutOffMayCure: boolean;
  caution: string;
  /** @maxItems 20 */
  useThen: UseThen[];
  /** Stable id. */
  findingId: string | null;
  /** Stable id. */
  stepId: string | null;
  note: string | null;
  /** Stable id. */
  personId: string | null;
  checkedBy: string;
  recordedAt: string;
  voided: {
    by: string;
    reason: string;
    at: string;
  } | null;
}

export interface PartLife {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  lifeId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  part: string;
  point: string;
  /** Stable id. */
  setId: string | null;
  state: "fitted" | "removed" | "voided";
  fittedAt: string;
  priorLife: "new" | "known" | "estimated" | "unknown";
  /** @maxItems 20 */
  priorUse: UseThen[];
  /** The life that it had elsewhere before. */
  continues: string | null;
  makerNumber: string | null;
  supplier: string | null;
  lot: string | null;
  removed: {
    at: string;
    why: "worn" | "broken" | "precaution" | "recalled" | "moved";
    /** Stable id. */
    movedTo: string | null;
  } | null;
  /**
   * Use until now, or until it was removed, looked up.
   * @maxItems 20
   */
  use: {
    meter: string;
    unit: "hours" | "cycles" | "km";
    value: number;
    known: "known" | "estimated" | "at_least";
  }[];
  warranty: {
    state: "none" | "runs" | "ended" | "unknown";
    /** What ended it: day, or a meter. */
    by: string | null;
    untilDay: string | null;
    /** @maxItems 20 */
    untilUse: UseThen[];
  };
  recordedAt: string;
}

export interface PartLifeWithEntries {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  lifeId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  part: string;
  point: string;
  /** Stable id. */
  setId: string | null;
  state: "fitted" | "removed" | "voided";
  fittedAt: string;
  priorLife: "new" | "known" | "estimated" | "unknown";
  /** @maxItems 20 */
  priorUse: UseThen[];
  /** The life that it had elsewhere before. */
  continues: string | null;
  makerNumber: string | null;
  supplier: string | null;
  lot: string | null;
  removed: {
    at: string;
    why: "worn" | "broken" | "precaution" | "recalled" | "moved";
    /** Stable id. */
    movedTo: string | null;
  } | null;
  /**
   * Use until now, or until it was removed, looked up.
   * @maxItems 20
   */
  use: {
    meter: string;
    unit: "hours" | "cycles" | "km";
    value: number;
    known: "known" | "estimated" | "at_least";
  }[];
  warranty: {
    state: "none" | "runs" | "ended" | "unknown";
    /** What ended it: day, or a meter. */
    by: string | null;
    untilDay: string | null;
    /** @maxItems 20 */
    untilUse: UseThen[];
  };
  recordedAt: string;
  /**
   * All that was ever said of it; the last one holds.
   * @maxItems 1000
   */
  entries: {
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    entryNo: number;
    kind: "fitted" | "removed" | "corrected" | "voided";
    fittedAt: string;
    priorLife: "new" | "known" | "estimated" | "unknown";
    /** @maxItems 20 */
    priorUse: UseThen[];
    /** The life that it had elsewhere before. */
    continues: string | null;
    makerNumber: string | null;
    supplier: string | null;
    lot: string | null;
    removed: {
      at: string;
      why: "worn" | "broken" | "precaution" | "recalled" | "moved";
      /** Stable id. */
      movedTo: string | null;
    } | null;
    warrantyUntilDay: string | null;
    /** @maxItems 20 */
    warrantyUntilUse: UseThen[];
    words: string | null;
    /** Stable id. */
    personId: string | null;
    by: string;
    recordedAt: string;
  }[];
}

export interface PartLives {
  /** @maxItems 20 */
  lives: PartLife[];
}

export interface MovedPart {
  from: PartLife;
  to: PartLife;
}

export interface RecordHead {
  /** Up to which event it is told; ask for it again by this. */
  asKnown: AsKnown;
  unit: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    unitId: string;
    number: string;
    furnishedBy: string | null;
    note: string | null;
    homeYard: string | null;
    timeZone: string;
  } | null;
  /**
   * What was on it then.
   * @maxItems 100
   */
  assets: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    assetId: string;
    kind: AssetKind;
    serial: string;
    make: string | null;
    modelYear: number | null;
    tireSize: string | null;
    /** Stable id. */
    patternId: string | null;
    patternVersion: number | null;
  }[];
  /**
   * Nature and due date of the upkeep.
   * @maxItems 1000
   */
  upkeep: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    assetId: string;
    task: string;
    nature: string;
    statutory: boolean;
    lastDone: {
      at: string;
      estimated: boolean;
    } | null;
    /** By the calendar alone, from when it was last done; use may come first. */
    dueBy: string | null;
    /** @maxItems 20 */
    dueAfterUse: {
      meter: string;
      unit: "hours" | "cycles" | "km";
      value: number;
    }[];
    /** As it was last told. */
    status: string | null;
    statusSince: string | null;
  }[];
  /** @maxItems 1000 */
  control: {
    fromDay: string;
    endedDay: string | null;
    forThirtyDays: boolean;
  }[];
  /**
   * Orders that stand: nothing is purged.
   * @maxItems 1000
   */
  preservation: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    orderId: string;
    /** Stable id. */
    unitId: string | null;
    reason: string;
    reference: string | null;
    placedBy: string;
  }[];
  /** @maxItems 20 */
  retention: {
    kind:
      | "upkeep"
      | "walk_round"
      | "officer_report"
      | "yearly_inspection"
      | "inspector"
      | "wear"
      | "other";
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    rows: number;
    newestDay: string | null;
    /** The last day on which the newest of them must be kept; null: no rule asks. */
    keepThrough: string | null;
    /** The unit has not left control yet, or an order holds it. */
    mayBeLonger: boolean;
    preserved: boolean;
    source: string;
    words: string;
  }[];
  /**
   * How many entries each has; see `…/record/sections/{section}`.
   * @maxItems 20
   */
  sections: {
    section: RecordSection;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    entries: number;
  }[];
}

/** Up to which event it is told; ask for it again by this. */
export interface AsKnown {
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  event: number;
  recordedAt: string | null;
}

export interface RecordPage {
  /** Up to which event it is told; ask for it again by this. */
  asKnown: AsKnown;
  /** @maxItems 500 */
  items: RecordEntry[];
  /**
   * From `next` of the page before.
   * @maxLength 2000
   */
  next?: string;
}

export interface RecordEntry {
  section: RecordSection;
  kind: string;
  id: string;
  at: string | null;
  /** Its nature, in words. */
  words: string;
  by: string | null;
  /** Up to which event it is told; ask for it again by this. */
  knownSince: AsKnown;
  /** Up to which event it is told; ask for it again by this. */
  lastChanged: AsKnown;
  /** The row as it stood; sizes in thousandths, use in grains. */
  data: Record<string, unknown>;
  /**
   * What belongs to it (steps, signatures, acts), shaped like the entry itself.
   * @maxItems 100000
   */
  parts: Record<string, unknown>[];
}

export interface ControlPeriod {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  periodId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  fromDay: string;
  endedDay: string | null;
  endReason: string | null;
  note: string | null;
  recordedAt: string;
  voided: {
    by: string;
    reason: string;
    at: string;
  } | null;
}

export interface PreservationOrder {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  orderId: string;
  /** Stable id. */
  unitId: string | null;
  reason: string;
  reference: string | null;
  placedAt: string;
  placedBy: string;
  lifted: {
    at: string;
    by: string;
    reason: string;
  } | null;
}

/** Nothing is purged by itself: this only says what must be kept until when. */
export interface UnitRetention {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  number: string;
  controlEnded: string | null;
  preserved: boolean;
  /** @maxItems 20 */
  kinds: {
    kind:
      | "upkeep"
      | "walk_round"
      | "officer_report"
      | "yearly_inspection"
      | "inspector"
      | "wear"
      | "other";
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    rows: number;
    newestDay: string | null;
    /** The last day on which the newest of them must be kept; null: no rule asks. */
    keepThrough: string | null;
    /** The unit has not left control yet, or an order holds it. */
    mayBeLonger: boolean;
    preserved: boolean;
    source: string;
    words: string;
  }[];
}

export interface StepsTold {
  state: JobCardState;
  /**
   * One a command, in the order of the post.
   * @maxItems 100
   */
  verdicts: {
    clientId: string | null;
    verdict: "taken" | "duplicate" | "conflict" | "kept_for_review" | "refused";
    detail: string | null;
    /** @maxItems 100 */
    errors: {
      path: string;
      reason: string;
    }[];
    /** Stable id. */
    findingId: string | null;
    /** The stop that the finding has set. */
    stopId: string | null;
  }[];
}

export interface LateStepCommand {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  clientId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  stepId: string;
  result: "done" | "not_done" | "not_right";
  tap: string | null;
  reason: string | null;
  words: string | null;
  measurement: Record<string, unknown> | null;
  /** Stable id. */
  findingId: string | null;
  /** As it counts. */
  at: string;
  /** As the phone said. */
  saidAt: string;
  receivedAt: string;
  by: {
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    personId: string;
    name: string;
  };
  trainee: boolean;
  /** Stable id. */
  atControls: string | null;
  /** @maxItems 20 */
  replaces: string[];
  /** It came when the card was closed. */
  late: boolean;
  review: "waits" | "counts" | "does_not_count" | null;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  cardId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
}

export interface BringInList {
  /** @maxItems 500 */
  items: BringInUnit[];
  /**
   * From `next` of the page before.
   * @maxLength 2000
   */
  next?: string;
}

export interface BringInUnit {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  number: string;
  /** Stable id. */
  yardId: string | null;
  yardName: string | null;
  status: TaskStatus;
  /**
   * 1 is the most pressing.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  rank: number;
  /** By status: overrun since; in_window and unknown: the last day inside, as far as is known; ahead: the day it opens. Null when there is none. */
  pressOn: string | null;
  /** @maxItems 20 */
  reasons: {
    /** Null: the unit's own reason. */
    assetId: string | null;
    task: string | null;
    status: TaskStatus;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    rank: number;
    text: string;
  }[];
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  moreReasons: number;
  /** The visit that it is on, or its next one. */
  visit: NextVisit | null;
  assessedAt: string;
}

export interface NextVisit {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  visitId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  yardId: string;
  bay: string;
  from: string;
  to: string;
  canSpareFrom: string | null;
  backBy: string | null;
  agreed: boolean;
}

export interface Person {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  personId: string;
  name: string;
  /** Null: signs nothing yet. */
  pinSetAt: string | null;
  leftAt: string | null;
  createdAt: string;
}

export interface PersonNow {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  personId: string;
  name: string;
  /** Null: signs nothing yet. */
  pinSetAt: string | null;
  leftAt: string | null;
  createdAt: string;
  /**
   * What holds at this moment.
   * @maxItems 6
   */
  mayNow: {
    /** lift_work: do steps. lift_check: check lift-critical work of others. lead: sign off, clear defect stops, approve deferrals, give competences. dispatch: restrictions. driving: drive, walk round. yearly_inspection: where the law asks who may. */
    competence: Competence;
    /**
     * Stable id.
     * @format uuid
     * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
     */
    competenceId: string;
    /**
     * Supervised passes until the work needs no countersign; 0: none is needed.
     * @min -9007199254740991
     * @max 9007199254740991
     */
    passesLeft: number;
  }[];
}

export interface BegunSignIn {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  signInId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  personId: string;
  /**
   * The key that it goes with.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  keyId: string;
  beganAt: string;
  endsAt: string;
  /** Shown this once; `signIn` of a signature. */
  token: string;
}

export interface SignIn {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  signInId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  personId: string;
  /**
   * The key that it goes with.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  keyId: string;
  beganAt: string;
  endsAt: string;
}

export interface EndedSignIn {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  signInId: string;
}

export interface HeldCompetence {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  competenceId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  personId: string;
  /** lift_work: do steps. lift_check: check lift-critical work of others. lead: sign off, clear defect stops, approve deferrals, give competences. dispatch: restrictions. driving: drive, walk round. yearly_inspection: where the law asks who may. */
  competence: Competence;
  from: string;
  to: string | null;
  evidence: string;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  passesNeeded: number;
  /** The lead who signed; null: a key did. */
  givenByPersonId: string | null;
  givenAt: string;
  ended: {
    reason: string;
    at: string;
  } | null;
}

export interface SupervisedPass {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  passId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  competenceId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  supervisedByPersonId: string;
  /** What it was, such as `job_card/<id>`. */
  cause: string;
  at: string;
}

export interface Events {
  /** @maxItems 500 */
  items: Event[];
  /**
   * Highest number that the history has now.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  last: number;
}

export interface Event {
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  number: number;
  type: string;
  subject: string;
  data: Record<string, unknown>;
  personal: Record<string, unknown> | null;
  personalDigest: string | null;
  occurredAt: string;
  recordedAt: string;
  /** Hex SHA-256; covers the hash of the event before. */
  hash: string;
}

export interface GraphAnswer {
  data?: Record<string, unknown> | null;
  /** @maxItems 100 */
  errors?: {
    message: string;
    /** @maxItems 100 */
    locations?: {
      /**
       * @min -9007199254740991
       * @max 9007199254740991
       */
      line: number;
      /**
       * @min -9007199254740991
       * @max 9007199254740991
       */
      column: number;
    }[];
    /** @maxItems 100 */
    path?: (string | number)[];
    extensions: {
      /** From the catalogue, see /docs/problems. */
      code: string;
      requestId: string;
      place?: string;
      /**
       * @min -9007199254740991
       * @max 9007199254740991
       */
      retryAfterSeconds?: number;
    };
  }[];
  extensions?: {
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    cost: number;
    /**
     * @min -9007199254740991
     * @max 9007199254740991
     */
    costLimit: number;
  };
}

export interface Key {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  keyId: string;
  prefix: string;
  role: string;
  name: string;
  /** Shown once, in the first answer only. */
  key: string | null;
}

export interface ListedKey {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  keyId: string;
  /** How the key begins. */
  prefix: string;
  role:
    | "gateway"
    | "dispatcher"
    | "technician"
    | "lead"
    | "parts"
    | "auditor"
    | "integrator"
    | "admin";
  name: string;
  /** Stable id. */
  gatewayId: string | null;
  createdAt: string;
  /** To about ten minutes. */
  lastUsedAt: string | null;
  revokedAt: string | null;
}

export interface RevokedKey {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  keyId: string;
}

export interface Health {
  status: "ok";
  version: string;
}

export interface UnitReadiness {
  /**
   * It knows of everything up to this event, and of what came since as far as it has.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  event: number;
  at: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  number: string;
  /** Where it is, as far as is known. */
  yardId: string | null;
  yardName: string | null;
  /** When its gateway was last heard. */
  heardAt: string | null;
  /** @maxItems 5 */
  functions: FunctionReadiness[];
}

export interface FunctionReadiness {
  /** What a unit can be sent to do. */
  function: UnitFunction;
  answer: ReadinessAnswer;
  /** Of all its reasons together. */
  limits: ShownLimits;
  limitsText: string;
  /** When all that decides is expected to be over; null: nobody has said. */
  until: string | null;
  /** @maxItems 500 */
  reasons: ReadinessReason[];
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  moreReasons: number;
  /**
   * To be known; they take nothing away.
   * @maxItems 500
   */
  notes: ReadinessReason[];
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  moreNotes: number;
}

export interface ShownLimits {
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  loadKg?: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  distanceKm?: number;
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  speedKmh?: number;
  toShopOnly?: true;
  secondPerson?: true;
  daylightOnly?: true;
  presentLoadOnly?: true;
  /** @maxItems 1000 */
  words?: string[];
}

export interface ReadinessReason {
  what:
    | "stop"
    | "finding"
    | "task"
    | "deferral"
    | "not_assessed"
    | "not_fitted"
    | "notice";
  /** Of the stop or finding; of a task 'assetId key'. */
  id: string;
  /** Of a stop: whose it is. */
  kind: "work_lock" | "defect" | "officer" | "restriction" | null;
  effect: "note" | "limited" | "unknown" | "no";
  text: string;
  /** It is of that function, on which this one rests. */
  through: UnitFunction | null;
  since: string | null;
  /** Null: nobody has said. */
  until: string | null;
  whoCanClear: string;
  /** Up to when what it rests on is known. */
  knownAt: string;
  /**
   * Seconds since then.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  ageOfData: number;
}

export interface ReadinessPage {
  /**
   * It knows of everything up to this event, and of what came since as far as it has.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  event: number;
  at: string;
  /** @maxItems 500 */
  items: ReadinessOfUnit[];
  /**
   * From `next` of the page before.
   * @maxLength 2000
   */
  next?: string;
}

export interface ReadinessOfUnit {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  number: string;
  /** Where it is, as far as is known. */
  yardId: string | null;
  yardName: string | null;
  /** When its gateway was last heard. */
  heardAt: string | null;
  /** @maxItems 5 */
  functions: FunctionReadiness[];
}

export interface LoggedAssignment {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assignmentId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** @maxItems 5 */
  functions: UnitFunction[];
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  reliedOn: number;
  /**
   * The last event when it was logged.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  lastEvent: number;
  /** What readiness said when it was logged. */
  answers: Partial<Record<UnitFunction, ReadinessAnswer>>;
  /** Something was told of the unit after the event that it relied on. */
  changed: boolean;
  reference: string | null;
  note: string | null;
  override: string | null;
  by: {
    /** Stable id. */
    personId: string | null;
    name: string;
  };
  at: string;
  loggedAt: string;
  /**
   * What was told since, oldest first; null: not yet numbered.
   * @maxItems 20
   */
  since: {
    event: number | null;
    type: string;
    at: string;
  }[];
  /**
   * What readiness says now of the functions that were asked for.
   * @maxItems 5
   */
  now: FunctionReadiness[];
}

export interface Assignment {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assignmentId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** @maxItems 5 */
  functions: UnitFunction[];
  /**
   * @min -9007199254740991
   * @max 9007199254740991
   */
  reliedOn: number;
  /**
   * The last event when it was logged.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  lastEvent: number;
  /** What readiness said when it was logged. */
  answers: Partial<Record<UnitFunction, ReadinessAnswer>>;
  /** Something was told of the unit after the event that it relied on. */
  changed: boolean;
  reference: string | null;
  note: string | null;
  override: string | null;
  by: {
    /** Stable id. */
    personId: string | null;
    name: string;
  };
  at: string;
  loggedAt: string;
}

export interface Deferral {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  deferralId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  task: string;
  untilDay: string;
  untilUse: Partial<Record<string, number>>;
  approver: string;
  /** Stable id. */
  approverId: string | null;
  restriction: string;
  effect: "none" | "limited" | "no";
  /** @maxItems 5 */
  functions: UnitFunction[];
  limits: ShownLimits;
  reason: string;
  from: string;
  endedAt: string | null;
}

export interface ListedDeferral {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  deferralId: string;
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  assetId: string;
  task: string;
  untilDay: string;
  untilUse: Partial<Record<string, number>>;
  approver: string;
  /** Stable id. */
  approverId: string | null;
  restriction: string;
  effect: "none" | "limited" | "no";
  /** @maxItems 5 */
  functions: UnitFunction[];
  limits: ShownLimits;
  reason: string;
  from: string;
  endedAt: string | null;
  /** The unit that its asset is on now. */
  unitId: string | null;
  /** False: ended by its day, its use, or because done. */
  runs: boolean;
}

export interface Stop {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  stopId: string;
  /**
   * Where it was set.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** Stable id. */
  assetId: string | null;
  /** Stable id. */
  findingId: string | null;
  kind: "work_lock" | "defect" | "officer" | "restriction";
  /** run_out: a restriction whose time is over. */
  state: StopState;
  effect: "limited" | "no";
  /** @maxItems 5 */
  functions: UnitFunction[];
  limits: ShownLimits;
  effective: "at_once" | "after_drop";
  reason: string;
  cause: {
    kind: string;
    id: string;
  } | null;
  until: string | null;
  placedAt: string;
  placedBy: {
    /** Stable id. */
    personId: string | null;
    name: string;
  };
  whoCanClear: string;
  droppedAt: string | null;
  clearedAt: string | null;
}

export interface StopAct {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  actId: string;
  act:
    | "set"
    | "dropped"
    | "hasten"
    | "extend"
    | "clear"
    | "clear_by_procedure"
    | "clear_by_repair";
  until: string | null;
  words: string;
  by: {
    /** Stable id. */
    personId: string | null;
    name: string;
  };
  at: string;
}

export interface RecordedFinding {
  finding: Finding;
  /** What an unfit place stopped. */
  stop: Stop | null;
  /** It was open before; this is one more report. */
  joined: boolean;
}

export interface Finding {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  findingId: string;
  /**
   * Where it was found.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  unitId: string;
  /** Stable id. */
  assetId: string | null;
  point: string | null;
  part: string | null;
  grade: "sound" | "keep_watch" | "mend_by" | "unfit";
  words: string;
  /** @maxItems 5 */
  functions: UnitFunction[];
  mendByDay: string | null;
  mendByUse: Partial<Record<string, number>>;
  /**
   * How often it was told.
   * @min -9007199254740991
   * @max 9007199254740991
   */
  reports: number;
  foundAt: string;
  gradedAt: string;
  closed: {
    how: "sound" | "mended" | "withdrawn" | "superseded";
    at: string;
    words: string;
    by: {
      /** Stable id. */
      personId: string | null;
      name: string;
    } | null;
    /** Stable id. */
    cardId: string | null;
  } | null;
}

export interface FindingReport {
  /**
   * Stable id.
   * @format uuid
   * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
   */
  reportId: string;
  grade: "sound" | "keep_watch" | "mend_by" | "unfit";
  words: string;
  source: {
    kind:
      | "step"
      | "symptom"
      | "incident"
      | "walk_round"
      | "measurement"
      | "person";
    id: string | null;
  };
  by: {
    /** Stable id. */
    personId: string | null;
    name: string;
  };
  at: string;
}

import { HttpClient, type RequestParams } from "./http-client.ts";

/**
 * @title Liftwright
 * @version 1
 * @license Apache-2.0
 * @baseUrl /
 *
 * Usage in, due upkeep out, for towing trucks with self-loading wheel lifts.
 *
 * Work on a lift can hurt people. What this service says comes after the equipment maker's manual,
 * local codes and qualified practice.
 *
 * A key is sent as `Authorization: Bearer <key>`. Lists come in pages: send `next` back as
 * `cursor` until there is none. A POST or PATCH with an `Idempotency-Key` can be sent again and is
 * done once. PATCH wants the `ETag` of what it changes as `If-Match`. Answers say in
 * `RateLimit-Policy` and `RateLimit` how many requests the key may make and has left, and for how
 * many seconds; beyond that, 429 says in `Retry-After` when there will be more. Every refusal is
 * explained at /docs/problems, the lift pattern document at /docs/lift-patterns.
 */
export class Liftwright extends HttpClient {
  /**
   * @description JSON, gzip accepted. Each stream is judged and answered on its own, in the order of the post. Keep a reading until it is settled: at or below `contiguous`. Send the lowest number of a stream first: the first number seen starts it. A long backlog goes as application/x-ndjson: one such body a line, at most 5000 lines of 1 MiB, 20000 readings a line, 16 MiB as sent and 64 MiB unpacked; answered by line as {"line", "streams"} or {"line", "problem"}. When it ended early, the last line has `notTakenFrom`: send from that line on again.
   *
   * @tags gateways
   * @name PostReadings
   * @summary Post readings; an empty post is a heartbeat
   * @request POST:/v1/readings
   * @secure
   */
  postReadings = (data: PostedReadings, params: RequestParams = {}) =>
    this.request<SettledReadings, Problem>({
      path: `/v1/readings`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description For loggers that keep nothing themselves: text of `candump -L`, or JSON; gzip accepted. Frames of counters whose basis is of J1939 (`j1939_248`, `derived_j1939_3948` …) become readings that are numbered here. The same frames again change nothing. Lines that are no frames are counted and the first are named; only a text without any frame is refused.
   *
   * @tags gateways
   * @name PostFrames
   * @summary Post J1939 frames; the server makes readings of the declared counters
   * @request POST:/v1/frames
   * @secure
   */
  postFrames = (data: PostedFrames, params: RequestParams = {}) =>
    this.request<TakenFrames, Problem>({
      path: `/v1/frames`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostYards
   * @summary Add a yard
   * @request POST:/v1/yards
   * @secure
   */
  postYards = (data: NewYard, params: RequestParams = {}) =>
    this.request<Yard, Problem>({
      path: `/v1/yards`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetYards
   * @summary List yards by name
   * @request GET:/v1/yards
   * @secure
   */
  getYards = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Yard[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/yards`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetYard
   * @summary A yard, with the ETag that a change of it needs
   * @request GET:/v1/yards/{yardId}
   * @secure
   */
  getYard = (yardId: string, params: RequestParams = {}) =>
    this.request<Yard, void | Problem>({
      path: `/v1/yards/${yardId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PatchYard
   * @summary Rename a yard, or correct its time zone
   * @request PATCH:/v1/yards/{yardId}
   * @secure
   */
  patchYard = (yardId: string, data: YardChange, params: RequestParams = {}) =>
    this.request<Yard, Problem>({
      path: `/v1/yards/${yardId}`,
      method: "PATCH",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostUnits
   * @summary Add a unit
   * @request POST:/v1/units
   * @secure
   */
  postUnits = (data: NewUnit, params: RequestParams = {}) =>
    this.request<Unit, Problem>({
      path: `/v1/units`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetUnits
   * @summary List units by number
   * @request GET:/v1/units
   * @secure
   */
  getUnits = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Unit[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetUnit
   * @summary A unit, with the ETag that a change of it needs
   * @request GET:/v1/units/{unitId}
   * @secure
   */
  getUnit = (unitId: string, params: RequestParams = {}) =>
    this.request<Unit, void | Problem>({
      path: `/v1/units/${unitId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PatchUnit
   * @summary Give a unit another number, note or yard
   * @request PATCH:/v1/units/{unitId}
   * @secure
   */
  patchUnit = (unitId: string, data: UnitChange, params: RequestParams = {}) =>
    this.request<Unit, Problem>({
      path: `/v1/units/${unitId}`,
      method: "PATCH",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostAssets
   * @summary Add an asset
   * @request POST:/v1/assets
   * @secure
   */
  postAssets = (data: NewAsset, params: RequestParams = {}) =>
    this.request<Asset, Problem>({
      path: `/v1/assets`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetAssets
   * @summary List assets
   * @request GET:/v1/assets
   * @secure
   */
  getAssets = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Asset[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetAsset
   * @summary An asset, with the ETag that a change of it needs
   * @request GET:/v1/assets/{assetId}
   * @secure
   */
  getAsset = (assetId: string, params: RequestParams = {}) =>
    this.request<Asset, void | Problem>({
      path: `/v1/assets/${assetId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PatchAsset
   * @summary Correct the serial or note of an asset, or have it follow another pattern version
   * @request PATCH:/v1/assets/{assetId}
   * @secure
   */
  patchAsset = (
    assetId: string,
    data: AssetChange,
    params: RequestParams = {},
  ) =>
    this.request<Asset, Problem>({
      path: `/v1/assets/${assetId}`,
      method: "PATCH",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostInstalls
   * @summary Put an asset or a gateway on a unit
   * @request POST:/v1/installs
   * @secure
   */
  postInstalls = (data: NewInstall, params: RequestParams = {}) =>
    this.request<Install, Problem>({
      path: `/v1/installs`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetInstalls
   * @summary List installs; those that were withdrawn are left out
   * @request GET:/v1/installs
   * @secure
   */
  getInstalls = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      unitId?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Install[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/installs`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetInstall
   * @summary An install with its corrections, and the ETag that a change of it needs
   * @request GET:/v1/installs/{installId}
   * @secure
   */
  getInstall = (installId: string, params: RequestParams = {}) =>
    this.request<InstallWithHistory, void | Problem>({
      path: `/v1/installs/${installId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PatchInstall
   * @summary Correct an install afterwards; use moves to the asset that it belongs to
   * @request PATCH:/v1/installs/{installId}
   * @secure
   */
  patchInstall = (
    installId: string,
    data: InstallChange,
    params: RequestParams = {},
  ) =>
    this.request<InstallWithHistory, Problem>({
      path: `/v1/installs/${installId}`,
      method: "PATCH",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostInstallEnd
   * @summary Take an asset or a gateway off its unit
   * @request POST:/v1/installs/{installId}/end
   * @secure
   */
  postInstallEnd = (
    installId: string,
    data: InstallEnd,
    params: RequestParams = {},
  ) =>
    this.request<Install, Problem>({
      path: `/v1/installs/${installId}/end`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostInstallWithdraw
   * @summary Say that an install never was
   * @request POST:/v1/installs/{installId}/withdraw
   * @secure
   */
  postInstallWithdraw = (
    installId: string,
    data: InstallWithdrawal,
    params: RequestParams = {},
  ) =>
    this.request<Install, Problem>({
      path: `/v1/installs/${installId}/withdraw`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostInstallsSwap
   * @summary Two units exchange their assets of one kind, or their gateways, at one moment
   * @request POST:/v1/installs/swap
   * @secure
   */
  postInstallsSwap = (data: InstallSwap, params: RequestParams = {}) =>
    this.request<SwappedInstalls, Problem>({
      path: `/v1/installs/swap`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostImports
   * @summary Bring in a fleet from sheets, all or nothing; with dryRun only say what would be
   * @request POST:/v1/imports
   * @secure
   */
  postImports = (data: NewImport, params: RequestParams = {}) =>
    this.request<ImportReport, Problem>({
      path: `/v1/imports`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetImportsTemplate
   * @summary The sheets of an import: columns, what they mean, an example of each
   * @request GET:/v1/imports/template
   * @secure
   */
  getImportsTemplate = (params: RequestParams = {}) =>
    this.request<ImportTemplate, Problem>({
      path: `/v1/imports/template`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description The first line states the format and the number of rows of each table, each further line is a row, and the last is `{"end": true, "rows", "sha256"}` over all lines before: a file without it was cut off. Keys leave without their hashes.
   *
   * @tags fleet
   * @name GetExport
   * @summary Take the whole fleet along, as lines of JSON
   * @request GET:/v1/export
   * @secure
   */
  getExport = (params: RequestParams = {}) =>
    this.request<string, Problem>({
      path: `/v1/export`,
      method: "GET",
      secure: true,
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostFleetDeletion
   * @summary Ask for the deletion of the whole fleet; nothing is deleted yet
   * @request POST:/v1/fleet/deletion
   * @secure
   */
  postFleetDeletion = (data: NewDeletion, params: RequestParams = {}) =>
    this.request<DeletionQuestion, Problem>({
      path: `/v1/fleet/deletion`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostFleetDeletionConfirm
   * @summary Confirm the deletion: every key ends within five seconds, then everything is deleted
   * @request POST:/v1/fleet/deletion/confirm
   * @secure
   */
  postFleetDeletionConfirm = (
    data: NewDeletionConfirmation,
    params: RequestParams = {},
  ) =>
    this.request<DeletionConfirmed, Problem>({
      path: `/v1/fleet/deletion/confirm`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetFleet
   * @summary The fleet and how it works
   * @request GET:/v1/fleet
   * @secure
   */
  getFleet = (params: RequestParams = {}) =>
    this.request<Fleet, void | Problem>({
      path: `/v1/fleet`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PatchFleet
   * @summary Rename the fleet, or say that one person alone works on it
   * @request PATCH:/v1/fleet
   * @secure
   */
  patchFleet = (data: FleetChange, params: RequestParams = {}) =>
    this.request<Fleet, Problem>({
      path: `/v1/fleet`,
      method: "PATCH",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name PostGateways
   * @summary Add a gateway; the answer shows its key, once
   * @request POST:/v1/gateways
   * @secure
   */
  postGateways = (data: NewGateway, params: RequestParams = {}) =>
    this.request<Gateway, Problem>({
      path: `/v1/gateways`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name GetGateways
   * @summary List gateways; `state` finds those that need somebody
   * @request GET:/v1/gateways
   * @secure
   */
  getGateways = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** Only those that are in this state. */
      state?: GatewayState;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Gateway[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/gateways`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name GetGateway
   * @summary A gateway, with the ETag that a change of it needs
   * @request GET:/v1/gateways/{gatewayId}
   * @secure
   */
  getGateway = (gatewayId: string, params: RequestParams = {}) =>
    this.request<GatewayRecord, void | Problem>({
      path: `/v1/gateways/${gatewayId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name PatchGateway
   * @summary Correct the serial or note of a gateway
   * @request PATCH:/v1/gateways/{gatewayId}
   * @secure
   */
  patchGateway = (
    gatewayId: string,
    data: GatewayChange,
    params: RequestParams = {},
  ) =>
    this.request<GatewayRecord, Problem>({
      path: `/v1/gateways/${gatewayId}`,
      method: "PATCH",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name PostGatewayKeys
   * @summary Give a gateway a new key; the one before lives on, older ones end
   * @request POST:/v1/gateways/{gatewayId}/keys
   * @secure
   */
  postGatewayKeys = (
    gatewayId: string,
    data: NewGatewayKey,
    params: RequestParams = {},
  ) =>
    this.request<Gateway, Problem>({
      path: `/v1/gateways/${gatewayId}/keys`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name PostGatewayCounters
   * @summary Declare what a gateway counts, once each
   * @request POST:/v1/gateways/{gatewayId}/counters
   * @secure
   */
  postGatewayCounters = (
    gatewayId: string | "me",
    data: NewCounters,
    params: RequestParams = {},
  ) =>
    this.request<Counters, Problem>({
      path: `/v1/gateways/${gatewayId}/counters`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name GetGatewayCounters
   * @summary The counters of a gateway, with where each of their streams stands
   * @request GET:/v1/gateways/{gatewayId}/counters
   * @secure
   */
  getGatewayCounters = (gatewayId: string | "me", params: RequestParams = {}) =>
    this.request<Counters, Problem>({
      path: `/v1/gateways/${gatewayId}/counters`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name PostGatewayEpochs
   * @summary Begin a new epoch of a counter; its numbers start again at 0
   * @request POST:/v1/gateways/{gatewayId}/epochs
   * @secure
   */
  postGatewayEpochs = (
    gatewayId: string | "me",
    data: NewEpoch,
    params: RequestParams = {},
  ) =>
    this.request<Epoch, Problem>({
      path: `/v1/gateways/${gatewayId}/epochs`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name GetGatewayVerdicts
   * @summary What became of readings that were not plainly accepted, newest last
   * @request GET:/v1/gateways/{gatewayId}/verdicts
   * @secure
   */
  getGatewayVerdicts = (gatewayId: string | "me", params: RequestParams = {}) =>
    this.request<ReadingVerdicts, Problem>({
      path: `/v1/gateways/${gatewayId}/verdicts`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name GetGatewayOpenQuestions
   * @summary Readings of a gateway that wait for the word of a person
   * @request GET:/v1/gateways/{gatewayId}/open-questions
   * @secure
   */
  getGatewayOpenQuestions = (
    gatewayId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: OpenQuestion[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/gateways/${gatewayId}/open-questions`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description The readings stay as they came; the line is folded anew from there with the decision, and what was announced wrongly is undone in the event history. A fall never counts: what was used then is given as an adjustment.
   *
   * @tags gateways
   * @name PostGatewayDecisions
   * @summary Decide on a reading that waits for a word; a later word takes its place
   * @request POST:/v1/gateways/{gatewayId}/decisions
   * @secure
   */
  postGatewayDecisions = (
    gatewayId: string,
    data: NewDecision,
    params: RequestParams = {},
  ) =>
    this.request<Decision, Problem>({
      path: `/v1/gateways/${gatewayId}/decisions`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name GetGatewayDecisions
   * @summary What was decided on a gateway's readings, in the order of deciding
   * @request GET:/v1/gateways/{gatewayId}/decisions
   * @secure
   */
  getGatewayDecisions = (
    gatewayId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Decision[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/gateways/${gatewayId}/decisions`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags gateways
   * @name GetGatewayHealth
   * @summary How a gateway is: silence, clock, gaps, what waits, and why, in words
   * @request GET:/v1/gateways/{gatewayId}/health
   * @secure
   */
  getGatewayHealth = (gatewayId: string | "me", params: RequestParams = {}) =>
    this.request<GatewayHealth, Problem>({
      path: `/v1/gateways/${gatewayId}/health`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description For a gateway: who it is, our time, and where each of its counters stands. A gateway that forgot everything but its key goes on like this: 1. Read this. `epoch` of each counter is the one that counts; `missing` is still wanted. 2. What it still has in its buffer under the old numbers it sends first, in the old epoch. Numbers that it can never send it declares in `lost` of that stream, below `highest`. 3. When it has lost its numbers, it asks `POST /v1/gateways/me/epochs` for a new epoch of each counter and numbers from 0 there. The cause says what we may believe of the next value: `sequence_lost`: the counter itself ran on; use in between is counted. `counter_reset`: the counter began again at zero. `controller_replaced`: another controller counts; its first value is only a start. 4. A counter that is not listed it declares again (`POST /v1/gateways/me/counters`): declaring the same twice changes nothing. What a counter counts never changes; one that counts otherwise gets another name. Asking for an epoch with an Idempotency-Key lets it repeat the request after a lost answer.
   *
   * @tags gateways
   * @name GetGatewaysMe
   * @summary Where the gateway of the key stands, so that it can go on
   * @request GET:/v1/gateways/me
   * @secure
   */
  getGatewaysMe = (params: RequestParams = {}) =>
    this.request<OwnStanding, Problem>({
      path: `/v1/gateways/me`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Samples of one signal in; the cycles that count, with times, and why others do not. The rules of each basis: /docs/lift-cycles.
   *
   * @tags gateways
   * @name PostLiftCyclesCheck
   * @summary Check the cycles that firmware derives against the reference; stores nothing
   * @request POST:/v1/lift-cycles/check
   * @secure
   */
  postLiftCyclesCheck = (data: CycleCheck, params: RequestParams = {}) =>
    this.request<CheckedCycles, Problem>({
      path: `/v1/lift-cycles/check`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name PostPatterns
   * @summary Publish a lift pattern, or its next version
   * @request POST:/v1/patterns
   * @secure
   */
  postPatterns = (data: NewPattern, params: RequestParams = {}) =>
    this.request<Pattern, Problem>({
      path: `/v1/patterns`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetPatterns
   * @summary List the versions of lift patterns, without their documents
   * @request GET:/v1/patterns
   * @secure
   */
  getPatterns = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Pattern[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/patterns`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags fleet
   * @name GetPattern
   * @summary One version of a lift pattern with its document
   * @request GET:/v1/patterns/{patternId}
   * @secure
   */
  getPattern = (
    patternId: string,
    query?: {
      /**
       * @min 1
       * @max 2147483647
       */
      version?: number;
    },
    params: RequestParams = {},
  ) =>
    this.request<Pattern, Problem>({
      path: `/v1/patterns/${patternId}`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description For whoever decides whether an asset moves to it: service points, tasks, wear parts, needs and symptom rules that came, went or changed, in the order of `to`. `from` may be the later one.
   *
   * @tags fleet
   * @name GetPatternCompare
   * @summary What is otherwise in another version of a lift pattern, in words
   * @request GET:/v1/patterns/{patternId}/compare
   * @secure
   */
  getPatternCompare = (
    patternId: string,
    query: {
      /**
       * @min 1
       * @max 2147483647
       */
      from: number;
      /**
       * @min 1
       * @max 2147483647
       */
      to: number;
    },
    params: RequestParams = {},
  ) =>
    this.request<PatternComparison, Problem>({
      path: `/v1/patterns/${patternId}/compare`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description An asset follows the version that it was added with until somebody chooses another (PATCH of the asset). Every version stays readable.
   *
   * @tags fleet
   * @name GetAssetPatternMoves
   * @summary List how an asset moved from one pattern version to another, oldest first
   * @request GET:/v1/assets/{assetId}/pattern-moves
   * @secure
   */
  getAssetPatternMoves = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: PatternMove[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/pattern-moves`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags usage
   * @name GetAssetUsage
   * @summary Use of an asset, by meter and local day
   * @request GET:/v1/assets/{assetId}/usage
   * @secure
   */
  getAssetUsage = (
    assetId: string,
    query?: {
      /**
       * Default: 30 days before `to`.
       * @format date
       * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
       * @example "2026-11-02"
       */
      from?: string;
      /**
       * Default: today.
       * @format date
       * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
       * @example "2026-11-02"
       */
      to?: string;
      /** @maxLength 40 */
      meter?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<AssetUsage, Problem>({
      path: `/v1/assets/${assetId}/usage`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags usage
   * @name GetUnitUsage
   * @summary Use of every asset that is on a unit now
   * @request GET:/v1/units/{unitId}/usage
   * @secure
   */
  getUnitUsage = (
    unitId: string,
    query?: {
      /**
       * Default: 30 days before `to`.
       * @format date
       * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
       * @example "2026-11-02"
       */
      from?: string;
      /**
       * Default: today.
       * @format date
       * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))$
       * @example "2026-11-02"
       */
      to?: string;
      /** @maxLength 40 */
      meter?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<UnitUsage, Problem>({
      path: `/v1/units/${unitId}/usage`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description The source of use of a unit without a gateway; where a gateway counts it only cross-checks, and `check` compares it with the ledger. Use begins at the starting value of an import, or at the first reading. A reading may be told late: it takes its place by its time. The same one again changes nothing. One that falls, or rises faster than the clock or the fastest cycle allows (with a quarter of an hour and a step of the dial to spare), is refused: void the one that is wrong, or say that the meter was replaced. Read the dial when a gateway comes or goes, or the use between two readings is spread over both by time. Wait until the machine stands still before you climb to a dial.
   *
   * @tags usage
   * @name PostAssetHandReadings
   * @summary Give what a person read off a dial
   * @request POST:/v1/assets/{assetId}/hand-readings
   * @secure
   */
  postAssetHandReadings = (
    assetId: string,
    data: NewHandReading,
    params: RequestParams = {},
  ) =>
    this.request<HandReadingGiven, Problem>({
      path: `/v1/assets/${assetId}/hand-readings`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags usage
   * @name GetAssetHandReadings
   * @summary What people read off the dials of an asset, in the order of telling
   * @request GET:/v1/assets/{assetId}/hand-readings
   * @secure
   */
  getAssetHandReadings = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** @maxLength 40 */
      meter?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: HandReading[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/hand-readings`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Use is worked out anew without it, tasks are assessed anew, and what was announced because of it is undone in the event history.
   *
   * @tags usage
   * @name PostAssetHandReadingVoid
   * @summary Declare a reading by hand wrong; it is kept and counts no more
   * @request POST:/v1/assets/{assetId}/hand-readings/{readingId}/void
   * @secure
   */
  postAssetHandReadingVoid = (
    assetId: string,
    readingId: string,
    data: NameAndReason,
    params: RequestParams = {},
  ) =>
    this.request<HandReading, Problem>({
      path: `/v1/assets/${assetId}/hand-readings/${readingId}/void`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description An entry of its own that moves the use of the meter from `at` on, is shown in every answer about use, and has tasks assessed anew. Before accepting what a reading by hand shows, see its `check.knownUntil`: what a device has not sent yet must not be adjusted, or it counts twice once it comes.
   *
   * @tags usage
   * @name PostAssetAdjustments
   * @summary Adjust the use of a meter, with name and reason
   * @request POST:/v1/assets/{assetId}/adjustments
   * @secure
   */
  postAssetAdjustments = (
    assetId: string,
    data: NewAdjustment,
    params: RequestParams = {},
  ) =>
    this.request<UsageEntry, Problem>({
      path: `/v1/assets/${assetId}/adjustments`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description Both stay. Refused where it would leave less than nothing used.
   *
   * @tags usage
   * @name PostAssetAdjustmentWithdraw
   * @summary Take an adjustment back, by an opposite entry
   * @request POST:/v1/assets/{assetId}/adjustments/{entryId}/withdraw
   * @secure
   */
  postAssetAdjustmentWithdraw = (
    assetId: string,
    entryId: number,
    data: NameAndReason,
    params: RequestParams = {},
  ) =>
    this.request<UsageEntry, Problem>({
      path: `/v1/assets/${assetId}/adjustments/${entryId}/withdraw`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags usage
   * @name GetAssetUsageEntries
   * @summary Adjustments, and changes to days that were closed, in the order of recording
   * @request GET:/v1/assets/{assetId}/usage-entries
   * @secure
   */
  getAssetUsageEntries = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** @maxLength 40 */
      meter?: string;
      kind?: "closed_day_changed" | "adjustment" | "decision";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: UsageEntry[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/usage-entries`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description By the rule a device counts before readings by hand, and of devices the one that counts already goes on, else the one declared first begins. A choice holds while the chosen one could count at all: a gateway while it is on the unit of the asset.
   *
   * @tags usage
   * @name PostAssetMeterSources
   * @summary Choose which of several counts for a meter, from-to; of overlapping the later holds
   * @request POST:/v1/assets/{assetId}/meter-sources
   * @secure
   */
  postAssetMeterSources = (
    assetId: string,
    data: NewMeterSourceChoice,
    params: RequestParams = {},
  ) =>
    this.request<MeterSourceChoice, Problem>({
      path: `/v1/assets/${assetId}/meter-sources`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description The figures of the others are folded from their readings when asked for, within the time asked for; an increment that reaches beyond it is split by time.
   *
   * @tags usage
   * @name GetAssetMeterSources
   * @summary What counts for the meters of an asset when, and what the others say of that time
   * @request GET:/v1/assets/{assetId}/meter-sources
   * @secure
   */
  getAssetMeterSources = (
    assetId: string,
    query?: {
      /**
       * Default: 30 days before `to`.
       * @format date-time
       * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
       * @example "2026-11-02T08:30:00-05:00"
       */
      from?: string;
      /**
       * Default: now. At most 92 days after `from`.
       * @format date-time
       * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
       * @example "2026-11-02T08:30:00-05:00"
       */
      to?: string;
      /** @maxLength 40 */
      meter?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<MeterSources, Problem>({
      path: `/v1/assets/${assetId}/meter-sources`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags usage
   * @name PostAssetMeterSourceWithdraw
   * @summary Take a choice of meter source back, from its beginning on
   * @request POST:/v1/assets/{assetId}/meter-sources/{choiceId}/withdraw
   * @secure
   */
  postAssetMeterSourceWithdraw = (
    assetId: string,
    choiceId: string,
    data: NameAndReason,
    params: RequestParams = {},
  ) =>
    this.request<MeterSourceChoice, Problem>({
      path: `/v1/assets/${assetId}/meter-sources/${choiceId}/withdraw`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name GetUnitTasks
   * @summary The upkeep tasks of a unit: status, window, days and reasons
   * @request GET:/v1/units/{unitId}/tasks
   * @secure
   */
  getUnitTasks = (unitId: string, params: RequestParams = {}) =>
    this.request<UnitTasks, Problem>({
      path: `/v1/units/${unitId}/tasks`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name PostUnitTaskDone
   * @summary Record that a task was done, at a time that may lie in the past
   * @request POST:/v1/units/{unitId}/tasks/{taskKey}/done
   * @secure
   */
  postUnitTaskDone = (
    unitId: string,
    taskKey: string,
    data: NewDone,
    params: RequestParams = {},
  ) =>
    this.request<Done, Problem>({
      path: `/v1/units/${unitId}/tasks/${taskKey}/done`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name GetAssetDones
   * @summary What was recorded as done on an asset, the latest told first; voided ones too
   * @request GET:/v1/assets/{assetId}/dones
   * @secure
   */
  getAssetDones = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * @minLength 1
       * @maxLength 80
       */
      task?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Done[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/dones`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name PostUnitDoneVoid
   * @summary Declare a recorded done wrong; it stays in the history
   * @request POST:/v1/units/{unitId}/dones/{doneId}/void
   * @secure
   */
  postUnitDoneVoid = (
    unitId: string,
    doneId: string,
    data: Voiding,
    params: RequestParams = {},
  ) =>
    this.request<Done, Problem>({
      path: `/v1/units/${unitId}/dones/${doneId}/void`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name PostSeverities
   * @summary Date hard use (salt, dust, heavy use) of a yard or a unit
   * @request POST:/v1/severities
   * @secure
   */
  postSeverities = (data: NewSeverity, params: RequestParams = {}) =>
    this.request<Severity, Problem>({
      path: `/v1/severities`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name GetSeverities
   * @summary List dated severities
   * @request GET:/v1/severities
   * @secure
   */
  getSeverities = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Severity[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/severities`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name PostUnitTaskCalls
   * @summary Call a task due now; it is in its window until it is done after this
   * @request POST:/v1/units/{unitId}/tasks/{taskKey}/calls
   * @secure
   */
  postUnitTaskCalls = (
    unitId: string,
    taskKey: string,
    data: NewTaskCall,
    params: RequestParams = {},
  ) =>
    this.request<TaskCall, Problem>({
      path: `/v1/units/${unitId}/tasks/${taskKey}/calls`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name PostUnitTaskCallWithdraw
   * @summary Say that a task was called due for nothing; it stays in the history
   * @request POST:/v1/units/{unitId}/task-calls/{callId}/withdraw
   * @secure
   */
  postUnitTaskCallWithdraw = (
    unitId: string,
    callId: string,
    data: TaskCallWithdrawal,
    params: RequestParams = {},
  ) =>
    this.request<TaskCall, Problem>({
      path: `/v1/units/${unitId}/task-calls/${callId}/withdraw`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name GetAssetTaskCalls
   * @summary What called tasks of an asset due, the latest first; answered and withdrawn ones too
   * @request GET:/v1/assets/{assetId}/task-calls
   * @secure
   */
  getAssetTaskCalls = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * @minLength 1
       * @maxLength 80
       */
      task?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: TaskCall[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/task-calls`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name PostVisits
   * @summary Plan a visit of a unit to a bay, from-to, as agreed with dispatch
   * @request POST:/v1/visits
   * @secure
   */
  postVisits = (data: NewVisit, params: RequestParams = {}) =>
    this.request<Visit, Problem>({
      path: `/v1/visits`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetVisits
   * @summary List visits by their beginning
   * @request GET:/v1/visits
   * @secure
   */
  getVisits = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      unitId?: string;
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      yardId?: string;
      /**
       * Only visits that last beyond this.
       * @format date-time
       * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
       * @example "2026-11-02T08:30:00-05:00"
       */
      from?: string;
      /**
       * Only visits that begin before this.
       * @format date-time
       * @pattern ^(?:(?:\d\d[2468][048]|\d\d[13579][26]|\d\d0[48]|[02468][048]00|[13579][26]00)-02-29|\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|(?:02)-(?:0[1-9]|1\d|2[0-8])))T(?:(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?(?:Z|([+-](?:[01]\d|2[0-3]):[0-5]\d)))$
       * @example "2026-11-02T08:30:00-05:00"
       */
      to?: string;
      cancelled?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Visit[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/visits`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetVisit
   * @summary A visit, with the ETag that a change of it needs
   * @request GET:/v1/visits/{visitId}
   * @secure
   */
  getVisit = (visitId: string, params: RequestParams = {}) =>
    this.request<Visit, void | Problem>({
      path: `/v1/visits/${visitId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name PatchVisit
   * @summary Change a visit; other times or another yard must be agreed upon anew
   * @request PATCH:/v1/visits/{visitId}
   * @secure
   */
  patchVisit = (
    visitId: string,
    data: VisitChange,
    params: RequestParams = {},
  ) =>
    this.request<Visit, Problem>({
      path: `/v1/visits/${visitId}`,
      method: "PATCH",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name PostVisitCancel
   * @summary Call a visit off, with the reason; its bay is free again
   * @request POST:/v1/visits/{visitId}/cancel
   * @secure
   */
  postVisitCancel = (
    visitId: string,
    data: VisitCancellation,
    params: RequestParams = {},
  ) =>
    this.request<Visit, Problem>({
      path: `/v1/visits/${visitId}/cancel`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description Steps are frozen as the lift pattern says now, in the order of the work, with a step for each move of the lift. Without tasks and points the card takes what is in its window or past its limit and on no open card yet, and says why.
   *
   * @tags job cards
   * @name PostJobCards
   * @summary Write up a job card: the work on one unit, step by step
   * @request POST:/v1/job-cards
   * @secure
   */
  postJobCards = (data: NewJobCard, params: RequestParams = {}) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name GetJobCards
   * @summary List job cards, the latest written up first
   * @request GET:/v1/job-cards
   * @secure
   */
  getJobCards = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      unitId?: string;
      state?: JobCardState;
      kind?: JobCardKind;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: JobCard[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/job-cards`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name GetUnitJobCards
   * @summary List the job cards of a unit, the latest written up first
   * @request GET:/v1/units/{unitId}/job-cards
   * @secure
   */
  getUnitJobCards = (
    unitId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      state?: JobCardState;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: JobCard[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units/${unitId}/job-cards`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name GetJobCard
   * @summary A job card with its steps, what was said of them, and who signed
   * @request GET:/v1/job-cards/{cardId}
   * @secure
   */
  getJobCard = (cardId: string, params: RequestParams = {}) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description One word from the closed list, and whether a load is on the hook. The same word, still open, joins what was told before. Told again within 30 days after it was mended, it comes back as a new one that names the old.
   *
   * @tags shop
   * @name PostUnitSymptoms
   * @summary Tell a symptom, and be told what to do now
   * @request POST:/v1/units/{unitId}/symptoms
   * @secure
   */
  postUnitSymptoms = (
    unitId: string,
    data: NewSymptom,
    params: RequestParams = {},
  ) =>
    this.request<WholeSymptom, Problem>({
      path: `/v1/units/${unitId}/symptoms`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetUnitSymptoms
   * @summary The symptoms of a unit and of what is on it now, and what came of each
   * @request GET:/v1/units/{unitId}/symptoms
   * @secure
   */
  getUnitSymptoms = (
    unitId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      open?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Symptom[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units/${unitId}/symptoms`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description The card has what the symptom called due, and a look at each place of a likely cause, in the order in which to ask.
   *
   * @tags shop
   * @name PostUnitSymptomCard
   * @summary Write up the job card that looks into a symptom, or put it on an open one
   * @request POST:/v1/units/{unitId}/symptoms/{symptomId}/card
   * @secure
   */
  postUnitSymptomCard = (
    unitId: string,
    symptomId: string,
    data: TroubleCard,
    params: RequestParams = {},
  ) =>
    this.request<WholeSymptom, Problem>({
      path: `/v1/units/${unitId}/symptoms/${symptomId}/card`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name PostUnitSymptomClose
   * @summary Say on which card it was mended, or that nothing needs mending; a lead signs
   * @request POST:/v1/units/{unitId}/symptoms/{symptomId}/close
   * @secure
   */
  postUnitSymptomClose = (
    unitId: string,
    symptomId: string,
    data: TroubleClosing,
    params: RequestParams = {},
  ) =>
    this.request<WholeSymptom, Problem>({
      path: `/v1/units/${unitId}/symptoms/${symptomId}/close`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetSymptoms
   * @summary The symptoms of all units, the last told first
   * @request GET:/v1/symptoms
   * @secure
   */
  getSymptoms = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      open?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Symptom[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/symptoms`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetUnitSymptom
   * @summary A symptom: what to do now, likely causes in order, and what came of it
   * @request GET:/v1/units/{unitId}/symptoms/{symptomId}
   * @secure
   */
  getUnitSymptom = (
    unitId: string,
    symptomId: string,
    params: RequestParams = {},
  ) =>
    this.request<WholeSymptom, Problem>({
      path: `/v1/units/${unitId}/symptoms/${symptomId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Nothing of the unit is used until it was inspected in full: every task that looks, measures, tightens or tries anything of what bore the load is called due, and on a job card at once.
   *
   * @tags shop
   * @name PostUnitIncidents
   * @summary Tell a collision, an overload, a shock load or a drop; the unit stops at once
   * @request POST:/v1/units/{unitId}/incidents
   * @secure
   */
  postUnitIncidents = (
    unitId: string,
    data: NewIncident,
    params: RequestParams = {},
  ) =>
    this.request<WholeIncident, Problem>({
      path: `/v1/units/${unitId}/incidents`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetUnitIncidents
   * @summary The incidents of a unit, the last told first
   * @request GET:/v1/units/{unitId}/incidents
   * @secure
   */
  getUnitIncidents = (
    unitId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      open?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Incident[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units/${unitId}/incidents`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name PostUnitIncidentCard
   * @summary Write up another card of the full inspection, or put it on an open one
   * @request POST:/v1/units/{unitId}/incidents/{incidentId}/card
   * @secure
   */
  postUnitIncidentCard = (
    unitId: string,
    incidentId: string,
    data: TroubleCard,
    params: RequestParams = {},
  ) =>
    this.request<WholeIncident, Problem>({
      path: `/v1/units/${unitId}/incidents/${incidentId}/card`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name PostUnitIncidentClose
   * @summary Say which card inspected it in full, or that nothing happened; a lead signs
   * @request POST:/v1/units/{unitId}/incidents/{incidentId}/close
   * @secure
   */
  postUnitIncidentClose = (
    unitId: string,
    incidentId: string,
    data: TroubleClosing,
    params: RequestParams = {},
  ) =>
    this.request<WholeIncident, Problem>({
      path: `/v1/units/${unitId}/incidents/${incidentId}/close`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetUnitIncident
   * @summary An incident, what it stopped, and what its full inspection still lacks
   * @request GET:/v1/units/{unitId}/incidents/{incidentId}
   * @secure
   */
  getUnitIncident = (
    unitId: string,
    incidentId: string,
    params: RequestParams = {},
  ) =>
    this.request<WholeIncident, Problem>({
      path: `/v1/units/${unitId}/incidents/${incidentId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetUnitWalkItems
   * @summary What a driver looks at on a walk round this unit, in the order of the walk
   * @request GET:/v1/units/{unitId}/walk-items
   * @secure
   */
  getUnitWalkItems = (unitId: string, params: RequestParams = {}) =>
    this.request<WalkItemList, Problem>({
      path: `/v1/units/${unitId}/walk-items`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Each defect becomes a finding; the same one told again joins it. A person certifies it as repaired, or as needing no repair; then the next driver reviews and signs before use.
   *
   * @tags shop
   * @name PostUnitWalkRounds
   * @summary Sign a walk round a unit, with the defects that were seen, if any
   * @request POST:/v1/units/{unitId}/walk-rounds
   * @secure
   */
  postUnitWalkRounds = (
    unitId: string,
    data: NewWalkRound,
    params: RequestParams = {},
  ) =>
    this.request<WalkRound, Problem>({
      path: `/v1/units/${unitId}/walk-rounds`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetUnitWalkRounds
   * @summary The walk-rounds of a unit, the last recorded first
   * @request GET:/v1/units/{unitId}/walk-rounds
   * @secure
   */
  getUnitWalkRounds = (
    unitId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** Only those that wait for a certification or a review, or only the others. */
      waits?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: WalkRound[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units/${unitId}/walk-rounds`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name PostUnitWalkRoundReview
   * @summary The next driver has read what was told and certified, and signs before use
   * @request POST:/v1/units/{unitId}/walk-rounds/{walkRoundId}/review
   * @secure
   */
  postUnitWalkRoundReview = (
    unitId: string,
    walkRoundId: string,
    data: WalkRoundReview,
    params: RequestParams = {},
  ) =>
    this.request<WalkRound, Problem>({
      path: `/v1/units/${unitId}/walk-rounds/${walkRoundId}/review`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name PostUnitWalkRoundCertify
   * @summary Certify that defects were repaired, or that a repair is unnecessary; a lead signs
   * @request POST:/v1/units/{unitId}/walk-rounds/{walkRoundId}/certify
   * @secure
   */
  postUnitWalkRoundCertify = (
    unitId: string,
    walkRoundId: string,
    data: WalkRoundCertification,
    params: RequestParams = {},
  ) =>
    this.request<WalkRound, Problem>({
      path: `/v1/units/${unitId}/walk-rounds/${walkRoundId}/certify`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetWalkRounds
   * @summary The walk-rounds of all units, the last recorded first
   * @request GET:/v1/walk-rounds
   * @secure
   */
  getWalkRounds = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** Only those that wait for a certification or a review, or only the others. */
      waits?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: WalkRound[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/walk-rounds`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags shop
   * @name GetUnitWalkRound
   * @summary A walk-round with its defects, what it waits for, and who signed what
   * @request GET:/v1/units/{unitId}/walk-rounds/{walkRoundId}
   * @secure
   */
  getUnitWalkRound = (
    unitId: string,
    walkRoundId: string,
    params: RequestParams = {},
  ) =>
    this.request<WalkRound, Problem>({
      path: `/v1/units/${unitId}/walk-rounds/${walkRoundId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description It is held against the limits of the wear part. Near its limit it makes a finding to keep watch, past it one that is unfit where a load hangs on the place. What seems to have grown back by more than both readings can be wrong together is kept and marked `questioned`: a person says which is right. What the meters stood at then is looked up.
   *
   * @tags wear
   * @name PostAssetMeasurements
   * @summary Record a measurement: a size, or what a go/no-go gauge says
   * @request POST:/v1/assets/{assetId}/measurements
   * @secure
   */
  postAssetMeasurements = (
    assetId: string,
    data: NewMeasurement,
    params: RequestParams = {},
  ) =>
    this.request<Measurement, Problem>({
      path: `/v1/assets/${assetId}/measurements`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name GetAssetMeasurements
   * @summary What was measured on an asset, in the order of telling; withdrawn ones too
   * @request GET:/v1/assets/{assetId}/measurements
   * @secure
   */
  getAssetMeasurements = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** @maxLength 80 */
      point?: string;
      /** @maxLength 80 */
      part?: string;
      questioned?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Measurement[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/measurements`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description It counts from then on, and later ones are held against it.
   *
   * @tags wear
   * @name PostAssetMeasurementConfirm
   * @summary Say that a questioned measurement is right
   * @request POST:/v1/assets/{assetId}/measurements/{measurementId}/confirm
   * @secure
   */
  postAssetMeasurementConfirm = (
    assetId: string,
    measurementId: string,
    data: MeasurementWord,
    params: RequestParams = {},
  ) =>
    this.request<Measurement, Problem>({
      path: `/v1/assets/${assetId}/measurements/${measurementId}/confirm`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description A finding that it made stays: a lead closes it.
   *
   * @tags wear
   * @name PostAssetMeasurementWithdraw
   * @summary Say that a measurement was wrong; it is kept and counts no more
   * @request POST:/v1/assets/{assetId}/measurements/{measurementId}/withdraw
   * @secure
   */
  postAssetMeasurementWithdraw = (
    assetId: string,
    measurementId: string,
    data: MeasurementWord,
    params: RequestParams = {},
  ) =>
    this.request<Measurement, Problem>({
      path: `/v1/assets/${assetId}/measurements/${measurementId}/withdraw`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description It changes the gap without a new part. More turns since the part was new than its pattern allows make a finding.
   *
   * @tags wear
   * @name PostAssetTakeUps
   * @summary Record tension that was taken up: turns, and the gap before and after
   * @request POST:/v1/assets/{assetId}/take-ups
   * @secure
   */
  postAssetTakeUps = (
    assetId: string,
    data: NewTakeUp,
    params: RequestParams = {},
  ) =>
    this.request<TakeUp, Problem>({
      path: `/v1/assets/${assetId}/take-ups`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name GetAssetTakeUps
   * @summary Tension that was taken up on an asset; voided ones too
   * @request GET:/v1/assets/{assetId}/take-ups
   * @secure
   */
  getAssetTakeUps = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** @maxLength 80 */
      point?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: TakeUp[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/take-ups`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name PostAssetTakeUpVoid
   * @summary Declare a take-up wrong; it is kept and counts no more
   * @request POST:/v1/assets/{assetId}/take-ups/{takeUpId}/void
   * @secure
   */
  postAssetTakeUpVoid = (
    assetId: string,
    takeUpId: string,
    data: NameAndReason,
    params: RequestParams = {},
  ) =>
    this.request<TakeUp, Problem>({
      path: `/v1/assets/${assetId}/take-ups/${takeUpId}/void`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description Benchmarks do not bind a tow truck in law: the maker, local rules and a competent person come first. Where two disagree the stricter decides, and every rule that spoke is kept. What was not counted or measured leaves the decision to a competent person. Never handle wire rope without leather gloves, nor with gloves near a turning drum.
   *
   * @tags wear
   * @name PostAssetRemovalChecks
   * @summary Hold a rope, chain, hook, sling or hose against published removal benchmarks
   * @request POST:/v1/assets/{assetId}/removal-checks
   * @secure
   */
  postAssetRemovalChecks = (
    assetId: string,
    data: NewRemovalCheck,
    params: RequestParams = {},
  ) =>
    this.request<RemovalCheck, Problem>({
      path: `/v1/assets/${assetId}/removal-checks`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name GetAssetRemovalChecks
   * @summary What was held against removal benchmarks on an asset; voided ones too
   * @request GET:/v1/assets/{assetId}/removal-checks
   * @secure
   */
  getAssetRemovalChecks = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** @maxLength 80 */
      point?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: RemovalCheck[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/removal-checks`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name PostAssetRemovalCheckVoid
   * @summary Declare a removal check wrong; a finding that it made stays for a lead to close
   * @request POST:/v1/assets/{assetId}/removal-checks/{checkId}/void
   * @secure
   */
  postAssetRemovalCheckVoid = (
    assetId: string,
    checkId: string,
    data: NameAndReason,
    params: RequestParams = {},
  ) =>
    this.request<RemovalCheck, Problem>({
      path: `/v1/assets/${assetId}/removal-checks/${checkId}/void`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name GetAssetPartLives
   * @summary The parts of an asset that wear: fitted, removed, with their use
   * @request GET:/v1/assets/{assetId}/part-lives
   * @secure
   */
  getAssetPartLives = (
    assetId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** @maxLength 80 */
      part?: string;
      /** @maxLength 80 */
      point?: string;
      fitted?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: PartLife[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/assets/${assetId}/part-lives`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description What it is used from then on is looked up from the meters of the asset. What sat there before must have been removed by then.
   *
   * @tags wear
   * @name PostAssetPartLives
   * @summary Say that a part was fitted, or a set of them, as both sides
   * @request POST:/v1/assets/{assetId}/part-lives
   * @secure
   */
  postAssetPartLives = (
    assetId: string,
    data: NewPartLife,
    params: RequestParams = {},
  ) =>
    this.request<PartLives, Problem>({
      path: `/v1/assets/${assetId}/part-lives`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name GetAssetPartLife
   * @summary A part with all that was ever said of it
   * @request GET:/v1/assets/{assetId}/part-lives/{lifeId}
   * @secure
   */
  getAssetPartLife = (
    assetId: string,
    lifeId: string,
    params: RequestParams = {},
  ) =>
    this.request<PartLifeWithEntries, Problem>({
      path: `/v1/assets/${assetId}/part-lives/${lifeId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name PostAssetPartLifeRemove
   * @summary Say that a part was removed, and why
   * @request POST:/v1/assets/{assetId}/part-lives/{lifeId}/remove
   * @secure
   */
  postAssetPartLifeRemove = (
    assetId: string,
    lifeId: string,
    data: PartRemoval,
    params: RequestParams = {},
  ) =>
    this.request<PartLife, Problem>({
      path: `/v1/assets/${assetId}/part-lives/${lifeId}/remove`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name PostAssetPartLifeMove
   * @summary Move a part to another place or asset; its use goes along
   * @request POST:/v1/assets/{assetId}/part-lives/{lifeId}/move
   * @secure
   */
  postAssetPartLifeMove = (
    assetId: string,
    lifeId: string,
    data: PartMove,
    params: RequestParams = {},
  ) =>
    this.request<MovedPart, Problem>({
      path: `/v1/assets/${assetId}/part-lives/${lifeId}/move`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name PostAssetPartLifeCorrect
   * @summary Say what was wrong of a part; what was said before stays in its history
   * @request POST:/v1/assets/{assetId}/part-lives/{lifeId}/correct
   * @secure
   */
  postAssetPartLifeCorrect = (
    assetId: string,
    lifeId: string,
    data: PartCorrection,
    params: RequestParams = {},
  ) =>
    this.request<PartLife, Problem>({
      path: `/v1/assets/${assetId}/part-lives/${lifeId}/correct`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags wear
   * @name PostAssetPartLifeVoid
   * @summary Say that a part never sat there; it stays in the history
   * @request POST:/v1/assets/{assetId}/part-lives/{lifeId}/void
   * @secure
   */
  postAssetPartLifeVoid = (
    assetId: string,
    lifeId: string,
    data: NameAndReason,
    params: RequestParams = {},
  ) =>
    this.request<PartLife, Problem>({
      path: `/v1/assets/${assetId}/part-lives/${lifeId}/void`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description What identifies it, the nature and due date of its upkeep, who controlled it when, until when each kind of record must be kept and why, and how many entries each section has: what 49 CFR 396.3(b) asks for, and more. A record of a unit has what its assets met while they were on it. Told by event: what is written after that event, also a correction, is not in it, and the same event gives the same answer for ever.
   *
   * @tags record
   * @name GetUnitRecord
   * @summary The record of a unit: its head, and what is in it
   * @request GET:/v1/units/{unitId}/record
   * @secure
   */
  getUnitRecord = (
    unitId: string,
    query?: {
      /**
       * As it was known then: the number of an event, or an instant. What was written or corrected later is not in it. Left out: now. The same event gives the same answer for ever.
       * @minLength 1
       * @maxLength 64
       * @example "2026-11-02T02:10:00-06:00"
       */
      asKnownAt?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<RecordHead, Problem>({
      path: `/v1/units/${unitId}/record`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Further pages stay with the event of the first. Each entry says from which event on it was known, and by which it was last changed.
   *
   * @tags record
   * @name GetUnitRecordSection
   * @summary A section of the record of a unit, in pages, in order of its moments
   * @request GET:/v1/units/{unitId}/record/sections/{section}
   * @secure
   */
  getUnitRecordSection = (
    unitId: string,
    section: RecordSection,
    query?: {
      /**
       * As it was known then: the number of an event, or an instant. What was written or corrected later is not in it. Left out: now. The same event gives the same answer for ever.
       * @minLength 1
       * @maxLength 64
       * @example "2026-11-02T02:10:00-06:00"
       */
      asKnownAt?: string;
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<RecordPage, Problem>({
      path: `/v1/units/${unitId}/record/sections/${section}`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Identification, due dates and retention first, then every entry; `of` names the entry that a line belongs to. What a spreadsheet would take for a formula has an apostrophe before it.
   *
   * @tags record
   * @name GetUnitRecordCsv
   * @summary The whole record of a unit as CSV (RFC 4180), for a spreadsheet or on paper
   * @request GET:/v1/units/{unitId}/record.csv
   * @secure
   */
  getUnitRecordCsv = (
    unitId: string,
    query?: {
      /**
       * As it was known then: the number of an event, or an instant. What was written or corrected later is not in it. Left out: now. The same event gives the same answer for ever.
       * @minLength 1
       * @maxLength 64
       * @example "2026-11-02T02:10:00-06:00"
       */
      asKnownAt?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<string, Problem>({
      path: `/v1/units/${unitId}/record.csv`,
      method: "GET",
      query: query,
      secure: true,
      ...params,
    });

  /**
   * @description What identifies it, the nature and due date of its upkeep, who controlled it when, until when each kind of record must be kept and why, and how many entries each section has: what 49 CFR 396.3(b) asks for, and more. A record of a unit has what its assets met while they were on it. Told by event: what is written after that event, also a correction, is not in it, and the same event gives the same answer for ever.
   *
   * @tags record
   * @name GetAssetRecord
   * @summary The record of an asset: its head, and what is in it
   * @request GET:/v1/assets/{assetId}/record
   * @secure
   */
  getAssetRecord = (
    assetId: string,
    query?: {
      /**
       * As it was known then: the number of an event, or an instant. What was written or corrected later is not in it. Left out: now. The same event gives the same answer for ever.
       * @minLength 1
       * @maxLength 64
       * @example "2026-11-02T02:10:00-06:00"
       */
      asKnownAt?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<RecordHead, Problem>({
      path: `/v1/assets/${assetId}/record`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Further pages stay with the event of the first. Each entry says from which event on it was known, and by which it was last changed.
   *
   * @tags record
   * @name GetAssetRecordSection
   * @summary A section of the record of an asset, in pages, in order of its moments
   * @request GET:/v1/assets/{assetId}/record/sections/{section}
   * @secure
   */
  getAssetRecordSection = (
    assetId: string,
    section: RecordSection,
    query?: {
      /**
       * As it was known then: the number of an event, or an instant. What was written or corrected later is not in it. Left out: now. The same event gives the same answer for ever.
       * @minLength 1
       * @maxLength 64
       * @example "2026-11-02T02:10:00-06:00"
       */
      asKnownAt?: string;
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<RecordPage, Problem>({
      path: `/v1/assets/${assetId}/record/sections/${section}`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Identification, due dates and retention first, then every entry; `of` names the entry that a line belongs to. What a spreadsheet would take for a formula has an apostrophe before it.
   *
   * @tags record
   * @name GetAssetRecordCsv
   * @summary The whole record of an asset as CSV (RFC 4180), for a spreadsheet or on paper
   * @request GET:/v1/assets/{assetId}/record.csv
   * @secure
   */
  getAssetRecordCsv = (
    assetId: string,
    query?: {
      /**
       * As it was known then: the number of an event, or an instant. What was written or corrected later is not in it. Left out: now. The same event gives the same answer for ever.
       * @minLength 1
       * @maxLength 64
       * @example "2026-11-02T02:10:00-06:00"
       */
      asKnownAt?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<string, Problem>({
      path: `/v1/assets/${assetId}/record.csv`,
      method: "GET",
      query: query,
      secure: true,
      ...params,
    });

  /**
   * No description
   *
   * @tags record
   * @name PostUnitControlPeriods
   * @summary Say from which day on a unit is under the control of the fleet
   * @request POST:/v1/units/{unitId}/control-periods
   * @secure
   */
  postUnitControlPeriods = (
    unitId: string,
    data: NewControlPeriod,
    params: RequestParams = {},
  ) =>
    this.request<ControlPeriod, Problem>({
      path: `/v1/units/${unitId}/control-periods`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags record
   * @name GetUnitControlPeriods
   * @summary When a unit was under the control of the fleet; voided periods too
   * @request GET:/v1/units/{unitId}/control-periods
   * @secure
   */
  getUnitControlPeriods = (
    unitId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: ControlPeriod[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units/${unitId}/control-periods`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags record
   * @name PostUnitControlPeriodEnd
   * @summary Say on which day a unit left control: sold, given back
   * @request POST:/v1/units/{unitId}/control-periods/{periodId}/end
   * @secure
   */
  postUnitControlPeriodEnd = (
    unitId: string,
    periodId: string,
    data: ControlEnd,
    params: RequestParams = {},
  ) =>
    this.request<ControlPeriod, Problem>({
      path: `/v1/units/${unitId}/control-periods/${periodId}/end`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags record
   * @name PostUnitControlPeriodVoid
   * @summary Declare a period of control wrong; it is kept and counts no more
   * @request POST:/v1/units/{unitId}/control-periods/{periodId}/void
   * @secure
   */
  postUnitControlPeriodVoid = (
    unitId: string,
    periodId: string,
    data: NameAndReason,
    params: RequestParams = {},
  ) =>
    this.request<ControlPeriod, Problem>({
      path: `/v1/units/${unitId}/control-periods/${periodId}/void`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description While it stands nothing is purged or put away, and the fleet cannot be deleted. A lead signs.
   *
   * @tags record
   * @name PostPreservationOrders
   * @summary Order that the records of a unit, or of all, be preserved
   * @request POST:/v1/preservation-orders
   * @secure
   */
  postPreservationOrders = (
    data: NewPreservationOrder,
    params: RequestParams = {},
  ) =>
    this.request<PreservationOrder, Problem>({
      path: `/v1/preservation-orders`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags record
   * @name GetPreservationOrders
   * @summary Orders that records be preserved, those that were lifted too
   * @request GET:/v1/preservation-orders
   * @secure
   */
  getPreservationOrders = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * Those that hold this unit.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      unitId?: string;
      standing?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: PreservationOrder[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/preservation-orders`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags record
   * @name PostPreservationOrderLift
   * @summary Lift an order: by the word of a lead, never by itself
   * @request POST:/v1/preservation-orders/{orderId}/lift
   * @secure
   */
  postPreservationOrderLift = (
    orderId: string,
    data: PreservationLift,
    params: RequestParams = {},
  ) =>
    this.request<PreservationOrder, Problem>({
      path: `/v1/preservation-orders/${orderId}/lift`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description By calendar months, kept to the end of a month. Nothing is purged because a period is over.
   *
   * @tags record
   * @name GetRetention
   * @summary Until when each kind of record of each unit must be kept, and why
   * @request GET:/v1/retention
   * @secure
   */
  getRetention = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      unitId?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: UnitRetention[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/retention`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Each command is judged and answered on its own, in the order of the post; the same again changes nothing, so a phone that was offline sends all that it has not seen answered. Of one person’s words on a step the later holds; of two people the worse, until one `replaces` what the other said. `not_right` becomes a finding; a first look that finds it `unfit` ends the card. What comes when the card is closed is kept for review.
   *
   * @tags job cards
   * @name PostJobCardCommands
   * @summary Tell what was done in the steps of a card
   * @request POST:/v1/job-cards/{cardId}/commands
   * @secure
   */
  postJobCardCommands = (
    cardId: string,
    data: StepCommands,
    params: RequestParams = {},
  ) =>
    this.request<StepsTold, Problem>({
      path: `/v1/job-cards/${cardId}/commands`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardFollowOn
   * @summary Write up the card that goes on with what this one left
   * @request POST:/v1/job-cards/{cardId}/follow-on
   * @secure
   */
  postJobCardFollowOn = (
    cardId: string,
    data: FollowingCard,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/follow-on`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardBegin
   * @summary Put hands on: the unit is locked by this person until hands are off
   * @request POST:/v1/job-cards/{cardId}/begin
   * @secure
   */
  postJobCardBegin = (
    cardId: string,
    data: CardBegin,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/begin`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardSetDown
   * @summary Take hands off; answer whether all is together and safe
   * @request POST:/v1/job-cards/{cardId}/set-down
   * @secure
   */
  postJobCardSetDown = (
    cardId: string,
    data: CardSetDown,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/set-down`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardEndWork
   * @summary Say that nothing more is to be done on this card; it waits to be signed
   * @request POST:/v1/job-cards/{cardId}/end-work
   * @secure
   */
  postJobCardEndWork = (
    cardId: string,
    data: CardWorkEnd,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/end-work`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardSendBack
   * @summary Send a card that waits to be signed back to be worked on
   * @request POST:/v1/job-cards/{cardId}/send-back
   * @secure
   */
  postJobCardSendBack = (
    cardId: string,
    data: CardWords,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/send-back`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardWithdraw
   * @summary Take back a card on which nothing was done
   * @request POST:/v1/job-cards/{cardId}/withdraw
   * @secure
   */
  postJobCardWithdraw = (
    cardId: string,
    data: CardWords,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/withdraw`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description In a one-man fleet the doer declares it, shown as `self_check`. A check speaks of what holds when it is made: a step that is told otherwise afterwards wants another.
   *
   * @tags job cards
   * @name PostJobCardChecks
   * @summary Check lift-critical steps as a second person, never the one who did them
   * @request POST:/v1/job-cards/{cardId}/checks
   * @secure
   */
  postJobCardChecks = (
    cardId: string,
    data: SignedSteps,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/checks`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardCountersigns
   * @summary Vouch for steps that a trainee did
   * @request POST:/v1/job-cards/{cardId}/countersigns
   * @secure
   */
  postJobCardCountersigns = (
    cardId: string,
    data: SignedSteps,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/countersigns`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description A lead signs; the driver signs a short card of the yard. Tasks whose every step was done count as done when the work was done; what was left stays due. What was mended is closed, and so are its stops.
   *
   * @tags job cards
   * @name PostJobCardSignOff
   * @summary Sign a card off; from then on it never changes
   * @request POST:/v1/job-cards/{cardId}/sign-off
   * @secure
   */
  postJobCardSignOff = (
    cardId: string,
    data: CardSignOff,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/sign-off`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardCorrections
   * @summary Say of a closed card what is otherwise than it stands there
   * @request POST:/v1/job-cards/{cardId}/corrections
   * @secure
   */
  postJobCardCorrections = (
    cardId: string,
    data: NewCardCorrection,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/corrections`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name GetLateStepCommands
   * @summary List what was told of steps when their card was closed, and waits for a word
   * @request GET:/v1/late-step-commands
   * @secure
   */
  getLateStepCommands = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      cardId?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: LateStepCommand[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/late-step-commands`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags job cards
   * @name PostJobCardLateCommandSettle
   * @summary Say whether what came late counts
   * @request POST:/v1/job-cards/{cardId}/late-commands/{clientId}/settle
   * @secure
   */
  postJobCardLateCommandSettle = (
    cardId: string,
    clientId: string,
    data: LateDecision,
    params: RequestParams = {},
  ) =>
    this.request<WholeJobCard, Problem>({
      path: `/v1/job-cards/${cardId}/late-commands/${clientId}/settle`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name GetBringIn
   * @summary The units to bring to the shop, most pressing first, with the reason
   * @request GET:/v1/bring-in
   * @secure
   */
  getBringIn = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * Stable id.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      yardId?: string;
      /**
       * One or more of the statuses, with commas.
       * @maxLength 100
       */
      status?: string;
      /**
       * Only units whose day lies at most so many days ahead, and all that are unknown.
       * @min 0
       * @max 3650
       */
      withinDays?: number;
    },
    params: RequestParams = {},
  ) =>
    this.request<BringInList, void | Problem>({
      path: `/v1/bring-in`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name PostPeople
   * @summary Take a person in, who signs nothing before a PIN is set
   * @request POST:/v1/people
   * @secure
   */
  postPeople = (data: NewPerson, params: RequestParams = {}) =>
    this.request<Person, Problem>({
      path: `/v1/people`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name GetPeople
   * @summary List people by name
   * @request GET:/v1/people
   * @secure
   */
  getPeople = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * true: without those who have left.
       * @default "false"
       */
      here?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Person[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/people`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name GetPerson
   * @summary A person and what they may do now, with the ETag that a change needs
   * @request GET:/v1/people/{personId}
   * @secure
   */
  getPerson = (personId: string, params: RequestParams = {}) =>
    this.request<PersonNow, void | Problem>({
      path: `/v1/people/${personId}`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name PatchPerson
   * @summary Rename a person, or say that they left or came back
   * @request PATCH:/v1/people/{personId}
   * @secure
   */
  patchPerson = (
    personId: string,
    data: PersonChange,
    params: RequestParams = {},
  ) =>
    this.request<PersonNow, Problem>({
      path: `/v1/people/${personId}`,
      method: "PATCH",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name PostPersonPin
   * @summary Set or change a PIN; every sign-in of the person ends
   * @request POST:/v1/people/{personId}/pin
   * @secure
   */
  postPersonPin = (
    personId: string,
    data: NewPin,
    params: RequestParams = {},
  ) =>
    this.request<Person, Problem>({
      path: `/v1/people/${personId}/pin`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description A person who signs in can be switched to without the PIN for what a sign-in is enough for. It goes with the key that asks, and takes the place of an earlier one there.
   *
   * @tags people
   * @name PostPersonSignIns
   * @summary Sign in on this phone; the answer shows the token, once
   * @request POST:/v1/people/{personId}/sign-ins
   * @secure
   */
  postPersonSignIns = (
    personId: string,
    data: NewSignIn,
    params: RequestParams = {},
  ) =>
    this.request<BegunSignIn, Problem>({
      path: `/v1/people/${personId}/sign-ins`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name GetPersonSignIns
   * @summary List the sign-ins of a person that hold now
   * @request GET:/v1/people/{personId}/sign-ins
   * @secure
   */
  getPersonSignIns = (
    personId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: SignIn[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/people/${personId}/sign-ins`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name PostPersonSignInEnd
   * @summary End a sign-in before its time
   * @request POST:/v1/people/{personId}/sign-ins/{signInId}/end
   * @secure
   */
  postPersonSignInEnd = (
    personId: string,
    signInId: string,
    data: SignInEnd,
    params: RequestParams = {},
  ) =>
    this.request<EndedSignIn, Problem>({
      path: `/v1/people/${personId}/sign-ins/${signInId}/end`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name PostPersonCompetences
   * @summary Say what a person may do, from-to and on what evidence; a lead signs
   * @request POST:/v1/people/{personId}/competences
   * @secure
   */
  postPersonCompetences = (
    personId: string,
    data: NewCompetence,
    params: RequestParams = {},
  ) =>
    this.request<HeldCompetence, Problem>({
      path: `/v1/people/${personId}/competences`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name GetPersonCompetences
   * @summary List what a person may do, might and will do, with by whose word
   * @request GET:/v1/people/{personId}/competences
   * @secure
   */
  getPersonCompetences = (
    personId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: HeldCompetence[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/people/${personId}/competences`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name PostPersonCompetenceEnd
   * @summary End a competence now; what was signed under it stays signed
   * @request POST:/v1/people/{personId}/competences/{competenceId}/end
   * @secure
   */
  postPersonCompetenceEnd = (
    personId: string,
    competenceId: string,
    data: CompetenceEnd,
    params: RequestParams = {},
  ) =>
    this.request<HeldCompetence, Problem>({
      path: `/v1/people/${personId}/competences/${competenceId}/end`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags people
   * @name GetPersonPasses
   * @summary List the jobs that a trainee went through under the eyes of another
   * @request GET:/v1/people/{personId}/passes
   * @secure
   */
  getPersonPasses = (
    personId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: SupervisedPass[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/people/${personId}/passes`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags history
   * @name GetEvents
   * @summary What happened, numbered without gaps; ask again with the last number seen
   * @request GET:/v1/events
   * @secure
   */
  getEvents = (
    query?: {
      /**
       * @min 0
       * @max 9007199254740991
       * @default 0
       */
      after?: number;
      /**
       * @min 1
       * @max 500
       * @default 100
       */
      limit?: number;
      /** @maxLength 120 */
      subject?: string;
      /** @maxLength 80 */
      type?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<Events, Problem>({
      path: `/v1/events`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description Queries, and one mutation at a time, signed as in REST, with the signature in a variable. Bounded: 2,000 tokens, depth 12, 30 aliases, 10 fields at the top or one mutation, 2,000 fields with fragments written out, and a cost of 20,000: each object and each alias of a value costs 1, inside a connection once for each asked with `first`.
   *
   * @tags graphql
   * @name PostGraphql
   * @summary Ask the graph, or work on a card in it; see /docs/schema.graphql
   * @request POST:/graphql
   * @secure
   */
  postGraphql = (data: GraphQuestion, params: RequestParams = {}) =>
    this.request<GraphAnswer, GraphAnswer | Problem>({
      path: `/graphql`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags access
   * @name PostKeys
   * @summary Make an API key; the answer shows it, once
   * @request POST:/v1/keys
   * @secure
   */
  postKeys = (data: NewKey, params: RequestParams = {}) =>
    this.request<Key, Problem>({
      path: `/v1/keys`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags access
   * @name GetKeys
   * @summary List API keys, of gateways too, without what opens anything
   * @request GET:/v1/keys
   * @secure
   */
  getKeys = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: ListedKey[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/keys`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags access
   * @name PostKeyRevoke
   * @summary End an API key; it is refused everywhere within five seconds
   * @request POST:/v1/keys/{keyId}/revoke
   * @secure
   */
  postKeyRevoke = (
    keyId: string,
    data: RevokeKey,
    params: RequestParams = {},
  ) =>
    this.request<RevokedKey, Problem>({
      path: `/v1/keys/${keyId}/revoke`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags operation
   * @name GetHealthz
   * @summary Whether the process lives
   * @request GET:/healthz
   */
  getHealthz = (params: RequestParams = {}) =>
    this.request<Health, Problem>({
      path: `/healthz`,
      method: "GET",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags operation
   * @name GetReadyz
   * @summary Whether it can take requests: database reached, not stopping
   * @request GET:/readyz
   */
  getReadyz = (params: RequestParams = {}) =>
    this.request<Health, Problem>({
      path: `/readyz`,
      method: "GET",
      format: "json",
      ...params,
    });

  /**
   * @description Read from what stands now: a stop counts at once. `event` is what an assignment says that it relied on.
   *
   * @tags readiness
   * @name GetUnitReadiness
   * @summary What a unit may be sent to do now, why, until when, and who can clear it
   * @request GET:/v1/units/{unitId}/readiness
   * @secure
   */
  getUnitReadiness = (unitId: string, params: RequestParams = {}) =>
    this.request<UnitReadiness, Problem>({
      path: `/v1/units/${unitId}/readiness`,
      method: "GET",
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name GetReadiness
   * @summary Which units may take this call now, and why the others may not
   * @request GET:/v1/readiness
   * @secure
   */
  getReadiness = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** Only of this one. */
      function?: UnitFunction;
      /**
       * Units that are there now.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      yardId?: string;
      /**
       * One or more answers, with commas; units with one of them for `function`, or for any.
       * @maxLength 60
       */
      answer?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<ReadinessPage, Problem>({
      path: `/v1/readiness`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description The answer says what has changed since that event, and what readiness says now. A unit that was stopped before is refused with 409; what was sent before the stop was known is logged all the same. Over dispatch's own restrictions somebody of dispatch may send it, and signs.
   *
   * @tags readiness
   * @name PostUnitAssignments
   * @summary Log what a unit is sent to do, with the event that dispatch relied on
   * @request POST:/v1/units/{unitId}/assignments
   * @secure
   */
  postUnitAssignments = (
    unitId: string,
    data: NewAssignment,
    params: RequestParams = {},
  ) =>
    this.request<LoggedAssignment, Problem>({
      path: `/v1/units/${unitId}/assignments`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name GetUnitAssignments
   * @summary What a unit was sent to do, the last logged first
   * @request GET:/v1/units/{unitId}/assignments
   * @secure
   */
  getUnitAssignments = (
    unitId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Assignment[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units/${unitId}/assignments`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description It ends by its day or its use, whichever comes first. Its restriction limits readiness while it runs. Legal dates are never put off, nor what is unfit.
   *
   * @tags upkeep
   * @name PostUnitTaskDeferrals
   * @summary Defer a task until a day and an amount of use; the lead who signs approves it
   * @request POST:/v1/units/{unitId}/tasks/{taskKey}/deferrals
   * @secure
   */
  postUnitTaskDeferrals = (
    unitId: string,
    taskKey: string,
    data: NewDeferral,
    params: RequestParams = {},
  ) =>
    this.request<Deferral, Problem>({
      path: `/v1/units/${unitId}/tasks/${taskKey}/deferrals`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags upkeep
   * @name GetDeferrals
   * @summary What was put off, by whom, until when and with which restriction
   * @request GET:/v1/deferrals
   * @secure
   */
  getDeferrals = (
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /**
       * Of what is on this unit now.
       * @format uuid
       * @pattern ^([0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-8][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}|00000000-0000-0000-0000-000000000000|ffffffff-ffff-ffff-ffff-ffffffffffff)$
       */
      unitId?: string;
      /**
       * true: without those whose place another one took.
       * @default "false"
       */
      open?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: ListedDeferral[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/deferrals`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description It counts from the answer on. A work lock is signed by the person who is in it, a restriction by somebody of dispatch; a defect or an order of an inspector may come unsigned, because nothing must keep anybody from stopping a unit.
   *
   * @tags readiness
   * @name PostUnitStops
   * @summary Take functions of a unit away, or limit them
   * @request POST:/v1/units/{unitId}/stops
   * @secure
   */
  postUnitStops = (unitId: string, data: NewStop, params: RequestParams = {}) =>
    this.request<Stop, Problem>({
      path: `/v1/units/${unitId}/stops`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name GetUnitStops
   * @summary The stops of a unit and of what is on it, the last set first
   * @request GET:/v1/units/{unitId}/stops
   * @secure
   */
  getUnitStops = (
    unitId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** Left out: all. */
      open?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Stop[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units/${unitId}/stops`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name GetStopActs
   * @summary What was done with a stop, by whom, from setting it on
   * @request GET:/v1/stops/{stopId}/acts
   * @secure
   */
  getStopActs = (
    stopId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: StopAct[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/stops/${stopId}/acts`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description A work lock: the person who placed it, or by the written procedure a lead who did not. A defect: a lead, when its finding is closed. An order of an inspector: a lead, with the repairs certified. A restriction: somebody of dispatch. Others are refused with 409.
   *
   * @tags readiness
   * @name PostUnitStopClear
   * @summary Clear a stop; whose it is says who may
   * @request POST:/v1/units/{unitId}/stops/{stopId}/clear
   * @secure
   */
  postUnitStopClear = (
    unitId: string,
    stopId: string,
    data: StopClearing,
    params: RequestParams = {},
  ) =>
    this.request<Stop, Problem>({
      path: `/v1/units/${unitId}/stops/${stopId}/clear`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name PostUnitStopExtend
   * @summary Say anew until when a stop is to stand
   * @request POST:/v1/units/{unitId}/stops/{stopId}/extend
   * @secure
   */
  postUnitStopExtend = (
    unitId: string,
    stopId: string,
    data: StopExtension,
    params: RequestParams = {},
  ) =>
    this.request<Stop, Problem>({
      path: `/v1/units/${unitId}/stops/${stopId}/extend`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name PostUnitStopDropped
   * @summary Say that the load is off: a stop that waited for it counts in full
   * @request POST:/v1/units/{unitId}/stops/{stopId}/dropped
   * @secure
   */
  postUnitStopDropped = (
    unitId: string,
    stopId: string,
    data: StopDrop,
    params: RequestParams = {},
  ) =>
    this.request<Stop, Problem>({
      path: `/v1/units/${unitId}/stops/${stopId}/dropped`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name PostUnitStopHasten
   * @summary Let a stop not wait for the drop any longer
   * @request POST:/v1/units/{unitId}/stops/{stopId}/hasten
   * @secure
   */
  postUnitStopHasten = (
    unitId: string,
    stopId: string,
    data: StopDrop,
    params: RequestParams = {},
  ) =>
    this.request<Stop, Problem>({
      path: `/v1/units/${unitId}/stops/${stopId}/hasten`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * @description The same fault told again, at the same point or part, joins the open finding; the worse grade stands. It may come unsigned, because nothing must keep anybody from telling a fault.
   *
   * @tags readiness
   * @name PostUnitFindings
   * @summary Record how a place was found; unfit stops what it serves, at once
   * @request POST:/v1/units/{unitId}/findings
   * @secure
   */
  postUnitFindings = (
    unitId: string,
    data: NewFinding,
    params: RequestParams = {},
  ) =>
    this.request<RecordedFinding, Problem>({
      path: `/v1/units/${unitId}/findings`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name GetUnitFindings
   * @summary The findings of a unit and of what is on it, the last found first
   * @request GET:/v1/units/{unitId}/findings
   * @secure
   */
  getUnitFindings = (
    unitId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
      /** Left out: all. */
      open?: "true" | "false";
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: Finding[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/units/${unitId}/findings`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * No description
   *
   * @tags readiness
   * @name GetFindingReports
   * @summary Each time that a finding was told, oldest first
   * @request GET:/v1/findings/{findingId}/reports
   * @secure
   */
  getFindingReports = (
    findingId: string,
    query?: {
      /**
       * @min 1
       * @max 200
       * @default 50
       */
      limit?: number;
      /**
       * From `next` of the page before.
       * @maxLength 2000
       */
      cursor?: string;
    },
    params: RequestParams = {},
  ) =>
    this.request<
      {
        /** @maxItems 500 */
        items: FindingReport[];
        /**
         * From `next` of the page before.
         * @maxLength 2000
         */
        next?: string;
      },
      Problem
    >({
      path: `/v1/findings/${findingId}/reports`,
      method: "GET",
      query: query,
      secure: true,
      format: "json",
      ...params,
    });

  /**
   * @description The defect stop that it set is cleared with it.
   *
   * @tags readiness
   * @name PostUnitFindingClose
   * @summary Close a finding that is mended, was wrong, or was graded anew; a lead signs
   * @request POST:/v1/units/{unitId}/findings/{findingId}/close
   * @secure
   */
  postUnitFindingClose = (
    unitId: string,
    findingId: string,
    data: FindingClosing,
    params: RequestParams = {},
  ) =>
    this.request<Finding, Problem>({
      path: `/v1/units/${unitId}/findings/${findingId}/close`,
      method: "POST",
      body: data,
      secure: true,
      type: "application/json",
      format: "json",
      ...params,
    });
}
