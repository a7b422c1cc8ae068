// What there is to read and to choose beside the drawing.
import { element, mark, parse, typed } from './drawing.js';

const $ = (selector) => document.querySelector(selector);
const counted = (n, one, many) => (n === 1 ? `1 ${one}` : `${n} ${many}`);

// options fills a select, if it has to.
function options(label, choices, value) {
  const select = label.querySelector('select');
  const key = JSON.stringify(choices);
  if (label.dataset.key !== key) {
    label.dataset.key = key;
    select.replaceChildren(...choices.map(([of, text]) => element('option', { value: of, textContent: text })));
  }
  select.value = value;
}

export function header(w) {
  document.title = w.title ? `${w.title} – preview` : 'Preview';
  $('#file').textContent = w.file;
  $('#title').textContent = w.title || 'Nothing to show yet';
  $('#summary').textContent = w.summary;
  const errors = w.findings.filter((f) => f.level === 'error').length;
  const state = $('#state');
  state.className = w.kind !== 'block' ? '' : w.state === 'sewable' && !errors ? 'good' : 'bad';
  const wrong = w.state === 'sewable' ? counted(errors, 'error', 'errors') : w.state[0]?.toUpperCase() + w.state.slice(1);
  const text = w.kind !== 'block' ? '' : state.className === 'good' ? '✓ Sewable' : `✗ ${wrong}`;
  if (state.textContent !== text) state.textContent = text;
  const old = $('#old');
  old.hidden = !w.old && !w.why;
  const aged = 'The file could not be read completely as it is now. This is the last drawing that could be made; the findings are of now.';
  old.textContent = w.why || aged;
  document.body.classList.toggle('aged', w.old);
}

export function controls(w, look) {
  $('#choice').hidden = w.choices.length < 2;
  options($('#choice'), w.choices.map((c) => [c.title, c.kind === 'setting' ? `${c.title} (setting)` : c.title]), look.title);
  $('#choice').querySelector('span').textContent = w.choices.some((c) => c.kind === 'setting') ? 'Show' : 'Block';
  const ways = w.colourways.map((c) => [c.name, c.title ? `${c.title} (${c.name})` : c.name]);
  $('#colourway').hidden = ways.length === 0;
  options($('#colourway'), [['', 'as written'], ...ways], look.colourway);
  $('#side').hidden = w.kind !== 'block';
  $('#side').querySelector('select').value = look.printed ? 'printed' : '';
  $('#grey').querySelector('input').checked = look.grey;
  document.body.classList.toggle('grey', look.grey);
}

// patch says what there is to say of a patch; else where the cursor is; else how to ask. A drawing that is still
// to be divided has no patches to ask for, nor has a setting.
export function patch(p, lit, { undivided, patches }, goTo) {
  const body = $('#patch .body');
  let hint = 'Point at a patch to see what to cut for it, or tab to the drawing and go from patch to patch with the arrow keys.';
  if (undivided) hint = 'What to cut for a patch is known once the drawing is divided into sections.';
  else if (patches.length === 0) hint = '';
  $('#patch').hidden = !p && !lit && !hint;
  const key = JSON.stringify([p, lit, hint]);
  if (body.dataset.key === key) return;
  body.dataset.key = key;
  $('#patch-head').textContent = p ? `${p.label} ${p.fabric}` : 'Patch';
  if (!p) {
    body.replaceChildren(element('p', { className: 'quiet', textContent: lit ? `The cursor is on ${lit}.` : hint }));
    return;
  }
  const made = [];
  if (p.cut) made.push(element('p', { className: 'cut' }, 'Cut ', element('b', { textContent: p.cut })));
  made.push(...p.text.map((text) => element('p', { textContent: text })));
  made.push(element('dl', {}, ...p.facts.flatMap(([name, value]) => [element('dt', { textContent: name }), element('dd', { textContent: value })])));
  if (p.line) made.push(element('p', {}, link(`Line ${p.line}`, () => goTo(p.line, p.column))));
  body.replaceChildren(...made);
}

function link(text, click) {
  const button = element('button', { type: 'button', className: 'link', textContent: text });
  button.addEventListener('click', click);
  return button;
}

