// The photo under your fingers: taps choose pieces, draw, split, and move corners. Each
// answer of the server takes the place of what is there.
import {swap} from './swap.js';

const NS = 'http://www.w3.org/2000/svg';
const hints = {
  choose: '',
  draw: 'Tap the corners of the piece, one round of it. One tap alone lets the program find it there.',
  corners: 'Choose a piece, then drag its corners, or move them with the arrow keys.',
  split: 'Choose a piece, then tap two places, one on each side of it: the line between parts it.',
  white: 'Tap a place that is white.',
  length: 'Tap two places, and say how far apart they are.',
  part: 'Tap two corners of the part that is looked at, across from one another; or the four corners of a board.',
};
let tool = 'choose', chosen = new Set(), points = [], at = null, grabbed = -1;
let zoom = 1, place = [0, 0]; // how much wider than its frame the photo is, and what of it is in view

const get = sel => document.querySelector('#mend ' + sel);
const svg = () => get('svg.sheet');
let listed = !matchMedia('(max-width: 60rem)').matches; // the pieces one by one: on a phone the photo is for that
let sent = [], shape = get('form.drawn')?.action;

function ready() {
  if (!svg()) return;
  for (const sel of ['.tools', '.near']) get(sel).hidden = false;
  document.getElementById('mend').classList.add('scripted');
  const list = get('[data-list]');
  if (list) {
    list.open = listed;
    list.addEventListener('toggle', () => { listed = list.open; });
    get('[data-hint]').hidden = false;
  }
  for (const n of [...chosen]) if (!get(`[data-piece="${n}"]`)) chosen.delete(n);
  document.querySelectorAll('#mend .pick input').forEach(i => { i.checked = chosen.has(i.value); });
  document.querySelectorAll('#mend svg.sheet a').forEach(a => a.setAttribute('role', 'button'));
  const stage = get('.stage');
  svg().style.width = 100 * zoom + '%';
  stage.scrollTo(...place);
  stage.addEventListener('scroll', () => { place = [stage.scrollLeft, stage.scrollTop]; });
  use(tool);
}

const farthest = 1, nearest = 8, nearer = 1.5;

// under is what lies at a place of the window, in pixels of the photo as wide as its frame.
function under(x, y) {
  const r = get('.stage').getBoundingClientRect();
  return [(place[0] + x - r.x) / zoom, (place[1] + y - r.y) / zoom];
}

// zoomTo shows the photo from nearer or farther; what is kept comes to lie at a place of the
// window.
function zoomTo(to, kept, x, y) {
  const stage = get('.stage');
  zoom = Math.min(nearest, Math.max(farthest, to));
  svg().style.width = 100 * zoom + '%';
  const r = stage.getBoundingClientRect();
  stage.scrollTo(kept[0] * zoom - (x - r.x), kept[1] * zoom - (y - r.y));
  place = [stage.scrollLeft, stage.scrollTop];
}

function zoomBy(times) {
  const r = get('.stage').getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
  zoomTo(zoom * times, under(x, y), x, y);
  const shown = points;
  use(tool);
  points = shown; // what was begun stays
  draw();
}

function use(name) {
  if (name === 'choose' && (tool === 'corners' || tool === 'split')) chosen.clear();
  tool = name;
  points = [];
  at = null;
  document.querySelectorAll('#mend button[data-tool]').forEach(b => b.setAttribute('aria-pressed', String(b.dataset.tool === tool)));
  for (const b of document.querySelectorAll('#mend [data-zoom]')) {
    b.setAttribute('aria-disabled', String(zoom === (b.dataset.zoom === '+' ? nearest : farthest)));
  }
  svg().dataset.mode = tool;
  get('.stage').tabIndex = tool === 'choose' ? -1 : 0;
  if (tool === 'corners') corners();
  draw();
}

// corners takes those of the chosen piece to move.
function corners() {
  const n = [...chosen].at(-1);
  points = [];
  if (n) {
    points = get(`[data-piece="${n}"] .edge`).getAttribute('points').trim().split(/\s+/).map(p => p.split(',').map(Number));
  }
}

