import { generateApi } from 'swagger-typescript-api';

const head = `// Made from openapi.json by \`npm run spec\`: never edit it by hand.

`;

/** The typed client of the contract, as text: shapes, and one function an operation. */
export async function clientText(openApi: string): Promise<string> {
  const { files } = await generateApi({
    spec: JSON.parse(openApi),
    output: false,
    silent: true,
    httpClientType: 'fetch',
    generateUnionEnums: true,
    apiClassName: 'Liftwright',
    // Further down than any path goes: all functions in one place.
    moduleNameIndex: 99,
    templates: new URL('./templates', import.meta.url).pathname,
  });
  const made = files[0]?.fileContent ?? '';
  // The tool writes a parameter of its own for the key, which the client here knows to be text.
  const text = made.replaceAll(/<\s*SecurityDataType( extends unknown,?)?\s*>/g, '');
  return head + text.replaceAll('Partial<Record<string, any>>', 'Record<string, unknown>');
}
