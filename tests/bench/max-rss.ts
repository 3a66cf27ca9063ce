/** Preloaded into a process that is measured: says at its end how much memory it held at most. */
process.on('exit', () => {
  process.stderr.write(`max-rss-kb ${process.resourceUsage().maxRSS}\n`);
});
