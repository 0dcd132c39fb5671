// Measures the pages in headless Chromium: frames while 300 000 samples are panned and zoomed (by the page's own frame times, beside
// drawing every sample naively on the same canvas), the first page after a start, and a 90-minute outing from drop to picture.
// Run after a Release build:
//   P=tests/Stakeboat.Browser.Tests/bin/Release/net10.0; $P/.playwright/node/linux-x64/node bench/web/measure.mjs $P
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir, loadavg, cpus } from 'node:os';
import { join, resolve } from 'node:path';

const place = resolve(process.argv[2]), { chromium } = createRequire(import.meta.url)(join(place, '.playwright/package'));
const data = mkdtempSync(join(tmpdir(), 'stakeboat-measure-'));

function start() {
  const began = performance.now(), server = spawn('dotnet', [join(place, 'Stakeboat.Web.dll'), '--data', data, '--port', '0'], { cwd: tmpdir() });
  return new Promise(done => { let text = ''; server.stdout.on('data', d => { text += d; const m = /Stakeboat is at (\S+)/.exec(text); if (m) done({ server, address: m[1], began, listening: performance.now() - began }); }); });
}

const shown = page => page.waitForSelector('#race[data-shown=yes]', { timeout: 300_000 });
const say = (what, x) => console.log(`${what}: ${typeof x === 'number' ? x.toFixed(x < 100 ? 2 : 0) : x}`);
console.log(`Chromium headless, ${cpus().length} cores (${cpus()[0].model}), load at the start ${loadavg()[0].toFixed(1)}`);
let run = await start();
const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync'] });
const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' }), page = await context.newPage();
await page.goto(run.address); await shown(page);
const demo = page.url();
run.server.kill('SIGKILL'); await new Promise(r => run.server.on('exit', r));

// First page after a start of a data folder that is there already.
run = await start();
await page.goto(new URL(new URL(demo).pathname, run.address).href, { waitUntil: 'commit' }); await shown(page);
say('s from the start of the program until it listens', run.listening / 1000);
say('s from the start of the program to the race drawn', (performance.now() - run.began) / 1000);
const again = performance.now(); await page.reload({ waitUntil: 'commit' }); await shown(page); say('s to the race drawn, program warm', (performance.now() - again) / 1000);

