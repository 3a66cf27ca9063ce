import type { FleetBuilder, Signing } from '../helpers/fleet.ts';
import type { List } from './lists-of-the-shop.ts';

/** What the lists of stops and findings are tried with: on this unit more and more is told. */
export interface Telling {
  fleet: FleetBuilder;
  unitId: string;
  yardId: string;
  next(): number;
}

/** Lists of the readiness of units; `telling` is asked once the fleet is there. */
export function readinessLists(telling: () => Telling): Record<string, List> {
  const told = { stopId: '', findingId: '' };
  let lead: Signing | null = null;
  const on = (rest: string) => `/v1/units/${telling().unitId}${rest}`;
  const post = (rest: string, body: object) => telling().fleet.client.made(on(rest), body);
  const stop = () => post('/stops', { kind: 'defect', reason: 'bent' });
  const tell = (part: string) => post('/findings', { part, grade: 'keep_watch', words: '' });
  const extend = async () => {
    told.stopId ||= (await stop()).stopId;
    lead ??= await telling().fleet.person(['lead']);
    const words = 'no part yet';
    const body = { until: null, words, signature: lead.signature };
    return post(`/stops/${told.stopId}/extend`, body);
  };
  const report = async () => {
    told.findingId = (await tell('hook')).finding.findingId;
  };
  const defer = async () => {
    lead ??= await telling().fleet.person(['lead']);
    const use = { untilUse: { pto_hours: 1 } };
    const body = { untilDay: '2026-03-09', ...use, reason: 'no part', signature: lead.signature };
    return post('/tasks/grease/deferrals', body);
  };
  const assign = () => post('/assignments', { functions: ['wheel_lift'], reliedOn: 0 });
  return {
    '/v1/deferrals': { id: ['deferralId'], key: 'id', add: defer },
    '/v1/units/{unitId}/assignments': {
      id: ['assignmentId'],
      url: () => on('/assignments'),
      key: 'id',
      add: assign,
    },
    '/v1/units/{unitId}/stops': {
      id: ['stopId'],
      url: () => on('/stops'),
      key: 'id',
      add: stop,
    },
    '/v1/stops/{stopId}/acts': {
      id: ['actId'],
      url: () => `/v1/stops/${told.stopId}/acts`,
      key: 'id',
      add: extend,
    },
    '/v1/units/{unitId}/findings': {
      id: ['findingId'],
      url: () => on('/findings'),
      key: 'id',
      add: () => tell(`part ${telling().next()}`),
    },
    '/v1/findings/{findingId}/reports': {
      id: ['reportId'],
      url: () => `/v1/findings/${told.findingId}/reports`,
      key: 'id',
      add: report,
    },
    '/v1/readiness': {
      id: ['unitId'],
      key: 'text',
      add: () => telling().fleet.unit(telling().yardId),
    },
  };
}
