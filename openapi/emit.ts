import { writeFile } from 'node:fs/promises';
import { openApiText } from './document.ts';

const target = new URL('./openapi.json', import.meta.url);
await writeFile(target, await openApiText());
