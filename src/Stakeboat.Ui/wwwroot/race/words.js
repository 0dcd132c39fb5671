// Numbers as people read them, in the units of their choice (the page's root says which).
const root = document.documentElement;
export const marginUnit = () => ({ lengths: 'lengths', metres: 'm', feet: 'ft' })[root.dataset.margin] || 'seats';
export const marginScale = crew => root.dataset.margin === 'lengths' ? 1 / crew.length : root.dataset.margin === 'metres' ? 1 : root.dataset.margin === 'feet' ? 1 / .3048 : 1 / crew.seatSpacing;
export const marginDigits = () => root.dataset.margin === 'lengths' ? 2 : 1;
export const speedUnit = () => ({ mps: 'm/s', kmh: 'km/h', mph: 'mph' })[root.dataset.speed] || '/500 m';

export function clock(seconds, digits = 1) {
  const scale = 10 ** digits, r = Math.round(Math.abs(seconds) * scale) / scale, m = Math.floor(r / 60);
  return (seconds < 0 && r > 0 ? '−' : '') + m + ':' + (r - 60 * m).toFixed(digits).padStart(digits ? digits + 3 : 2, '0');
}
export const number = (x, digits = 1) => x == null || !Number.isFinite(x) ? '' : (Number(x.toFixed(digits)) < 0 ? '−' : '') + Math.abs(x).toFixed(digits);
export const signed = (x, digits = 1) => x == null || !Number.isFinite(x) ? '' : (Number(x.toFixed(digits)) > 0 ? '+' : '') + number(x, digits);
export function speed(mps) {
  if (!(mps > .3)) return '';
  switch (root.dataset.speed) {
    case 'mps': return number(mps, 2);
    case 'kmh': return number(mps * 3.6, 1);
    case 'mph': return number(mps / .44704, 1);
    default: return clock(500 / mps);
  }
}