function choose(n, on = !chosen.has(n)) {
  if (tool === 'corners' || tool === 'split') chosen.clear();
  if (on) chosen.add(n); else chosen.delete(n);
  document.querySelectorAll('#mend .pick input').forEach(i => { i.checked = chosen.has(i.value); });
  if (tool === 'corners') corners();
  draw();
}

function none() {
  chosen.clear();
  document.querySelectorAll('#mend .pick input').forEach(i => { i.checked = false; });
  if (tool === 'corners') corners();
  draw();
}

function make(name, attrs) {
  const e = document.createElementNS(NS, name);
  for (const [k, v] of Object.entries(attrs)) e.setAttribute(k, v);
  return e;
}

function draw() {
  const g = get('.drawing'), line = Number(svg().dataset.line);
  g.replaceChildren();
  document.querySelectorAll('#mend svg.sheet a').forEach(a => {
    const on = chosen.has(a.dataset.piece);
    a.classList.toggle('picked', on);
    a.setAttribute('aria-pressed', String(on));
  });
  document.getElementById('mend').classList.toggle('picked', chosen.size > 0 && tool === 'choose');
  const told = get('[data-chosen]');
  now();
  if (told) told.textContent = chosen.size ? '(' + [...chosen].join(', ') + ')' : '(none)';
  const flat = points.map(p => p.join(',')).join(' ');
  const shown = tool === 'part' && points.length === 2 ? [points[0], [points[1][0], points[0][1]], points[1], [points[0][0], points[1][1]]] : points;
  if (points.length > 1) {
    const open = tool === 'split' || tool === 'length';
    g.append(make(open ? 'polyline' : 'polygon', {points: shown.map(p => p.join(',')).join(' '), class: 'made', 'stroke-width': 1.5 * line}));
  }
  points.forEach((p, i) => {
    const r = (tool === 'corners' ? 5 : 3) * line / zoom;
    const c = make('circle', {cx: p[0], cy: p[1], r, class: 'corner', 'stroke-width': line, 'data-corner': i});
    if (tool === 'corners') {
      c.setAttribute('tabindex', '0');
      c.setAttribute('role', 'button');
      c.setAttribute('aria-label', `corner ${i + 1} of ${points.length}; arrow keys move it`);
    }
    g.append(c);
  });
  if (at) g.append(make('path', {d: `M${at[0] - 12 * line} ${at[1]}h${24 * line}M${at[0]} ${at[1] - 12 * line}v${24 * line}`, class: 'made', 'stroke-width': line}));
  const form = get('form.drawn');
  const n = points.length;
  const can = {draw: n > 0 && n !== 2, split: n === 2 && chosen.size > 0, length: n === 2, corners: n > 2, part: n === 2 || n === 4}[tool] ?? false;
  form.hidden = !(n && (can || tool === 'draw' || tool === 'part'));
  const done = form.querySelector('[name="do"]');
  done.hidden = !can;
  done.textContent = tool === 'part' ? 'Look only there' : 'Done';
  form.querySelector('.apart').hidden = tool !== 'length' || !can;
  const words = hints[tool];
  get('.hint').textContent = words;
  form.points.value = flat;
  form.pieces.value = [...chosen].at(-1) ?? '';
  done.value = tool === 'corners' ? 'shape' : tool;
}

// now says what the chosen pieces are, and marks the answers that they all have.
function now() {
  const told = get('[data-now]');
  if (!told) return;
  const all = [...chosen].map(n => get(`[data-piece="${n}"]`)).filter(Boolean);
  told.hidden = !all.length;
  told.textContent = all.length === 1 ? all[0].getAttribute('aria-label') : all.length + ' pieces: ' + [...chosen].join(', ');
  document.querySelectorAll('#mend .answers :is([name="family"], [name="value"])').forEach(b => {
    if (all.length) b.setAttribute('aria-pressed', String(all.every(a => a.dataset[b.name] === b.value)));
    else b.removeAttribute('aria-pressed');
  });
  get('[data-several]').hidden = all.length === 1;
}

