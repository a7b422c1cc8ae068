// What the page looks at, and the way to the server and back.
import { Drawing } from './drawing.js';
import * as lists from './lists.js';
import { Order } from './order.js';

const $ = (selector) => document.querySelector(selector);

let look = { title: '', at: 0, section: '', colourway: '', printed: false, grey: false, step: 0 };
let words; // what was said last
let picture; // what was drawn last
let lit = { block: '', patches: [], what: '' };
let pointed = ''; // the patch that is pointed at
let chosen = ''; // the patch that was chosen last

const drawing = new Drawing($('#drawing'), $('#tip'), {
  go: (label) => {
    chosen = label;
    const p = patchOf(label);
    if (p?.line) goTo(p.line, p.column);
    said();
  },
  pointed: (label) => {
    pointed = label;
    if (label) $('#went').textContent = '';
    said();
  },
});
const order = new Order($('#order'), (step) => {
  chosen = '';
  $('#went').textContent = '';
  turn({ step });
});

const patchOf = (label) => words?.patches.find((p) => p.label === label);

// said says something of a patch: the one pointed at, else the one under the editor's cursor,
// else the one chosen, else the one being sewn.
function said() {
  if (!words) return;
  const here = lit.block === words.title ? lit : { patches: [], what: '' };
  const label = pointed || (here.patches.length === 1 && here.patches[0]) || chosen || order.now?.patch;
  lists.patch(patchOf(label), here.what, words, goTo);
}

// --- to the server

async function post(name, body) {
  const answer = await fetch(name, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });
  if (!answer.ok) throw new Error((await answer.text()).trim());
  return answer.status === 204 ? {} : answer.json();
}

async function goTo(line, column) {
  try {
    $('#went').textContent = (await post('goto', { line, column: column || 1 })).said;
  } catch (problem) {
    $('#went').textContent = `That did not work: ${problem.message}.`;
  }
}

// turn looks at something else. While the server is told, the newest wish waits.
let stream = '';
let telling = false;
let wish = false;
async function turn(change) {
  look = { ...look, ...change };
  wish = true;
  if (telling) return;
  telling = true;
  while (wish && stream) {
    wish = false;
    await post('view', { stream, look }).catch(() => {}); // when the stream is gone, the next one asks anew
  }
  telling = false;
}

// --- from the server

function show() {
  lists.controls(words, look);
  lists.sections(words, look, (section) => turn({ section, step: 0 }));
  order.show(words, look.section, look.step);
  drawing.light(lit.block === words.title ? lit.patches : []);
  said();
}

// found lists the findings. Their numbers are those of the drawing, when it is of the same
// moment; either may be there first.
function found() {
  if (picture && picture.number !== words.number) return;
  lists.findings(words, picture?.marks ?? [], goTo, (n) => drawing.findingAt(n));
}

const events = {
  hello: (said) => {
    stream = said.stream;
    lost('');
    if (JSON.stringify(look) !== asked) turn({}); // it came back by itself, with what was looked at before
  },
  words: (said) => {
    words = said;
    if (!telling && !wish) look = { ...look, title: said.look.title, at: said.look.at, colourway: said.look.colourway };
    lists.header(words);
    lists.fabrics(words);
    drawing.name(words.patches);
    if (words.kind === 'block' || words.kind === 'setting') show();
    else {
      drawing.show({ svg: '', why: words.why || 'There is no block in this file yet.', look });
      picture = undefined;
      show();
    }
    found();
  },
  picture: (drawn) => {
    picture = drawn;
    if (!telling && !wish) look = { ...drawn.look };
    const step = words?.steps[drawn.look.step - 1];
    drawing.show(drawn, step?.patch);
    if (!words) return;
    show();
    found();
  },
  light: (now) => {
    lit = now;
    if (lit.what) $('#went').textContent = '';
    if (lit.block && words && lit.block !== words.title && words.choices.some((c) => c.title === lit.block)) turn({ title: lit.block, section: '', step: 0 });
    else if (look.section && lit.patches.length && !lit.patches.some((label) => patchOf(label)?.section === look.section)) turn({ section: '', step: 0 });
    if (words) show();
  },
  bye: (why) => {
    over = true;
    end();
    if (why === 'elsewhere') {
      lost('The preview is open in too many windows, and this one has stopped. Reload it to go on here.');
    } else lost('The preview has ended. Start it again, and open its new address.');
  },
};

function lost(text) {
  const banner = $('#banner');
  if (banner.textContent !== text) banner.textContent = text;
  banner.hidden = !text;
}

let source;
let asked = ''; // what was looked at when it was opened
let again = 0;
let over = false; // it has ended for good
function end() {
  clearTimeout(again);
  source?.close();
  source = undefined;
  stream = '';
}

function connect() {
  end();
  if (over) return;
  asked = JSON.stringify(look);
  source = new EventSource(`events?look=${encodeURIComponent(asked)}`);
  for (const [name, hear] of Object.entries(events)) source.addEventListener(name, (event) => hear(JSON.parse(event.data)));
  source.addEventListener('error', () => {
    stream = '';
    if ($('#banner').hidden) lost('The connection to the preview is lost. Trying again …');
    clearTimeout(again);
    again = setTimeout(() => stream || connect(), 1000); // what it tries by itself asks for what was looked at then
  });
}

// A window that nobody sees listens to nothing, and nothing is drawn for it.
document.addEventListener('visibilitychange', () => (document.hidden ? end() : connect()));
connect();

// --- from the reader

$('#controls').addEventListener('change', () => {
  const at = words.choices.findIndex((c) => c.title === $('#choice select').value);
  const other = at >= 0 && words.choices[at].title !== words.title;
  turn({
    ...(other ? { title: words.choices[at].title, at, section: '', step: 0, colourway: '' } : { colourway: $('#colourway select').value }),
    printed: $('#side select').value === 'printed',
    grey: $('#grey input').checked,
  });
});
$('#controls').addEventListener('submit', (event) => event.preventDefault());

// Arrows go through the sewing wherever they mean nothing else.
document.addEventListener('keydown', (event) => {
  if (event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  if (event.target.closest?.('select, input, summary')) return;
  const act = {
    ArrowRight: () => order.by(1), ArrowLeft: () => order.by(-1),
    Escape: () => {
      order.to(0);
      if (look.section) turn({ section: '' });
    },
  }[event.key];
  if (!act) return;
  event.preventDefault();
  act();
});
