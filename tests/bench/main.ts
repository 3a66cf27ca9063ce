import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { backlog } from './backlog.ts';
import { bytesFigures } from './bytes.ts';
import { foldSpeed } from './fold-speed.ts';
import { live } from './live.ts';
import { ownerUrlOf } from './owner-url.ts';
import { postGroups } from './post-group.ts';
import { postToList } from './post-to-list.ts';
import { type Running, scratchFolder, startProcess } from './process.ts';
import { rebuildFigures } from './rebuild.ts';
import { singlePosts } from './single-posts.ts';
import { secondStart, seconds } from './start.ts';

/**
 * `npm run bench`: every figure against the plain way in the same run; `-- --json` prints one
 * object.
 */
const { values } = parseArgs({
  options: { json: { type: 'boolean' }, quick: { type: 'boolean' }, port: { type: 'string' } },
});
const port = Number(values.port ?? 18_390);
const say = (text: string) => {
  if (!values.json) process.stdout.write(`${text}\n`);
};

const figures: Record<string, number | string> = {};
const folder = await scratchFolder();
let service: Running | null = null;
try {
  say('the fold alone, in one thread …');
  Object.assign(figures, foldSpeed(2_000_000, values.quick ? 3 : 9));
  say('first start on an empty folder …');
  service = await startProcess({ DATA_DIR: folder.path, ROLE: 'api' }, port);
  figures.first_start_s = seconds(service.startMs);
  const ownerUrl = await ownerUrlOf(folder.path);
  say('backlog profile: 500-reading posts against keyed COPY …');
  Object.assign(
    figures,
    await backlog(service, ownerUrl, values.quick ? 3 : 9, values.quick ? 40 : 120),
  );
  await service.stop();
  service = null;
  say('single readings at the database: groups against one transaction each …');
  service = await startProcess({ DATA_DIR: folder.path, ROLE: 'api' }, port);
  Object.assign(figures, await postGroups(service, ownerUrl, values.quick ? 3 : 9));
  await service.stop();
  service = null;
  say('single readings over HTTP: group commit on and off …');
  const [rounds, each] = values.quick ? [2, 60] : [6, 200];
  Object.assign(figures, await singlePosts(folder.path, port, rounds, each));
  say('second starts …');
  Object.assign(figures, await secondStart(folder.path, port, values.quick ? 2 : 5));
  say('live profile: 1 to 5 readings a post, 10 % duplicates, fold running …');
  service = await startProcess({ DATA_DIR: folder.path }, port);
  Object.assign(figures, await live(service, values.quick ? 3_000 : 20_000));
  await service.stop();
  service = null;
  say('from a post to the bring-in list: one post a minute from each gateway …');
  const lists = await scratchFolder();
  try {
    service = await startProcess({ DATA_DIR: lists.path }, port);
    const owner = await ownerUrlOf(lists.path);
    Object.assign(figures, await postToList(service, owner, values.quick ? 1_000 : 5_000, 60));
    await service.stop();
  } finally {
    await lists.remove();
  }
  say('a line of many readings folded anew …');
  const anew = await scratchFolder();
  try {
    service = await startProcess({ DATA_DIR: anew.path, ROLE: 'api' }, port);
    const readings = values.quick ? 1_000_000 : 10_000_000;
    const owner = await ownerUrlOf(anew.path);
    Object.assign(figures, await rebuildFigures(service, anew.path, owner, readings));
    say('bytes a reading …');
    Object.assign(figures, await bytesFigures(service, owner));
    await service.stop();
  } finally {
    await anew.remove();
  }
} finally {
  // Stopping twice does nothing: the process has gone.
  if (service?.child.exitCode === null) await service.stop();
  await folder.remove();
}
const { version } = JSON.parse(
  await readFile(join(import.meta.dirname, '../../package.json'), 'utf8'),
) as { version: string };
figures.version = version;
if (values.json) process.stdout.write(`${JSON.stringify(figures)}\n`);
else {
  for (const [name, value] of Object.entries(figures)) {
    say(`${name.padEnd(34)} ${typeof value === 'number' ? Number(value.toPrecision(5)) : value}`);
  }
}