const names = { error: 'Error', warning: 'Warning', hint: 'Hint' };

// findings lists them, first those of the block that is shown; marks are those that are
// marked in the drawing, in its order.
export function findings(w, marks, goTo, point) {
  const list = $('#findings ol');
  const key = JSON.stringify([w.findings, marks, w.title]);
  if (list.dataset.key === key) return;
  list.dataset.key = key;
  const tally = ['error', 'warning', 'hint']
    .map((level) => [w.findings.filter((f) => f.level === level).length, names[level].toLowerCase()])
    .filter(([n]) => n > 0)
    .map(([n, name]) => counted(n, name, `${name}s`));
  if (w.more) tally.push(`${w.more} more`);
  const text = tally.length ? tally.join(', ') : w.why ? '' : 'None.';
  if ($('#tally').textContent !== text) $('#tally').textContent = text;
  const here = (f) => f.block === w.title;
  list.replaceChildren(
    ...[...w.findings.filter(here), ...w.findings.filter((f) => !here(f))].map((f) => {
      const n = marks.indexOf(w.findings.indexOf(f)) + 1;
      const elsewhere = f.block && f.block !== w.title ? f.block : '';
      const where = [elsewhere, f.where].filter(Boolean).join(', ');
      const item = element('li', { className: f.level },
        mark(f.level, n),
        element('div', {},
          element('p', { className: 'message' }, element('span', { className: 'level', textContent: names[f.level] }), ' ', ...typed(f.message)),
          element('p', { className: 'quiet' }, link(`Line ${f.line}`, () => goTo(f.line, f.column)), ` ${[where, f.rule].filter(Boolean).map((t) => `· ${t}`).join(' ')}`)));
      item.addEventListener('pointerenter', () => point(n - 1));
      item.addEventListener('pointerleave', () => point(-1));
      item.addEventListener('focusin', () => point(n - 1));
      item.addEventListener('focusout', () => point(-1));
      return item;
    }),
    ...(w.more ? [element('li', {}, '', element('p', { className: 'quiet', textContent: `and ${w.more} more` }))] : []),
  );
}

// sections are the small pictures of them, to be looked at alone.
export function sections(w, look, choose) {
  $('#sections').hidden = w.sections.length < 2;
  const list = $('#sections ul');
  const key = JSON.stringify(w.sections);
  if (list.dataset.key !== key) {
    const held = list.contains(document.activeElement) ? document.activeElement.dataset.name : undefined;
    list.dataset.key = key;
    const all = element('button', { type: 'button', className: 'whole', textContent: 'Whole block' });
    all.dataset.name = '';
    const each = w.sections.map((s) => {
      const sheet = element('span', { className: 'sheet' });
      const drawn = s.svg && parse(s.svg);
      if (drawn) {
        drawn.setAttribute('aria-hidden', 'true');
        sheet.append(drawn);
      }
      const button = element('button', { type: 'button' }, ...(drawn ? [sheet] : []), element('span', { textContent: s.title ? `${s.name} ${s.title}` : s.name }));
      button.title = s.facts.map(([name, value]) => `${name}: ${value}`).join('\n');
      button.dataset.name = s.name;
      return button;
    });
    for (const button of [all, ...each]) button.addEventListener('click', () => choose(button.dataset.name));
    list.replaceChildren(...[all, ...each].map((b) => element('li', {}, b)));
    if (held !== undefined) list.querySelector(`[data-name="${CSS.escape(held)}"]`)?.focus();
  }
  for (const button of list.querySelectorAll('button')) button.setAttribute('aria-pressed', String(button.dataset.name === look.section));
}

export function fabrics(w) {
  $('#fabrics').hidden = w.fabrics.length === 0;
  $('#fabrics ul').replaceChildren(
    ...w.fabrics.map((f) => {
      const swatch = element('span', { className: 'swatch' });
      swatch.style.background = f.colour;
      return element('li', {}, swatch, element('span', { textContent: f.title }), element('span', { className: 'patches', textContent: counted(f.patches, 'patch', 'patches') }));
    }),
  );
}
