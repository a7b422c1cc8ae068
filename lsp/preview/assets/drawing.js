// The drawing: its patches can be pointed at, reached by the keyboard and lit.

const SVG = 'http://www.w3.org/2000/svg';

// The only place where text becomes elements: drawings that the server has written, read
// as XML, in which nothing runs.
const policy = globalThis.trustedTypes?.createPolicy('drawing', { createHTML: (text) => text });

export function parse(text) {
  const made = new DOMParser().parseFromString(policy ? policy.createHTML(text) : text, 'image/svg+xml');
  return made.querySelector('parsererror') ? null : document.adoptNode(made.documentElement);
}

export function element(name, properties = {}, ...inside) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...inside);
  return made;
}

// typed sets what stands between backticks as it is typed in a file.
export const typed = (text) => text.split('`').map((part, i) => (i % 2 ? element('code', { textContent: part }) : part));

function shape(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

// A finding's mark, as in the drawing: a square, a diamond or a disc with its number.
export function mark(level, number) {
  const colour = { error: '#a61f2b', warning: '#8a5a00', hint: '#2c5f8a' }[level];
  const look = { fill: colour, stroke: '#fff', 'stroke-width': 1.5 };
  const forms = {
    error: () => shape('rect', { x: 4, y: 4, width: 20, height: 20, ...look }),
    warning: () => shape('path', { d: 'M14 1 27 14 14 27 1 14Z', ...look }),
    hint: () => shape('circle', { cx: 14, cy: 14, r: 11.5, ...look }),
  };
  const drawn = shape('svg', { viewBox: '0 0 28 28', 'aria-hidden': 'true' });
  const text = shape('text', { x: 14, y: 18.2, 'font-size': 12, 'font-weight': 700, 'text-anchor': 'middle', fill: '#fff' });
  text.textContent = number || '';
  drawn.append(forms[level](), text);
  return drawn;
}

export class Drawing {
  // go(label): the patch was chosen. pointed(label or ''): it is pointed at, or no more.
  constructor(box, tip, { go, pointed }) {
    Object.assign(this, { box, tip, pointed, paths: new Map(), order: [], about: new Map(), lit: [], at: '' });
    const patchOf = (event) => event.target.closest?.('[data-patch]')?.dataset.patch ?? '';
    box.addEventListener('pointerover', (event) => this.point(patchOf(event)));
    box.addEventListener('pointerleave', () => this.point(this.focused()));
    box.addEventListener('focusin', (event) => this.point(patchOf(event)));
    box.addEventListener('focusout', () => this.point(''));
    box.addEventListener('click', (event) => patchOf(event) && go(patchOf(event)));
    box.addEventListener('keydown', (event) => this.key(event, patchOf(event), go));
  }

  focused() {
    return this.box.contains(document.activeElement) ? (document.activeElement.dataset?.patch ?? '') : '';
  }

  // Patches are named and gone through in the order in which they are sewn.
  name(patches) {
    this.about = new Map(patches.map((p) => [p.label, p]));
    this.order = patches.map((p) => p.label);
    for (const [label, path] of this.paths) this.describe(label, path);
    this.reach(this.focused() || this.present()[0]);
  }

  describe(label, path) {
    const p = this.about.get(label);
    const words = [p ? `${label} ${p.fabric}` : label, p?.cut && `cut ${p.cut}`, p?.line && `line ${p.line}`];
    path.setAttribute('aria-label', words.filter(Boolean).join(', '));
  }

  show({ svg, look, why }, now) {
    const before = this.focused();
    const drawn = svg && parse(svg);
    this.paths = new Map();
    if (!drawn) {
      this.box.replaceChildren(element('p', { className: 'wait', textContent: why || 'There is nothing to draw yet.' }));
      this.box.parentElement.style.width = '';
      this.point('');
      return;
    }
    drawn.setAttribute('role', 'group');
    const said = [...drawn.querySelectorAll(':scope > title, :scope > desc')].map((e) => e.textContent.replace(/\.$/, ''));
    drawn.setAttribute('aria-label', said.join(', '));
    for (const layer of drawn.querySelectorAll(':scope > g:not(.patches)')) layer.setAttribute('aria-hidden', 'true');
    for (const path of drawn.querySelectorAll('[data-patch]')) {
      const label = path.dataset.patch;
      path.querySelector('title')?.remove(); // the tip says more
      path.setAttribute('role', 'button');
      path.setAttribute('tabindex', '-1');
      path.classList.toggle('now', label === now);
      this.paths.set(label, path);
      this.describe(label, path);
    }
    for (const title of drawn.querySelectorAll(':scope > title')) title.remove();
    this.rings = shape('g', { class: 'rings', 'aria-hidden': 'true' });
    drawn.append(this.rings);
    const [, , width, height] = drawn.getAttribute('viewBox').split(' ').map(Number);
    this.box.parentElement.style.width = `min(100%, ${width / height} * max(20rem, 100vh - 19rem))`;
    drawn.style.aspectRatio = `${width} / ${height}`;
    this.box.replaceChildren(drawn);
    this.box.classList.toggle('stepping', look.step > 0);
    this.reach(this.paths.has(this.at) ? this.at : (now ?? this.present()[0]));
    if (before) this.paths.get(before)?.focus();
    this.draw();
  }

  present() {
    return this.order.filter((label) => this.paths.has(label));
  }

  // One patch at a time is reached by the tab key.
  reach(label) {
    for (const [other, path] of this.paths) path.setAttribute('tabindex', other === label ? '0' : '-1');
  }

  key(event, label, go) {
    if (!label || event.altKey || event.ctrlKey || event.metaKey) return;
    const all = this.present();
    const i = all.indexOf(label);
    const to = {
      ArrowRight: i + 1, ArrowDown: i + 1, ArrowLeft: i - 1, ArrowUp: i - 1, Home: 0, End: all.length - 1,
    }[event.key];
    if (event.key === 'Enter' || event.key === ' ') go(label);
    else if (to === undefined) return;
    else if (all[to]) {
      this.reach(all[to]);
      this.paths.get(all[to]).focus();
    }
    event.preventDefault();
    event.stopPropagation();
  }

  point(label) {
    if (label === this.at && this.rings?.isConnected) return;
    this.at = label;
    this.draw();
    this.pointed(label);
  }

  light(labels) {
    this.lit = labels;
    this.draw();
  }

  // draw draws the rings, and the tip beside what is pointed at.
  draw() {
    if (!this.rings?.isConnected) {
      this.tip.hidden = true;
      return;
    }
    const ring = (label, kind) => {
      const d = this.paths.get(label)?.getAttribute('d');
      if (!d) return;
      const both = shape('g', { class: kind });
      both.append(shape('path', { d, class: 'casing' }), shape('path', { d, class: 'core' }));
      this.rings.append(both);
    };
    this.rings.replaceChildren();
    for (const label of this.lit) ring(label, 'lit');
    ring(this.at, 'pointed');
    this.say(this.about.get(this.at), this.paths.get(this.at));
  }

  say(p, path) {
    this.tip.hidden = !p || !path;
    if (this.tip.hidden) return;
    this.tip.replaceChildren(element('b', { textContent: `${p.label} ${p.fabric}` }), p.cut ? `Cut ${p.cut}` : 'No piece can be cut yet');
    const sheet = this.box.getBoundingClientRect();
    const at = path.getBoundingClientRect();
    const { offsetWidth: width, offsetHeight: height } = this.tip;
    const left = Math.max(0, Math.min(at.left - sheet.left + at.width / 2 - width / 2, sheet.width - width));
    const above = at.top - sheet.top - height - 8;
    this.tip.style.left = `${left}px`;
    this.tip.style.top = `${above > -12 ? above : at.bottom - sheet.top + 8}px`;
  }

  // findingAt marks the nth mark in the drawing; -1 for none.
  findingAt(n) {
    const marks = [...this.box.querySelectorAll('.findings path')].filter((path) => path.querySelector('title'));
    marks.forEach((path, i) => {
      path.style.stroke = i === n ? '#1b222b' : '';
      path.style.strokeWidth = i === n ? '5' : '';
    });
  }
}
