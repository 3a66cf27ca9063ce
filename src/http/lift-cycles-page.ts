import {
  basesOfMeter,
  cycleBases,
  cycleBasisVersion,
  cycleMeters,
  debounceMsUsual,
  holdMsUsual,
  sampleGapMsUsual,
  strokeHome,
  strokeOut,
} from '../domain/usage/cycle-basis.ts';
import { type NotCountedReason, notCountedReasons } from '../domain/usage/derive-cycles.ts';
import { builtInMeter } from '../domain/usage/meter.ts';
import { escapeHtml } from './html.ts';

const cycleMeans: Record<(typeof cycleMeters)[number], string> = {
  lift_cycles:
    'Something was lifted and set down again: one load, from the moment the lift carries it ' +
    'until it no longer does. A lift raised with nothing on it is none.',
  fold_cycles: 'The crossbar left its folded place and came back to it.',
  reach_cycles: 'The boom left its retracted place and came back to it.',
  arm_cycles: 'The arms left their open place (closed on wheels or not) and opened again.',
};

const basisMeans: Record<(typeof cycleBases)[number], string> = {
  switch: `One switch. 0 at home (folded, retracted, open), 1 away from it; for lift cycles a
load switch: 0 empty, 1 loaded. A state counts once it holds for <code>holdMs</code>
(${debounceMsUsual} ms unless set otherwise): contacts bounce, and on the road a lift that is at
home shakes its switch. The cycle runs from the first moment of the one held state to the first
moment of the other.`,
  pressure: `Pressure in the lift cylinder, in bar, taken between the cylinder and the valve that
holds its load: on the pump's side it falls as soon as the lever is let go. Two thresholds, so that
noise between them changes nothing: at or above <code>loadedBar</code> it is loaded, at or below
<code>emptyBar</code> empty, each once it holds for <code>holdMs</code> (${holdMsUsual} ms unless
set otherwise). <b>Both are measured on the truck and have no usual value</b>:
<code>loadedBar</code> above the highest pressure of an empty lift while it is raised, and below
that of the lightest vehicle it will carry, less the noise of the sensor; <code>emptyBar</code>
above what it shows with the lift at rest on the ground, and well below <code>loadedBar</code>.
Raised against its stop, an empty lift shows the pressure of the relief valve: that is why a load
shorter than the fastest cycle is none.`,
  coil: `Two coils of one function: 1 out (unfold, extend, close), -1 back, 0 neither. How far it
was moved is reckoned from how long which coil was on, out less back, between 0 and
<code>strokeMs</code>, the time of a whole stroke with warm oil, <b>measured on the truck</b>. It
was out from ${strokeOut * 100} % of a stroke on, and is home again below ${strokeHome * 100} %.
Short moves add up. With cold oil a stroke takes longer: half a stroke in the cold can pass for a
whole one, and never the other way round.`,
};

const whyMeans: Record<NotCountedReason, string> = {
  bounce: 'a level did not hold',
  not_loaded: 'the pressure rose above emptyBar for holdMs or longer, but never held loadedBar',
  too_short: 'over in less time than the fastest cycle of the meter takes',
  short_stroke: 'less than half of a stroke, then home again',
};

const row = (cells: readonly string[]): string =>
  `<tr>${cells.map((cell) => `<td>${cell}</td>`).join('')}</tr>`;

/** What a cycle is and how firmware reads it from each signal, for people who write firmware. */
export function liftCyclesPage(): string {
  const meters = cycleMeters.map((meter) => {
    const seconds = (builtInMeter(meter)?.fastestCycleMs ?? 0) / 1000;
    const bases = basesOfMeter[meter].map((basis) => `<code>${basis}</code>`).join(', ');
    return row([`<code>${meter}</code>`, escapeHtml(cycleMeans[meter]), bases, `${seconds} s`]);
  });
  const bases = cycleBases.map(
    (b) => `<h3 id="${b}"><code>${b}</code></h3><p>${basisMeans[b]}</p>`,
  );
  const reasons = notCountedReasons.map((why) =>
    row([`<code>${why}</code>`, escapeHtml(whyMeans[why])]),
  );
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Liftwright: lift cycles</title></head>
<body><h1>What a cycle is, and how to count it</h1>
<p>Version ${cycleBasisVersion} of every basis. All figures are <b>common practice, no source</b>;
no standard for counting the cycles of wheel lifts is known to us.</p>
<p><b>Work on a lift can hurt people.</b> Sensors, switches and their wiring must not get in the way
of any function of the lift, nor act on it; a pressure sensor is fitted to a circuit without
pressure, lift on the ground, and the valve that holds the load stays what it is. The equipment
maker's manual, local codes and qualified practice come before anything said here. A count of
cycles says when to look at a part, never that a part is sound.</p>
<h2>Cycles</h2>
<table><thead><tr><th>meter</th><th>one cycle</th><th>bases</th><th>fastest</th></tr></thead>
<tbody>${meters.join('\n')}</tbody></table>
<h2>Bases</h2>
${bases.join('\n')}
<h2>Samples</h2>
<p>A sample holds until the next one, if that is at most <code>gapMs</code> away
(${sampleGapMsUsual} ms unless set otherwise). Of a longer time nothing is known: a level has to
hold anew after it, what was open goes on, and no cycle is made up inside it. Sample at least three
times within <code>holdMs</code>, or a single wrong sample passes for a state. A device that samples
only on change sets <code>gapMs</code> to as long as a state can last.</p>
<h2>What is not counted</h2>
<table><thead><tr><th>why</th><th>what happened</th></tr></thead><tbody>
${reasons.join('\n')}
</tbody></table>
<h2>Declaring the counter</h2>
<p>A counter of cycles states its <code>basis</code> and <code>basisVersion</code>
(<code>POST /v1/gateways/me/counters</code>): <code>{"counter": "lifts", "meter": "lift_cycles",
"resolution": 1, "basis": "pressure", "basisVersion": ${cycleBasisVersion}}</code>. Counted
otherwise, it is another counter: declare a new one. Bases are never mixed in one line of counting,
and what was learned of wear from cycles of one basis does not hold for cycles of another.</p>
<p>To test firmware against the reference, post samples to <code>/v1/lift-cycles/check</code> (any
key; nothing is stored): it answers each cycle with its times, and why others were not counted.</p>
<p><a href="/docs">Routes and shapes</a></p></body></html>`;
}
