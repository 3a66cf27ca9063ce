import type { ShownCounter } from '../../flows/declare-counters.ts';
import type { showTask } from '../../flows/show-task.ts';
import type { AssetOnUnit } from '../../store/asset.ts';
import type { ShownEvent } from '../../store/event.ts';
import type { GatewayWithContact } from '../../store/gateway.ts';
import type { InstallRow } from '../../store/install.ts';
import type { BringInRow } from '../../store/standing.ts';
import type { UnitWithYards } from '../../store/unit.ts';
import type { YardRow } from '../../store/yard.ts';
import { builder } from '../builder.ts';
import { connectionOf } from '../connection.ts';

/** The kinds of nodes: rows of the store. Their fields are in the files beside this one. */

export const Yard = builder.objectRef<YardRow>('Yard');
export const Unit = builder.objectRef<UnitWithYards>('Unit');
export const Asset = builder.objectRef<AssetOnUnit>('Asset');
export const Install = builder.objectRef<InstallRow>('Install');
export const Gateway = builder.objectRef<GatewayWithContact>('Gateway');
export const Counter = builder.objectRef<ShownCounter>('Counter');
export type Task = ReturnType<typeof showTask> & { unitId: string };
export const UpkeepTask = builder.objectRef<Task>('UpkeepTask');
export const BringInUnit = builder.objectRef<BringInRow>('BringInUnit');
export const Event = builder.objectRef<ShownEvent>('Event');

export const YardConnection = connectionOf(Yard, 'Yard');
export const UnitConnection = connectionOf(Unit, 'Unit');
export const AssetConnection = connectionOf(Asset, 'Asset');
export const InstallConnection = connectionOf(Install, 'Install');
export const GatewayConnection = connectionOf(Gateway, 'Gateway');
export const UpkeepTaskConnection = connectionOf(UpkeepTask, 'UpkeepTask');
export const BringInConnection = connectionOf(BringInUnit, 'BringIn');
export const EventConnection = connectionOf(Event, 'Event');