// 300 000 samples: the demo race with its hull speed at so many samples a second that they come to that.
await page.route('**/debrief', async route => {
  const d = await (await route.fetch()).json(), h = d.rowed.hull, n = 300_000, seconds = h.speed.length / h.hz;
  const speed = new Array(n), metres = new Array(n);
  for (let i = 0; i < n; i++) { const j = Math.min(h.speed.length - 1, Math.floor(i / n * h.speed.length)); speed[i] = (h.speed[j] ?? 5) + .2 * Math.sin(i * .7); metres[i] = h.metres[j]; }
  d.rowed.hull = { t0: h.t0, hz: n / seconds, speed, metres, speedSd: speed.map(() => .05) };
  await route.fulfill({ json: d });
});
for (const [width, height, scale] of [[1440, 900, 1], [390, 844, 3]]) {
  await page.setViewportSize({ width, height }); await page.reload(); await shown(page);
  const measured = await page.evaluate(() => new Promise(done => {
    const s = window.stakeboat, n = 240, times = []; let k = 0, all = s.model.to - s.model.from;
    const frame = now => {
      times.push(now);
      if (++k > n) { const gaps = times.slice(1).map((t, i) => t - times[i]).sort((a, b) => a - b); done({ fps: 1000 * (times.length - 1) / (times.at(-1) - times[0]), p95: gaps[Math.floor(gaps.length * .95)], drawn: window.stakeboatFrames.times.filter(t => t >= times[0] && t <= times.at(-1)).length }); return; }
      const span = all * (.55 + .45 * Math.cos(k / 20)), from = s.model.from + (all - span) * (.5 + .5 * Math.sin(k / 13)); s.setView(from, from + span); s.clock.seek(from + span / 2);
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }));
  say(`${width} px: frames/s, 300 000 samples panned and zoomed, all strips and boats`, measured.fps);
  say(`${width} px: ms, 95th percentile of a frame`, measured.p95);
  say(`${width} px: frames that the page drew of 240`, measured.drawn);
  const naive = await page.evaluate(() => new Promise(done => {
    const s = window.stakeboat, canvas = document.querySelector('canvas[data-chart=speed]'), g = canvas.getContext('2d'), v = s.model.doc.rowed.hull.speed, times = []; let k = 0;
    const frame = now => {
      times.push(now); if (++k > 40) { done(1000 * (times.length - 1) / (times.at(-1) - times[0])); return; }
      const zoom = .55 + .45 * Math.cos(k / 20), from = Math.floor((1 - zoom) * v.length / 2), to = Math.ceil(v.length - from);
      g.clearRect(0, 0, canvas.width, canvas.height); g.beginPath(); for (let i = from; i < to; i++) { const x = (i - from) / (to - from) * canvas.width, y = canvas.height * (1 - (v[i] - 2) / 5); if (i === from) g.moveTo(x, y); else g.lineTo(x, y); } g.stroke();
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }));
  say(`${width} px: frames/s, every sample drawn naively on the speed strip alone`, naive);
}
await page.unroute('**/debrief'); await page.setViewportSize({ width: 1440, height: 900 });

// Ninety minutes: a track of a fix a second, a motion log of 25 samples a second, captions of a call every 12 s.
const gpx = [], csv = ['time_ms,acc_x,acc_y,acc_z'], vtt = ['WEBVTT', '']; let metres = 0;
const stamp = s => new Date(Date.UTC(2030, 4, 5, 6, 0, 0) + 1000 * s).toISOString(), clock = s => new Date(1000 * s).toISOString().slice(11, 23);
for (let s = 0; s < 5400; s++) { const rate = s % 900 < 700 ? 22 + 2 * Math.sin(s / 200) : 0, v = rate ? 4 + .2 * Math.sin(s / 60) : .1; metres += v; gpx.push(`<trkpt lat="${(47 + metres / 111200).toFixed(7)}" lon="${(8 + 1e-5 * Math.sin(s / 90)).toFixed(7)}"><time>${stamp(s)}</time></trkpt>`); for (let k = 0; k < 25; k++) { const t = s + k / 25, p = 2 * Math.PI * rate / 60 * t; csv.push(`${Math.round(1000 * t)},${rate ? (-2.2 * Math.sin(p) + .8 * Math.sin(2 * p)).toFixed(3) : '0.010'},${(.05 * Math.sin(7 * t)).toFixed(3)},9.81`); } }
const said = ['catches together', 'long and loose', 'thirty two', 'ten for legs in two', 'sit up tall', 'easy there', 'hands away', 'ready all row'];
for (let s = 10; s < 5380; s += 12) vtt.push(`${clock(s)} --> ${clock(s + 2)}`, said[(s / 2 | 0) % said.length], '');
await page.goto(new URL('/new', run.address).href);
await page.locator('#files').setInputFiles([
  { name: 'track.gpx', mimeType: 'application/gpx+xml', buffer: Buffer.from(`<?xml version="1.0"?><gpx version="1.1" creator="made" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>${gpx.join('')}</trkseg></trk></gpx>`) },
  { name: 'motion.csv', mimeType: 'text/csv', buffer: Buffer.from(csv.join('\n')) }, { name: 'captions.vtt', mimeType: 'text/vtt', buffer: Buffer.from(vtt.join('\n')) }]);
const sent = performance.now(); await page.locator('#send').click(); await shown(page);
say('s from "Bring them in" to a 90-minute outing drawn (135 000 motion samples, 5 400 fixes, 448 captions)', (performance.now() - sent) / 1000);
console.log(`load at the end ${loadavg()[0].toFixed(1)}`);
await browser.close(); run.server.kill('SIGKILL'); await new Promise(r => run.server.on('exit', r)); rmSync(data, { recursive: true, force: true });
