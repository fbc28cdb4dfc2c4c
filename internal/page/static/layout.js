// The quilt under your fingers: tap two patches, drag one onto another, or go from patch
// to patch by the arrow keys. Each answer of the server takes the place of what is there.
import {swap} from './swap.js';

let dragged = null, over = null, began = null, lifted = null;

const patches = () => [...document.querySelectorAll('.top a[data-patch]')];
const picked = () => patches().filter(p => p.getAttribute('aria-pressed') === 'true');

// One patch is on the way of the tab key; the arrow keys lead to the others.
function rove(to) {
  for (const p of patches()) {
    p.setAttribute('tabindex', p === to ? '0' : '-1');
    p.toggleAttribute('data-rest', p === to);
  }
}

function begin() {
  const all = patches();
  if (!all.length) return;
  rove(picked()[0] ?? all[0]);
  document.querySelectorAll('.scripted').forEach(e => { e.hidden = false; });
}

function middle(p) {
  const r = p.querySelector('polygon').getBoundingClientRect();
  return {x: r.x + r.width / 2, y: r.y + r.height / 2};
}

// next is the nearest patch in a direction, those straight on first.
function next(from, dx, dy) {
  const a = middle(from);
  let best = null, least = Infinity;
  for (const p of patches()) {
    if (p === from) continue;
    const b = middle(p), along = (b.x - a.x) * dx + (b.y - a.y) * dy, aside = Math.abs((b.x - a.x) * dy) + Math.abs((b.y - a.y) * dx);
    if (along < 1) continue;
    const far = along + 3 * aside;
    if (far < least) { least = far; best = p; }
  }
  return best;
}

const arrows = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]};

document.addEventListener('keydown', e => {
  const at = e.target.closest?.('.top a[data-patch]');
  if (!at) return;
  if (arrows[e.key]) {
    e.preventDefault();
    const to = next(at, ...arrows[e.key]);
    if (to) { rove(to); to.focus(); }
  } else if (e.key === 'Enter' || e.key === ' ') {
    e.preventDefault();
    pick(at);
  } else if (e.key === 'Escape' && picked().length) {
    e.preventDefault();
    pick(picked()[0], at);
  }
});

document.addEventListener('click', e => {
  const at = e.target.closest?.('.top a[data-patch], .looks a, .fits a, .tried a');
  if (!at || e.ctrlKey || e.metaKey || e.shiftKey || e.button) return;
  e.preventDefault();
  if (at.dataset.patch) pick(at);
  else go(at.getAttribute('href'));
});

// pick picks a patch, lets go of the one that is picked, or swaps it with another; focus
// stays at the patch after.
function pick(at, after = at) {
  const one = picked()[0];
  after.focus();
  if (one && one !== at) send(one.dataset.patch, at.dataset.patch);
  else go(at.getAttribute('href'));
}

function go(href) {
  const to = new URL(href, location);
  const main = document.querySelector('main');
  swap(main, {method: 'get', action: to.pathname}, to.searchParams);
}

function send(a, b) {
  const view = new URLSearchParams(location.search).get('view') ?? '';
  swap(document.querySelector('main'), {method: 'post', action: document.querySelector('form[action$="/edit"]').action}, new URLSearchParams({do: 'swap', a, b, view}));
}

// A mouse drags at once. A finger that moves at once moves the page; one that rests on a
// patch a while lifts its cloth.
const rest = 350; // ms: shorter than what browsers take for a long press

document.addEventListener('pointerdown', e => {
  drop();
  const at = e.target.closest?.('.top a[data-patch]');
  if (!at || e.button || !e.isPrimary) return; // two fingers come nearer
  began = {at, x: e.clientX, y: e.clientY, touch: e.pointerType === 'touch'};
  if (began.touch) began.waits = setTimeout(lift, rest);
});
for (const kind of ['dragstart', 'contextmenu']) {
  document.addEventListener(kind, e => { if (e.target.closest?.('.top') && (kind === 'dragstart' || began?.touch)) e.preventDefault(); });
}
// Once a finger has lifted a cloth the page lies still.
document.addEventListener('touchmove', e => { if (dragged) e.preventDefault(); }, {passive: false});

function lift() {
  dragged = began.at;
  dragged.classList.add('dragged');
  const svg = dragged.ownerSVGElement, patch = dragged.querySelector('polygon');
  lifted = svg.appendChild(document.createElementNS(svg.namespaceURI, 'g'));
  lifted.setAttribute('class', 'lifted');
  const clip = lifted.appendChild(document.createElementNS(svg.namespaceURI, 'clipPath'));
  clip.id = 'lifted';
  clip.append(patch.cloneNode());
  const cloth = lifted.appendChild(svg.querySelector('image').cloneNode());
  cloth.setAttribute('clip-path', 'url(#lifted)');
  move(began.x, began.y);
}

// move has the lifted cloth follow, above a finger, which would hide it.
function move(x, y) {
  const m = dragged.ownerSVGElement.getScreenCTM(), above = began.touch ? 30 : 0;
  lifted.setAttribute('transform', `translate(${(x - began.x) / m.a} ${(y - began.y - above) / m.d})`);
  over?.classList.remove('over');
  over = document.elementFromPoint(x, y)?.closest('.top a[data-patch]') ?? null;
  over?.classList.add('over');
}

document.addEventListener('pointermove', e => {
  if (!began || !e.isPrimary) return;
  const far = Math.hypot(e.clientX - began.x, e.clientY - began.y);
  if (!dragged && far > (began.touch ? 10 : 6)) {
    if (began.touch) return drop(); // it moves the page
    lift();
  }
  if (dragged) move(e.clientX, e.clientY);
});

// drop lets go of what is held.
function drop() {
  clearTimeout(began?.waits);
  dragged?.classList.remove('dragged');
  over?.classList.remove('over');
  lifted?.remove();
  began = dragged = over = lifted = null;
}
document.addEventListener('pointercancel', drop);

document.addEventListener('pointerup', () => {
  const from = dragged, to = over, touch = began?.touch;
  drop();
  if (!from) return;
  // The click that ends a drag picks nothing.
  const stop = e => { e.preventDefault(); e.stopPropagation(); };
  addEventListener('click', stop, {capture: true, once: true});
  setTimeout(() => removeEventListener('click', stop, {capture: true}), touch ? 50 : 0);
  if (to && to !== from) send(from.dataset.patch, to.dataset.patch);
  else if (to && touch) pick(from); // a slow tap
});

document.addEventListener('swapped', begin);
begin();
