// The sewing order, a step at a time, forwards, backwards and by itself.
import { element, typed } from './drawing.js';

const pause = 1600; // between two steps

export class Order {
  // turn(step): step of the whole sewing is to be shown, from 1; 0 for the finished block.
  constructor(root, turn) {
    const at = (id) => root.querySelector(`#${id}`);
    Object.assign(this, { root, turn, steps: [], mine: [], k: 0, timer: 0, sewable: true, undivided: '', bar: root.querySelector('.bar'), play: at('play'), back: at('back'),
      forward: at('forward'), finished: at('finished'), slider: at('step'), count: at('count'), words: at('words') });
    this.back.addEventListener('click', () => this.by(-1));
    this.forward.addEventListener('click', () => this.by(1));
    this.finished.addEventListener('click', () => this.to(0));
    this.slider.addEventListener('input', () => this.to(Number(this.slider.value)));
    this.play.addEventListener('click', () => (this.timer ? this.stop() : this.start()));
  }

  // show takes the steps of a block, of which those of a section alone may count. What was
  // reached stays reached. undivided is why there are none, of a drawing still to be divided.
  show({ steps, sewable, undivided = '' }, section, step) {
    Object.assign(this, { steps, sewable, undivided });
    this.mine = steps.map((_, i) => i + 1).filter((n) => !section || steps[n - 1].section === section);
    this.k = Math.max(0, this.mine.indexOf(step) + 1);
    this.root.hidden = steps.length === 0 && !undivided;
    this.bar.querySelector('.buttons').hidden = this.slider.hidden = this.count.hidden = steps.length === 0;
    this.draw();
  }

  get now() {
    return this.k ? this.steps[this.mine[this.k - 1] - 1] : undefined;
  }

  by(n) {
    this.stop();
    const k = this.k + n;
    if (k >= 0 && k <= this.mine.length) this.to(k, false);
  }

  to(k, halt = true) {
    if (halt) this.stop();
    if (k < 0 || k > this.mine.length || k === this.k) return;
    this.k = k;
    this.draw();
    this.turn(k ? this.mine[k - 1] : 0);
  }

  start() {
    if (this.k >= this.mine.length) this.k = 0;
    const next = () => {
      this.to(this.k + 1, false);
      if (this.k >= this.mine.length) this.stop();
    };
    this.timer = setInterval(next, pause);
    next();
    this.draw();
  }

  stop() {
    clearInterval(this.timer);
    this.timer = 0;
    this.draw();
  }

  draw() {
    const n = this.mine.length;
    this.play.textContent = this.timer ? 'Pause' : 'Play';
    this.play.disabled = n === 0;
    this.back.disabled = this.k === 0;
    this.forward.disabled = this.k >= n;
    this.finished.disabled = this.k === 0;
    this.slider.max = n;
    this.slider.value = this.k;
    this.slider.disabled = n === 0;
    this.count.textContent = this.k ? `${this.k} of ${n}` : `${n} steps`;
    const step = this.now;
    this.slider.setAttribute('aria-valuetext', step ? `step ${this.k} of ${n}, ${step.title}` : 'finished');
    const key = step ? JSON.stringify([this.k, step]) : `${this.sewable} ${this.undivided}`;
    if (key === this.said) return; // what is read aloud is touched only when it changes
    this.said = key;
    const lines = [];
    if (!step) {
      const text = this.undivided || (this.sewable
        ? 'The finished block. Go forward to see how it is sewn, a patch at a time.'
        : 'This cannot be sewn as it is; the findings say why. The steps are those that were written.');
      lines.push(element('p', { className: 'quiet' }, ...typed(text)));
    } else {
      lines.push(element('h3', { textContent: `${this.k}. ${step.title}` }));
      if (step.cut) lines.push(element('p', { className: 'cut' }, 'Cut ', element('b', { textContent: step.cut })));
      lines.push(element('p', { textContent: step.words }));
      if (step.note) lines.push(element('p', { className: 'quiet', textContent: `Note: ${step.note}` }));
    }
    this.words.replaceChildren(...lines);
  }
}
