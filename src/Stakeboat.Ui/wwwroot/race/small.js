// The small pictures: the whole race for scrubbing, the stroke at the cursor, the line rowed.
import { colours, fit, font, ratio, step } from './paint.js';
import * as words from './words.js';

const family = type => ['margin', 'trend', 'want', 'rivalMove'].includes(type) ? 0 : ['rate', 'rateChange', 'pace', 'count'].includes(type) ? 1 : ['distance', 'time', 'strokesTo'].includes(type) ? 2 : 3;

export function overview(canvas, model, view, t) {
  const g = fit(canvas), w = canvas.width, h = canvas.height, r = ratio(), c = colours(), X = x => (x - model.from) / (model.to - model.from) * w;
  g.clearRect(0, 0, w, h);
  g.fillStyle = c.raised; g.fillRect(0, 0, w, h);
  if (model.go !== null) { g.fillStyle = c.water; g.fillRect(X(model.go), 0, X(model.finish ?? model.to) - X(model.go), h); }
  const tints = [c.us, c.rivals[0], c.rivals[3], c.soft];
  for (const call of model.calls) {
    if (call.type === 'spirit') continue;
    const f = family(call.type), x = Math.round(X(call.t));
    g.fillStyle = tints[f]; g.globalAlpha = .35 + .65 * call.confidence; g.fillRect(x, h * (.12 + .2 * f), Math.max(1, Math.round(1.5 * r)), h * .17); g.globalAlpha = 1;
  }
  for (const m of model.moves) if (m.crew === model.us.name) { g.fillStyle = c.us; g.fillRect(X(m.from), 0, Math.max(2 * r, X(m.to) - X(m.from)), 3 * r); }
  g.strokeStyle = c.ink; g.lineWidth = r; g.strokeRect(X(view.from) + .5, .5, X(view.to) - X(view.from) - 1, h - 1);
  const x = Math.round(X(t)); g.fillStyle = c.now; g.fillRect(x - r, 0, 2 * r, h); g.beginPath(); g.moveTo(x - 5 * r, 0); g.lineTo(x + 5 * r, 0); g.lineTo(x, 7 * r); g.fill();
}

export function stroke(canvas, model, t) {
  const g = fit(canvas), w = canvas.width, h = canvas.height, r = ratio(), c = colours(), s = model.strokes, i = model.strokeAt(t);
  g.clearRect(0, 0, w, h); font(g, 11);
  if (!model.speed || !s || i < 0 || model.speed.hz < 4) { g.fillStyle = c.soft; g.textBaseline = 'middle'; g.fillText(model.speed && model.speed.hz >= 4 ? 'No stroke here.' : 'A motion log or a 5 Hz track would show it.', 4 * r, h / 2); return; }
  const first = Math.max(0, i - 5), spans = [];
  for (let k = first; k <= i; k++) { const end = k + 1 < s.t.length ? s.t[k + 1] : s.t[k] + 60 / (s.rate[k] || 30); if (end - s.t[k] < 6) spans.push([s.t[k], end]); }
  let low = Infinity, high = -Infinity, long = 0;
  for (const [a, b] of spans) { const [l, m] = model.speed.range((a - model.speed.t0) * model.speed.hz, (b - model.speed.t0) * model.speed.hz); low = Math.min(low, l); high = Math.max(high, m); long = Math.max(long, b - a); }
  if (!(high > low)) return;
  const X = x => 34 * r + x / long * (w - 40 * r), Y = y => 8 * r + (high - y) / (high - low) * (h - 28 * r), gap = step(high - low, 3);
  g.strokeStyle = c.rule; g.fillStyle = c.soft; g.lineWidth = 1; g.textBaseline = 'middle';
  for (let y = Math.ceil(low / gap) * gap; y <= high; y += gap) { g.beginPath(); g.moveTo(34 * r, Y(y)); g.lineTo(w, Y(y)); g.stroke(); g.fillText(words.number(y, gap < 1 ? 1 : 0), 2 * r, Y(y)); }
  g.textBaseline = 'bottom'; g.fillText('m/s over seconds from the catch', 34 * r, h - 1);
  spans.forEach(([a, b], k) => {
    const now = k === spans.length - 1;
    g.strokeStyle = c.us; g.globalAlpha = now ? 1 : .2 + .08 * k; g.lineWidth = (now ? 2.4 : 1.2) * r; g.beginPath();
    for (let x = a, n = 0; x <= b; x += 1 / model.speed.hz, n++) { const y = model.speed.at(x); if (Number.isFinite(y)) n ? g.lineTo(X(x - a), Y(y)) : g.moveTo(X(x - a), Y(y)); }
    g.stroke(); g.globalAlpha = 1;
    if (now) { const x = X(Math.min(t - a, long)); g.strokeStyle = c.now; g.lineWidth = 1.5 * r; g.beginPath(); g.moveTo(x, 0); g.lineTo(x, h - 16 * r); g.stroke(); }
  });
}

export function line(canvas, model, t) {
  const g = fit(canvas), w = canvas.width, h = canvas.height, r = ratio(), c = colours(), l = model.doc.line;
  g.clearRect(0, 0, w, h); font(g, 11); g.textBaseline = 'middle';
  if (!l || l.t.length < 2) { g.fillStyle = c.soft; g.fillText('A track would show it.', 4 * r, h / 2); return; }
  let most = 3; for (const a of l.across) most = Math.max(most, Math.abs(a));
  const from = l.along[0], to = l.along[l.along.length - 1], X = x => 34 * r + (x - from) / ((to - from) || 1) * (w - 40 * r), Y = y => h / 2 - 6 * r + y / most * (h / 2 - 18 * r), gap = step(2 * most, 4);
  g.lineWidth = 1; g.fillStyle = c.soft;
  for (let y = -Math.floor(most / gap) * gap; y <= most; y += gap) { g.strokeStyle = Math.abs(y) < 1e-9 ? c.ink : c.rule; g.beginPath(); g.moveTo(34 * r, Y(y)); g.lineTo(w, Y(y)); g.stroke(); g.fillText(words.signed(y, gap < 1 ? 1 : 0), 2 * r, Y(y)); }
  g.strokeStyle = c.us; g.lineWidth = 1.6 * r; g.beginPath(); l.t.forEach((_, i) => i ? g.lineTo(X(l.along[i]), Y(l.across[i])) : g.moveTo(X(l.along[i]), Y(l.across[i]))); g.stroke();
  let k = 0; while (k + 1 < l.t.length && l.t[k + 1] <= t) k++;
  g.fillStyle = c.now; g.beginPath(); g.arc(X(l.along[k]), Y(l.across[k]), 4.5 * r, 0, 7); g.fill();
  g.fillStyle = c.soft; g.textBaseline = 'bottom'; g.fillText('m to starboard (below) over metres from the start', 34 * r, h - 1);
}
