import { colours, fit, font, forgetColours, ratio, step } from './race/paint.js';
import { Model } from './race/model.js';
import * as words from './race/words.js';
import { get } from './talk.js';

const canvas = document.getElementById('compare');
if (canvas) {
  const [a, b] = await Promise.all([canvas.dataset.a, canvas.dataset.b].map(async id => new Model(await (await get(`/outings/${id}/debrief`)).json())));
  const points = m => (m.strokes ? m.strokes.t.map((t, i) => [m.metresAt(t), m.strokes.speed[i]]) : []).filter(([x, v]) => x > 30 && v != null && (!m.doc.clock.distance || x < m.doc.clock.distance));
  const draw = () => {
    const g = fit(canvas), w = canvas.width, h = canvas.height, r = ratio(), c = colours(), all = [points(a), points(b)], ys = all.flat().map(p => p[1]).sort((x, y) => x - y);
    g.clearRect(0, 0, w, h); font(g, 12); g.fillStyle = c.soft;
    if (!ys.length) { g.fillText('Neither race has strokes with a speed.', 6 * r, h / 2); return; }
    const far = Math.max(...all.flat().map(p => p[0])), low = ys[Math.floor(ys.length * .02)] - .2, high = ys.at(-1) + .1, X = x => 50 * r + x / far * (w - 60 * r), Y = y => 8 * r + (high - Math.max(low, y)) / (high - low) * (h - 34 * r);
    g.strokeStyle = c.rule; g.lineWidth = 1; g.textBaseline = 'middle';
    const gap = step(high - low, 5); for (let y = Math.ceil(low / gap) * gap; y < high; y += gap) { g.beginPath(); g.moveTo(50 * r, Y(y)); g.lineTo(w, Y(y)); g.stroke(); g.fillText(words.speed(y), 2 * r, Y(y)); }
    g.textBaseline = 'bottom'; for (let x = 250; x < far; x += far > 3000 ? 1000 : 250) g.fillText(x + ' m', X(x), h - 2);
    all.forEach((list, i) => { g.strokeStyle = i ? c.rivals[3] : c.us; g.setLineDash(i ? [7 * r, 3 * r] : []); g.lineWidth = 2 * r; g.beginPath(); list.forEach(([x, y], n) => n ? g.lineTo(X(x), Y(y)) : g.moveTo(X(x), Y(y))); g.stroke(); }); g.setLineDash([]);
  };
  draw(); addEventListener('resize', draw); matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => { forgetColours(); draw(); });
}
