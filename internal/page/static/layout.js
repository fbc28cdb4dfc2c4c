// The quilt under your fingers: tap two patches, drag one onto another, or go from patch
// to patch by the arrow keys. Each answer of the server takes the place of what is there.
import {swap} from './swap.js';

let dragged = null, over = null, began = null;

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

// Dragging is for the mouse: a finger moves the page.
document.addEventListener('pointerdown', e => {
  const at = e.target.closest?.('.top a[data-patch]');
  if (at && e.pointerType !== 'touch' && !e.button) began = {at, x: e.clientX, y: e.clientY};
});
document.addEventListener('dragstart', e => { if (e.target.closest?.('.top')) e.preventDefault(); });
document.addEventListener('pointermove', e => {
  if (!began) return;
  if (!dragged && Math.hypot(e.clientX - began.x, e.clientY - began.y) > 6) {
    dragged = began.at;
    dragged.classList.add('dragged');
  }
  if (!dragged) return;
  over?.classList.remove('over');
  over = document.elementFromPoint(e.clientX, e.clientY)?.closest('.top a[data-patch]') ?? null;
  over?.classList.add('over');
});
document.addEventListener('pointerup', () => {
  const from = dragged, to = over;
  dragged?.classList.remove('dragged');
  over?.classList.remove('over');
  began = dragged = over = null;
  if (!from) return;
  // The click that ends a drag picks nothing.
  const stop = e => { e.preventDefault(); e.stopPropagation(); };
  addEventListener('click', stop, {capture: true, once: true});
  setTimeout(() => removeEventListener('click', stop, {capture: true}), 0);
  if (to && to !== from) send(from.dataset.patch, to.dataset.patch);
});

document.addEventListener('swapped', begin);
begin();