// moved moves a corner: its circle stays the same one, or the finger on it would lose hold.
function moved(i, p) {
  points[i] = p;
  const c = get(`[data-corner="${i}"]`), flat = points.map(q => q.join(',')).join(' ');
  c.setAttribute('cx', p[0]);
  c.setAttribute('cy', p[1]);
  get('.drawing .made').setAttribute('points', flat);
  get('form.drawn').points.value = flat;
}

// where is the place of an event in the photo.
function where(e) {
  const m = svg().getScreenCTM().inverse();
  const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(m);
  const box = svg().viewBox.baseVal;
  return [Math.min(box.width, Math.max(0, p.x)), Math.min(box.height, Math.max(0, p.y))].map(v => Math.round(10 * v) / 10);
}

function put(p) {
  if (tool === 'white') return sendPoints({do: 'white', points: p.join(',')});
  if (points.length === ({split: 2, length: 2, part: 4}[tool] ?? Infinity)) points = [];
  points.push(p);
  draw();
  if (tool === 'split' && points.length === 2 && chosen.size) {
    get('form.drawn').hidden = true;
    sendPoints({do: 'split', pieces: [...chosen].at(-1), points: points.map(q => q.join(',')).join(' ')});
  }
}

function sendPoints(fields) {
  swap(document.getElementById('mend'), get('form.drawn'), new URLSearchParams(fields));
}

const thumb = 22; // pixels: half of what a thumb needs

// tapped is the piece that a tap means: the one under it, else the nearest within a thumb's
// width, since pieces may be smaller than that.
function tapped(e) {
  const on = e.target.closest('svg.sheet a');
  if (on || !e.target.closest('svg.sheet')) return on;
  const m = svg().getScreenCTM();
  let best = null, least = thumb;
  for (const a of document.querySelectorAll('#mend svg.sheet a')) {
    const at = [...a.querySelector('.edge').points].map(p => p.matrixTransform(m));
    at.forEach((p, i) => {
      const q = at[(i + 1) % at.length], dx = q.x - p.x, dy = q.y - p.y;
      const t = Math.min(1, Math.max(0, ((e.clientX - p.x) * dx + (e.clientY - p.y) * dy) / (dx * dx + dy * dy || 1)));
      const far = Math.hypot(p.x + t * dx - e.clientX, p.y + t * dy - e.clientY);
      if (far < least) { least = far; best = a; }
    });
  }
  return best;
}

// Two fingers bring the photo nearer, and not the page round it.
let pinch = null;
const fingers = e => {
  const [a, b] = e.touches;
  return {far: Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY), x: (a.clientX + b.clientX) / 2, y: (a.clientY + b.clientY) / 2};
};
document.addEventListener('touchstart', e => {
  pinch = null;
  if (e.touches.length !== 2 || !e.target.closest?.('#mend .stage')) return;
  const f = fingers(e);
  pinch = {far: f.far, zoom, kept: under(f.x, f.y)};
  grabbed = -1;
}, {passive: true});
document.addEventListener('touchmove', e => {
  if (!pinch || e.touches.length !== 2) return;
  e.preventDefault();
  const f = fingers(e);
  zoomTo(pinch.zoom * f.far / pinch.far, pinch.kept, f.x, f.y);
}, {passive: false});
document.addEventListener('touchend', () => {
  if (pinch) zoomBy(1);
  pinch = null;
});

