// Way made and check of every stroke over the race, each with half its 90 % interval; the stroke at the cursor stands out.
import { colours, fit, font, ratio, step } from './paint.js';
import * as words from './words.js';

const rows = [['metres', 'metresSd', 'm in a stroke'], ['check', 'checkSd', 'check, m/s']];

export function lengths(canvas, model, t) {
  const g = fit(canvas), w = canvas.width, h = canvas.height, r = ratio(), c = colours(), s = model.strokes;
  g.clearRect(0, 0, w, h); font(g, 11); g.textBaseline = 'middle';
  const shown = rows.filter(([name]) => s && s[name]?.some(Number.isFinite));
  if (!shown.length) { g.fillStyle = c.soft; g.fillText(s ? 'A track would show it.' : 'A motion log with a track would show it.', 4 * r, h / 2); return; }
  const from = model.go ?? s.t[0], to = model.finish ?? s.t[s.t.length - 1], X = x => 34 * r + (x - from) / ((to - from) || 1) * (w - 40 * r), each = h / shown.length, here = model.strokeAt(t);
  shown.forEach(([name, spread, label], k) => {
    const at = s.t.map((x, i) => i).filter(i => Number.isFinite(s[name][i]) && s.t[i] >= from && s.t[i] <= to && s.quality[i] > .2);
    if (!at.length) return;
    const ys = at.map(i => s[name][i]).sort((a, b) => a - b), low = ys[Math.floor(.02 * (ys.length - 1))], high = ys[Math.floor(.98 * (ys.length - 1))], room = .15 * (high - low) + 1e-6;
    const top = k * each + 14 * r, Y = y => top + (high + room - y) / (high - low + 2 * room) * (each - 20 * r), gap = step(high - low + 2 * room, 3);
    g.fillStyle = c.soft; g.strokeStyle = c.rule; g.lineWidth = 1; g.textBaseline = 'middle';
    for (let y = Math.ceil((low - room) / gap) * gap; y <= high + room; y += gap) { g.beginPath(); g.moveTo(34 * r, Y(y)); g.lineTo(w, Y(y)); g.stroke(); g.fillText(words.number(y, gap < 1 ? 1 : 0), 2 * r, Y(y)); }
    g.textBaseline = 'top'; g.fillText(label, 34 * r, k * each);
    g.save(); g.beginPath(); g.rect(34 * r, top, w, each - 16 * r); g.clip();
    for (const i of at) {
      const half = 1.645 * (s[spread]?.[i] ?? 0), x = X(s.t[i]), now = i === here;
      g.strokeStyle = g.fillStyle = c.us; g.globalAlpha = now ? 1 : .3; g.lineWidth = now ? 2 * r : 1; g.beginPath(); g.moveTo(x, Y(s[name][i] - half)); g.lineTo(x, Y(s[name][i] + half)); g.stroke();
      g.globalAlpha = now ? 1 : .75; g.beginPath(); g.arc(x, Y(s[name][i]), (now ? 3.6 : 1.4) * r, 0, 7); g.fill();
    }
    g.globalAlpha = 1; g.restore();
  });
}
