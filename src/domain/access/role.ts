/** Who a key may be. A key is not a person: persons sign with their PIN. */
export const roles = [
  'gateway',
  'dispatcher',
  'technician',
  'lead',
  'parts',
  'auditor',
  'integrator',
  'admin',
] as const;
export type Role = (typeof roles)[number];

/** What routes ask for, by duty; every role that may do it. */
export const duties = {
  /** Post readings and declare counters, for its own gateway. */
  report_use: ['gateway'],
  /** Read lists, units, tasks, usage. */
  read: ['dispatcher', 'technician', 'lead', 'parts', 'auditor', 'integrator', 'admin'],
  /** Read the event history. */
  read_history: ['dispatcher', 'lead', 'auditor', 'integrator', 'admin'],
  /** Say that work is done. */
  record_work: ['technician', 'lead', 'integrator', 'admin'],
  /** Read a meter off its dial, and take a wrong entry back. */
  read_meters: ['dispatcher', 'technician', 'lead', 'integrator', 'admin'],
  /** Write up job cards, and what is done with them; persons sign besides. */
  work_cards: ['technician', 'lead', 'integrator', 'admin'],
  /** Tell what is wrong with a unit, and walk round it. */
  report_fault: ['dispatcher', 'technician', 'lead', 'integrator', 'admin'],
  /** Stop a unit, and clear what the person who signs may clear. */
  set_stops: ['dispatcher', 'technician', 'lead', 'integrator', 'admin'],
  /** Say what a unit was sent to do. */
  dispatch_units: ['dispatcher', 'lead', 'integrator', 'admin'],
  /** Void a record, defer a task, date a severity. */
  decide_work: ['lead', 'admin'],
  /** Agree when a unit comes to the shop. */
  plan_visits: ['dispatcher', 'lead', 'integrator', 'admin'],
  /** Bring in yards, units, assets, installs, gateways, patterns. */
  keep_fleet: ['lead', 'integrator', 'admin'],
  /** Declare counters and ask for epochs: the gateway itself or who keeps the fleet. */
  declare_counters: ['gateway', 'lead', 'integrator', 'admin'],
  /** See a gateway's counters and verdicts. */
  see_gateway: [
    'gateway',
    'dispatcher',
    'technician',
    'lead',
    'parts',
    'auditor',
    'integrator',
    'admin',
  ],
  /** Try out what stores nothing and shows nothing of a fleet. */
  try_out: roles,
  /** See who works here and what each may do. */
  read_people: ['dispatcher', 'technician', 'lead', 'auditor', 'integrator', 'admin'],
  /** Let people sign on what holds this key. */
  sign: ['dispatcher', 'technician', 'lead', 'integrator', 'admin'],
  /** Take people in, let them go, say what each may do, give a forgotten PIN anew. */
  keep_people: ['lead', 'admin'],
  /** Say how the whole fleet works. */
  set_fleet: ['admin'],
  /** Take the whole fleet along, or have it deleted. */
  take_fleet: ['admin'],
  /** Make and revoke keys. */
  keep_keys: ['admin'],
} as const satisfies Record<string, readonly Role[]>;
export type Duty = keyof typeof duties;

export function roleMay(role: Role, duty: Duty): boolean {
  return (duties[duty] as readonly Role[]).includes(role);
}