document.addEventListener('click', e => {
  const part = e.target.closest?.('#mend');
  if (!part) return;
  const t = e.target.closest('button[data-tool]');
  if (t) return use(t.dataset.tool);
  const z = e.target.closest('[data-zoom]');
  if (z) return zoomBy(z.dataset.zoom === '+' ? nearer : 1 / nearer);
  if (e.target.closest('[data-away]')) {
    use(tool);
    return get('.stage').focus({preventScroll: true}); // the button is gone
  }
  if (e.target.closest('[data-none]')) {
    none();
    return get('.pick input').focus({preventScroll: true});
  }
  const a = tapped(e);
  if (a && (tool === 'choose' || tool === 'corners' || tool === 'split' && !chosen.size)) {
    e.preventDefault();
    return choose(a.dataset.piece);
  }
  if (e.target.closest('svg.sheet') && tool !== 'choose' && tool !== 'corners') {
    e.preventDefault();
    put(where(e));
  }
});

document.addEventListener('change', e => {
  if (e.target.closest('#mend .pick')) choose(e.target.value, e.target.checked);
});

// Corners are dragged: by a mouse that is on one, by a finger that is near.
document.addEventListener('pointerdown', e => {
  if (tool !== 'corners' || !e.target.closest?.('#mend svg.sheet')) return;
  const far = c => { const r = c.getBoundingClientRect(); return Math.hypot(r.x + r.width / 2 - e.clientX, r.y + r.height / 2 - e.clientY); };
  const near = [...document.querySelectorAll('#mend [data-corner]')].sort((a, b) => far(a) - far(b))[0];
  const c = e.target.closest('[data-corner]') ?? (e.pointerType === 'touch' && near && far(near) < 22 ? near : null);
  if (!c) return;
  grabbed = Number(c.dataset.corner);
  e.preventDefault();
});
// The page lies still meanwhile. What a style sheet says of fingers is not heeded within a drawing.
document.addEventListener('touchmove', e => { if (grabbed >= 0) e.preventDefault(); }, {passive: false});
document.addEventListener('pointermove', e => {
  if (grabbed < 0) return;
  moved(grabbed, where(e));
});
for (const end of ['pointerup', 'pointercancel']) document.addEventListener(end, () => { grabbed = -1; });

// The same by keyboard: a cross walks over the photo, Enter taps there.
document.addEventListener('keydown', e => {
  const step = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]}[e.key];
  const c = e.target.closest?.('#mend [data-corner]');
  const box = svg()?.viewBox.baseVal;
  if (!box) return;
  const far = (e.shiftKey ? 0.001 : 0.01) * Math.max(box.width, box.height);
  const clamp = p => [Math.min(box.width, Math.max(0, p[0])), Math.min(box.height, Math.max(0, p[1]))].map(v => Math.round(10 * v) / 10);
  if (c && step) {
    const i = Number(c.dataset.corner);
    moved(i, clamp([points[i][0] + step[0] * far, points[i][1] + step[1] * far]));
    e.preventDefault();
  } else if (e.target.closest?.('#mend .stage') === e.target && tool !== 'choose') {
    if (step) {
      at = at ? clamp([at[0] + step[0] * far, at[1] + step[1] * far]) : [box.width / 2, box.height / 2];
      draw();
      e.preventDefault();
    } else if (e.key === 'Enter' && at) {
      put(at);
      e.preventDefault();
    }
  } else if ((e.key === 'Enter' || e.key === ' ') && e.target.matches?.('#mend svg.sheet a')) {
    choose(e.target.dataset.piece);
    e.preventDefault();
  }
  if (e.key === 'Escape') { // first what was begun is left, then what is chosen, then the tool
    if (tool !== 'corners' && (points.length || at)) use(tool);
    else if (chosen.size) none();
    else use('choose');
  }
});

// What was said of pieces is done with them, and others that were chosen meanwhile stay;
// where the pieces lie otherwise now, their numbers are other ones too.
document.addEventListener('submit', e => { if (e.target.matches('#mend form.say')) sent = [...chosen]; });
document.addEventListener('swapped', e => {
  if (e.target.id !== 'mend') return;
  const was = shape;
  shape = get('form.drawn').action;
  if (shape === was) sent.forEach(n => chosen.delete(n));
  else if (tool !== 'corners') chosen.clear();
  sent = [];
  ready();
});
ready();
