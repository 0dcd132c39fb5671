// Canvases in device pixels, and the page's colours as the style sheet has them.
export const ratio = () => Math.min(3, window.devicePixelRatio || 1);

export function fit(canvas) {
  const r = ratio(), w = Math.max(1, Math.round(canvas.clientWidth * r)), h = Math.max(1, Math.round(canvas.clientHeight * r));
  if (canvas.width !== w || canvas.height !== h) { canvas.width = w; canvas.height = h; }
  return canvas.getContext('2d');
}

export const dashes = [[], [7, 3], [2, 3], [9, 3, 2, 3], [5, 5], [1, 2], [12, 4]];

let known = null;
export function colours() {
  if (known) return known;
  const s = getComputedStyle(document.documentElement), get = n => s.getPropertyValue(n).trim();
  known = { paper: get('--paper'), raised: get('--raised'), ink: get('--ink'), soft: get('--soft'), rule: get('--rule'), water: get('--water'), waterLine: get('--water-line'),
    us: get('--us'), now: get('--now'), band: +get('--band') || .16, rivals: [0, 1, 2, 3, 4, 5, 6].map(i => get('--rival-' + i)) };
  return known;
}
export function forgetColours() { known = null; }

export function font(ctx, px, weight = 400) { ctx.font = `${weight} ${px * ratio()}px "Atkinson Hyperlegible Next", system-ui, sans-serif`; }

// A step of 1, 2 or 5 times a power of ten that gives about n of them.
export function step(span, n) {
  const raw = span / n, ten = Math.pow(10, Math.floor(Math.log10(raw)));
  return raw / ten <= 1 ? ten : raw / ten <= 2 ? 2 * ten : raw / ten <= 5 ? 5 * ten : 10 * ten;
}
