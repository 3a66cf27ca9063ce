import { writeFile } from 'node:fs/promises';
import { openApiText } from './document.ts';
import { clientText } from './generate-client.ts';

const at = (name: string) => new URL(`./${name}`, import.meta.url);
const text = await openApiText();
await writeFile(at('openapi.json'), text);
await writeFile(at('client.ts'), await clientText(text));
