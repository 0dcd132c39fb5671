// The one clock of the page. With a sound it is the sound's; without one it runs by itself.
export class Clock {
  constructor(audio, from, to) {
    this.audio = audio; this.from = from; this.to = to;
    this.t = from; this.playing = false; this.tempo = 1; this.loop = null; this.listeners = [];
    this.started = 0; this.startedAt = from;
    if (audio) {
      audio.addEventListener('pause', () => { if (this.playing && !this.silent) this.#stopped(); });
      audio.addEventListener('ended', () => this.#stopped());
    }
    this.silent = !audio;
  }

  onTick(f) { this.listeners.push(f); }

  async play(muted = false) {
    if (this.playing) return;
    if (this.t >= this.to - .05) this.seek(this.loop ? this.loop.from : this.from);
    this.playing = true;
    if (this.audio) {
      this.audio.muted = muted; this.audio.playbackRate = this.tempo; this.audio.currentTime = this.t;
      try { await this.audio.play(); this.silent = false; } catch { this.silent = true; }
    }
    this.#restart();
    this.#tell();
    this.#frame();
  }

  pause() { if (this.audio) this.audio.pause(); this.#stopped(); }

  toggle() { if (this.playing) this.pause(); else this.play(); }

  seek(t) {
    this.t = Math.min(this.to, Math.max(this.from, t));
    if (this.audio && !this.silent || this.audio && !this.playing) { try { this.audio.currentTime = this.t; } catch { /* not loaded yet: set again at play */ } }
    this.#restart();
    this.#tell();
  }

  setTempo(x) { this.#advance(); this.tempo = x; if (this.audio) this.audio.playbackRate = x; this.#restart(); }

  #restart() { this.started = performance.now(); this.startedAt = this.t; }

  #stopped() { if (!this.playing) return; this.playing = false; this.#tell(); }

  #advance() {
    if (!this.playing) return;
    this.t = this.silent ? this.startedAt + (performance.now() - this.started) / 1000 * this.tempo : this.audio.seeking ? this.t : this.audio.currentTime;
  }

  #frame() {
    requestAnimationFrame(() => {
      if (!this.playing) return;
      this.#advance();
      if (this.loop && this.t >= this.loop.to) this.seek(this.loop.from);
      else if (this.t >= this.to) { this.t = this.to; this.pause(); }
      this.#tell();
      if (this.playing) this.#frame();
    });
  }

  #tell() { for (const f of this.listeners) f(this.t, this.playing); }
}
