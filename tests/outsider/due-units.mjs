// Lists the units that are due, as JSON: node due-units.mjs <address> <key> rest|graph
// Written from README.md and the pages under /docs alone.
const [base, key, way] = process.argv.slice(2);
async function ask(path, question) {
  for (;;) {
    const answer = await fetch(new URL(path, base), {
      method: question ? 'POST' : 'GET',
      headers: { authorization: `Bearer ${key}`, 'content-type': 'application/json' },
      body: question && JSON.stringify(question),
    });
    const body = await answer.json();
    if (answer.ok && !body.errors) return body;
    const wait = Number(answer.headers.get('retry-after'));
    if (!wait) throw new Error(`${body.code ?? answer.status}: ${JSON.stringify(body)}`);
    await new Promise((done) => setTimeout(done, wait * 1000));
  }
}
const shown = (number, { status, reasons }) => ({ number, status, why: reasons[0]?.text });
async function* overRest() {
  let cursor = '';
  do {
    const page = await ask(`/v1/bring-in?limit=2&status=overrun,in_window,unknown${cursor}`);
    yield* page.items.map((unit) => shown(unit.number, unit));
    cursor = page.next && `&cursor=${encodeURIComponent(page.next)}`;
  } while (cursor);
}
const query = `query ($after: String) {
  bringIn(first: 2, after: $after, status: [overrun, in_window, unknown]) {
    nodes { status unit { number } reasons { text } } pageInfo { hasNextPage endCursor } } }`;
async function* overGraph() {
  let page = { hasNextPage: true, endCursor: null };
  while (page.hasNextPage) {
    const variables = { after: page.endCursor };
    const { bringIn } = (await ask('/graphql', { query, variables })).data;
    yield* bringIn.nodes.map((node) => shown(node.unit.number, node));
    page = bringIn.pageInfo;
  }
}
const listed = await Array.fromAsync(way === 'graph' ? overGraph() : overRest());
process.stdout.write(JSON.stringify(listed));
