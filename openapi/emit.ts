import { writeFile } from 'node:fs/promises';
import { contractTexts } from './document.ts';
import { clientText } from './generate-client.ts';

const at = (name: string) => new URL(`./${name}`, import.meta.url);
const { openApi: text, graph } = await contractTexts();
await writeFile(at('openapi.json'), text);
await writeFile(at('client.ts'), await clientText(text));
await writeFile(at('schema.graphql'), graph);
