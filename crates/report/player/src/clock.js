// One clock for all runs of a section: time, speed, slow motion during the blow.

import { heed } from "./stage.js";

/// Speeds that can be chosen; "auto" is slow until `slow_until_s` and quicker after it.
export const SPEEDS = ["auto", 1, 1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50, 1 / 100, 1 / 200];
/// Rates of the automatic speed: in the blow, and after it.
const AUTO_SLOW = 1 / 100;
const AUTO_AFTER = 1 / 2;
/// Over this time after the blow the automatic speed goes from slow to quick, s.
const RAMP_S = 0.25;

export class Clock {
  /// end: last instant, s; slowUntil: end of the slow part, s; onTick(t): called after every change.
  constructor(end, slowUntil, onTick) {
    this.end = end;
    this.slowUntil = slowUntil;
    this.onTick = onTick;
    this.time = 0;
    this.speed = "auto";
    /// Plays the blow again and again, for a class.
    this.repeat = false;
    this.playing = false;
    this.last = 0;
    this.frame = 0;
  }

  /// Another end and another end of the slow part; the time stays where it is, or at the end.
  span(end, slowUntil) {
    this.end = end;
    this.slowUntil = slowUntil;
    this.time = Math.min(this.time, end);
  }

  /// Seconds of the event per second of the clock on the wall, at the present time.
  rate() {
    if (this.speed !== "auto") return this.speed;
    if (this.time < this.slowUntil) return AUTO_SLOW;
    const s = Math.min(1, (this.time - this.slowUntil) / RAMP_S);
    // Even steps of the rate's ratio, not of the rate.
    return AUTO_SLOW * (AUTO_AFTER / AUTO_SLOW) ** s;
  }

  play() {
    if (this.playing) return;
    if (this.time >= this.end - 1e-9) this.time = 0;
    this.playing = true;
    this.last = performance.now();
    const run = (now) => {
      if (!this.playing) return;
      // A page that was hidden goes on where it was.
      heed((now - this.last) / 1000);
      const wall = Math.min(0.1, Math.max(0, (now - this.last) / 1000));
      this.last = now;
      // Short sub-steps, so that the change of rate is met wherever frames fall.
      for (let left = wall; left > 0; left -= 0.005) this.time += Math.min(left, 0.005) * this.rate();
      if (this.repeat && this.time > this.slowUntil) this.time = 0;
      if (this.time >= this.end) {
        this.time = this.end;
        this.playing = false;
      }
      this.onTick(this.time);
      if (this.playing) this.frame = requestAnimationFrame(run);
    };
    this.frame = requestAnimationFrame(run);
    this.onTick(this.time);
  }

  pause() {
    this.playing = false;
    cancelAnimationFrame(this.frame);
    this.onTick(this.time);
  }

  seek(t) {
    this.time = Math.min(this.end, Math.max(0, Number.isFinite(t) ? t : 0));
    this.onTick(this.time);
  }

  /// n steps of 1 ms in the blow, of 20 ms after it; to whole multiples of the step.
  step(n) {
    this.pause();
    const fine = this.time + (n < 0 ? -1e-9 : 1e-9) < this.slowUntil;
    const size = fine ? 0.001 : 0.02;
    this.seek((Math.round(this.time / size) + n) * size);
  }

  setSpeed(x) {
    this.speed = x === "auto" ? "auto" : Math.min(1, Math.max(1 / 200, Number(x) || 1));
    this.onTick(this.time);
  }

  /// One place up (quicker) or down in the list of speeds.
  shiftSpeed(n) {
    const i = SPEEDS.indexOf(this.speed);
    if (i <= 0) this.setSpeed(n > 0 ? 1 / 20 : 1 / 200);
    else this.setSpeed(SPEEDS[Math.min(SPEEDS.length - 1, Math.max(1, i - n))]);
  }
}
